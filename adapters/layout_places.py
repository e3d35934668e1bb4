"""Places: what a layout reads and none of the datagrams had, such as a key with a slip of the pen in it.

A decoder leaves out what isn't there, and must: a simulator need not send all that a layout knows. So a place that
never comes is told here, beside the decoders: whoever flies pays nothing for it. What is there and empty is no slip.

text      a column's name that is in no header, a position beyond the longest line; nothing before a header has come
pairs     a key
json      a path, to a leaf; likewise msgpack
records   a group
binary    nothing: a datagram that is long enough has every byte
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field

from otherseat.adapters.adapter import RejectError
from otherseat.adapters.layout_model import SAYS, Layout, Message, Place
from otherseat.adapters.layout_pairs import PairsDecoder
from otherseat.adapters.layout_records import RecordsDecoder
from otherseat.adapters.layout_text import TextDecoder, text_of
from otherseat.adapters.layout_tree import TreeDecoder, at_path, from_json, from_msgpack, leaves
from otherseat.adapters.nearest import alike

Name = str | int
Piece = tuple[str | None, Collection[Name]]
"""A line or a tree: its tag, and what stands in it."""
Cut = Callable[[bytes], Iterable[Piece]]
"""Returns the pieces of a datagram, or raises RejectError."""

MOST_NAMES = 4_096
"""So many names that the layout does not read are remembered; a hostile sender finds no more room."""
SHOWN = 12
ALIKE = 3
"""So many names are offered at most."""
TAGGED = frozenset({"text", "json", "msgpack"})


@dataclass(slots=True)
class Heard:
    """What came, of one message or of tags."""

    datagrams: int = 0
    read: set[Name] = field(default_factory=set)
    """What the layout reads."""
    unread: set[Name] = field(default_factory=set)

    def add(self, names: Iterable[Name], *, wanted: set[Name]) -> None:
        """Note names."""
        for name in names:
            if name in wanted:
                self.read.add(name)
            elif len(self.unread) < MOST_NAMES:
                self.unread.add(name)


class Places:
    """One layout's places, and which of them came."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._cut = CUTS[layout.kind](layout) if layout.kind in CUTS else nothing
        self._tags = Heard()
        self._messages = [Heard() for _ in layout.message]
        self._wanted = {self._name(place) for message in layout.message for place in places_of(message)}
        self._wanted_tags: set[Name] = {message.tag for message in layout.message if message.tag is not None}

    def look(self, datagram: bytes) -> None:
        """Note what stands in a datagram; one that can't be read is passed over."""
        try:
            pieces = list(self._cut(datagram))
        except RejectError:
            return
        self._tags.datagrams += bool(pieces)
        self._tags.add((tag for tag, _ in pieces if tag is not None), wanted=self._wanted_tags)
        for message, heard in zip(self._layout.message, self._messages, strict=True):
            fitting = [names for tag, names in pieces if self._tag(message) in {None, tag}]
            heard.datagrams += bool(fitting)
            for names in fitting:
                heard.add(names, wanted=self._wanted)

    def unseen(self) -> dict[str, list[str]]:
        """Return the fields that no datagram had, by why, such as "key alt was in none of 60 datagrams"."""
        both = list(zip(self._layout.message, self._messages, strict=True))
        came = {name for message, heard in both for name, places in message.fields.items() if self._came(places, heard)}
        found: dict[str, list[str]] = {}
        for message, heard in both:
            for name, places in message.fields.items():
                why = "" if name in came else self._why(message, places, heard)
                if why:
                    found.setdefault(why, []).append(name)
        return found

    def _came(self, places: Iterable[Place], heard: Heard) -> bool:
        return any(self._name(place) in heard.read for place in places)

    def _why(self, message: Message, places: Iterable[Place], heard: Heard) -> str:
        """Return why nothing of a field came; "" while there is nothing to go by."""
        tag = self._tag(message)
        if tag is not None and tag not in self._tags.read:
            return self._no_tag(tag)
        if not heard.datagrams:
            return ""
        names = [self._name(place) for place in places]
        among = none_of(heard.datagrams) + (f" with tag {tag}" if tag is not None else "")
        label = SAYS[self._layout.kind][0]
        return f"{label} {' or '.join(map(str, names))} was in {among}{there(names, heard)}"

    def _no_tag(self, tag: str) -> str:
        """Return why no message of a tag came."""
        if not self._tags.datagrams:
            return ""
        key = self._layout.tree.tag_key
        if self._layout.kind != "text" and not (self._tags.read or self._tags.unread):
            return f"key {key}, which is to hold the tag {tag}, was in {none_of(self._tags.datagrams)}"
        return f"tag {tag} was in {none_of(self._tags.datagrams)}{there([tag], self._tags)}"

    def _tag(self, message: Message) -> str | None:
        return message.tag if self._layout.kind in TAGGED else None

    def _name(self, place: Place) -> Name:
        """Return the place's column, key or group."""
        name: Name = getattr(place, SAYS[self._layout.kind][0])
        return name


def places_of(message: Message) -> Iterator[Place]:
    """Yield every place of a message."""
    for places in message.fields.values():
        yield from places


def none_of(datagrams: int) -> str:
    """Return of how many datagrams not one had it."""
    return f"none of {datagrams} datagram{'' if datagrams == 1 else 's'}"


def there(names: Iterable[Name], heard: Heard) -> str:
    """Return what there is instead: names that are like it, or the numbers; "" when there is nothing of the kind."""
    unread = [name for name in heard.unread if isinstance(name, str)]
    numbers = sorted(name for name in heard.unread | heard.read if isinstance(name, int))
    for name in names:
        near = alike(name, unread)[:ALIKE] if isinstance(name, str) else []
        if near:
            return f"; there is {' and '.join(near)}"
        if isinstance(name, int) and numbers:
            return f"; there are {in_short(numbers)}"
    return ""


def in_short(numbers: list[int]) -> str:
    """Return numbers in ascending order, not too many of them."""
    if numbers == list(range(len(numbers))):
        return f"0 to {numbers[-1]}"
    return ", ".join([*map(str, numbers[:SHOWN]), *(["more"] if len(numbers) > SHOWN else [])])


def nothing(_datagram: bytes) -> Iterable[Piece]:
    """Return that nothing has a name."""
    return ()


def of_text(layout: Layout) -> Cut:
    """Return what cuts lines: the names in the header for each, and its positions."""
    decoder = TextDecoder(layout)

    def cut(datagram: bytes) -> Iterator[Piece]:
        with suppress(RejectError):
            decoder.decode(datagram)  # which learns the header
        if decoder.names and not decoder.header:
            return
        prefix = layout.text.header_prefix
        for line in text_of(datagram, ends_with=layout.text.ends_with).splitlines():
            cells = decoder.cells(line)
            is_header = line.startswith(prefix) if prefix is not None else decoder.header.issuperset(cells)
            if line.strip() and not is_header:
                yield cells[0], [*decoder.header, *range(len(cells))]

    return cut


def of_pairs(layout: Layout) -> Cut:
    """Return what cuts pairs: their keys."""
    decoder = PairsDecoder(layout)
    return lambda datagram: [(None, decoder.cut(text_of(datagram, ends_with=layout.pairs.ends_with)))]


def of_tree(layout: Layout) -> Cut:
    """Return what cuts JSON and msgpack: paths."""
    decoder = TreeDecoder(layout, from_json if layout.kind == "json" else from_msgpack)

    def cut(datagram: bytes) -> Iterable[Piece]:
        tree = decoder.unpack(datagram)
        tag = at_path(tree, decoder.tag)
        return [(None if tag is None else str(tag), list(leaves(tree)))]

    return cut


def of_records(layout: Layout) -> Cut:
    """Return what cuts records: their numbers."""
    decoder = RecordsDecoder(layout)

    def cut(datagram: bytes) -> Iterable[Piece]:
        decoder.decode(datagram)  # which refuses what is none of ours
        return [(None, decoder.groups(datagram))]

    return cut


CUTS: dict[str, Callable[[Layout], Cut]] = {
    "text": of_text,
    "pairs": of_pairs,
    "json": of_tree,
    "msgpack": of_tree,
    "records": of_records,
}
