"""Layouts of kind "text": lines of cells between delimiters.

Columns are found by position, or by the names in a header line. A header is a line that begins with the layout's
prefix, or that names two of its columns. Without one the layout's own list of columns holds, when its length is
that of the line. A datagram may hold several lines; a line whose tag is not in the layout is not ours and skipped.
"""

from collections.abc import Sequence

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.layout_field import FieldSet
from otherseat.adapters.layout_model import Layout, Message, Place, Text
from otherseat.advisories.state import Fields

MAX_COLUMNS = 4_096
ENOUGH_NAMES = 2
"""This many known names make a line a header."""
NO_HEADER: dict[str, int] = {}


def text_of(datagram: bytes, *, ends_with: str | None = None) -> str:
    """Return the text of a datagram, or refuse it: no UTF-8, nothing but blanks, or cut short."""
    try:
        text = datagram.decode("utf-8")
    except UnicodeDecodeError:
        raise RejectError(Reason.ENCODING) from None
    if not text or text.isspace():
        raise RejectError(Reason.EMPTY)
    if ends_with is not None and not text.endswith(ends_with):
        raise RejectError(Reason.LENGTH, "cut short")
    return text


class TextMessage:
    """One message of a text layout, made ready."""

    def __init__(self, message: Message) -> None:
        self._fields = FieldSet.of(message, column)
        self.names = {key for key in self._fields.places() if isinstance(key, str)}
        self._header: dict[str, int] | None = None
        self._width = 0
        self._placed: FieldSet[int]

    def read(self, cells: Sequence[str], header: dict[str, int]) -> Fields:
        """Return the fields of one line."""
        if header is not self._header or len(cells) != self._width:
            self._place(header, len(cells))
        return self._placed.read(cells.__getitem__)

    def _place(self, header: dict[str, int], width: int) -> None:
        """Work out where every field stands in lines of this width under this header."""

        def position(key: str | int) -> int | None:
            at = header.get(key, -1) if isinstance(key, str) else key
            return at if 0 <= at < width else None

        self._header, self._width, self._placed = header, width, self._fields.at(position)


def column(place: Place) -> str | int:
    """Return the place's column; a layout that names none does not get here."""
    return 0 if place.column is None else place.column


class TextDecoder:
    """One source's text; remembers its header line."""

    def __init__(self, layout: Layout) -> None:
        self._text: Text = layout.text
        self._delimiter = None if layout.text.delimiter == " " else layout.text.delimiter
        self._prefix = layout.text.header_prefix
        self._ends_with = layout.text.ends_with
        """These three again, since every line asks for them, and a model's fields are slow to reach."""
        self._messages = {message.tag: TextMessage(message) for message in layout.message}
        self.names = set().union(*(message.names for message in self._messages.values()))
        self._header: dict[str, int] = {}
        self._width = 0

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message for each line that is ours."""
        lines = text_of(datagram, ends_with=self._ends_with).splitlines()
        if len(lines) == 1:  # most datagrams are
            fields = self._line(lines[0])
            return [fields] if fields else []
        return [fields for line in lines if line and not line.isspace() and (fields := self._line(line))]

    @property
    def header(self) -> frozenset[str]:
        """The names of the columns, none while no line has told them."""
        return frozenset(self._header)

    def _line(self, line: str) -> Fields | None:
        """Return the fields of one line, or None when it holds none for us."""
        prefix = self._prefix
        if prefix is not None and line.startswith(prefix):
            self._learn(self.cells(line[len(prefix) :].strip().removeprefix(self._text.delimiter)))
            return None
        cells = self.cells(line)
        if prefix is None and not self.names.isdisjoint(cells) and self._is_header(cells):
            self._learn(cells)
            return None
        message = self._messages.get(cells[0]) or self._messages.get(None)
        if message is None:
            raise RejectError(Reason.FOREIGN, "no message with this tag")
        if not message.names:
            return message.read(cells, NO_HEADER)
        if not self._header or len(cells) != self._width:
            self._fit(cells)
        return message.read(cells, self._header)

    def _is_header(self, cells: list[str]) -> bool:
        """Say whether enough of the cells are names of columns."""
        return len(self.names.intersection(cells)) >= min(ENOUGH_NAMES, len(self.names))

    def cells(self, line: str) -> list[str]:
        """Return the line's cells without blanks around them."""
        cells = line.split(self._delimiter)
        if len(cells) > MAX_COLUMNS:
            raise RejectError(Reason.LENGTH, "too many columns")
        return [cell.strip() for cell in cells] if " " in line or "\t" in line else cells

    def _learn(self, names: list[str]) -> None:
        """Remember the header; of two columns with one name the first counts."""
        if not self.names.intersection(names):
            raise RejectError(Reason.FOREIGN, "the header line names none of the layout's columns")
        self._width = len(names)
        self._header = {name: position for position, name in reversed(list(enumerate(names)))}

    def _fit(self, cells: list[str]) -> None:
        """Take the layout's own columns for a header where none was seen, or refuse a line that does not fit it."""
        if not self._header and len(cells) == len(self._text.columns):
            self._learn(list(self._text.columns))
        if not self._header:
            raise RejectError(Reason.HEADER, f"{len(cells)} columns, and no line has named them yet")
        if len(cells) != self._width:
            raise RejectError(Reason.LENGTH, f"{len(cells)} columns, the header has {self._width}")
