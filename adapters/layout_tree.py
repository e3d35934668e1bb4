"""Layouts of kind "json" and "msgpack": a tree of maps and lists; a place is a path such as "own.position.0".

The value at a path must be a number, a word or a flag; a map, a list or a null there is "not told".
"""

import json
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import msgpack

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.layout_field import FieldSet
from otherseat.adapters.layout_model import Layout
from otherseat.adapters.layout_text import text_of
from otherseat.advisories.state import Fields

Path = tuple[str, ...]


def path_of(key: str | None) -> Path:
    """Return the parts of a dotted path."""
    return tuple((key or "").split("."))


def at_path(tree: Any, path: Path) -> Any:
    """Return the leaf at the path, or None when there is none."""
    for part in path:
        if isinstance(tree, dict):
            tree = tree.get(part)
        elif isinstance(tree, list) and part.isdecimal() and len(part) < 10 and int(part) < len(tree):  # noqa: PLR2004 - a position, not a number to choke on
            tree = tree[int(part)]
        else:
            return None
    return tree if isinstance(tree, str | int | float | bool) else None


def leaves(tree: Any) -> Iterator[str]:
    """Yield the dotted path of whatever is no map and no list, a null too."""
    branches = [("", tree)]
    while branches:
        path, branch = branches.pop()
        if isinstance(branch, dict):
            branches += [(f"{path}.{key}", value) for key, value in branch.items()]
        elif isinstance(branch, list):
            branches += [(f"{path}.{index}", value) for index, value in enumerate(branch)]
        else:
            yield path.removeprefix(".")


class TreeDecoder:
    """One source's trees, however they are packed."""

    def __init__(self, layout: Layout, unpack: Callable[[bytes], Any]) -> None:
        self.unpack = unpack
        self.tag = path_of(layout.tree.tag_key)
        self._messages = [
            (message.tag, FieldSet.of(message, lambda place: path_of(place.key))) for message in layout.message
        ]

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message for each of the layout's that fits the tree."""
        tree = self.unpack(datagram)
        if not isinstance(tree, dict | list):
            raise RejectError(Reason.FOREIGN, "no map and no list")
        tag = at_path(tree, self.tag)
        fitting = [fields for wanted, fields in self._messages if wanted is None or wanted == str(tag)]
        if not fitting:
            raise RejectError(Reason.FOREIGN, "no message with this tag")
        found = [values for fields in fitting if (values := fields.read(lambda path: at_path(tree, path)))]
        if not found:
            raise RejectError(Reason.FOREIGN, "no known path")
        return found


def from_json(datagram: bytes) -> Any:
    """Return the tree in a JSON text."""
    try:
        return json.loads(text_of(datagram))
    except (ValueError, RecursionError):
        raise RejectError(Reason.SYNTAX, "no JSON") from None


def from_msgpack(datagram: bytes) -> Any:
    """Return the tree in a msgpack map or list; keys become text."""
    try:
        return with_text_keys(msgpack.unpackb(datagram, strict_map_key=False, raw=False))
    except Exception:  # noqa: BLE001 - the unpacker raises many kinds, and every one means the same
        raise RejectError(Reason.SYNTAX, "no msgpack") from None


def with_text_keys(tree: Any) -> Any:
    """Return the tree with every map's keys as text, so that a path can name them."""
    if isinstance(tree, dict):
        return {str(key): with_text_keys(value) for key, value in tree.items()}
    return [with_text_keys(value) for value in tree] if isinstance(tree, list) else tree


class JsonDecoder(TreeDecoder):
    """One source's JSON."""

    def __init__(self, layout: Layout) -> None:
        super().__init__(layout, from_json)


class MsgpackDecoder(TreeDecoder):
    """One source's msgpack."""

    def __init__(self, layout: Layout) -> None:
        super().__init__(layout, from_msgpack)
