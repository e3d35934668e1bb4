"""What a layout file may say, and nothing else: the pydantic side of the layout adapter.

A layout has a name, a summary, a kind, a table that says how datagrams of that kind are cut, and one or more
messages; each message maps names of a State (or the parts of adapters/parts.py) to where the value stands and how it
is to be read. When a field lists several places, the first that is there counts.

kind      how it is cut    a place says
text      [text]           column   the header's name of it, or its position from 0
pairs     [pairs]          key      the word before the "="
json      [tree]           key      names and list positions joined by dots
msgpack   [tree]           key      likewise
binary    [binary]         at, type the byte from 0, and what stands there
records   [records]        group, item   the record's number and the value in it, from 0
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from otherseat.adapters.binary_types import size_of
from otherseat.adapters.checksums import CHECKSUMS
from otherseat.adapters.nearest import nearest
from otherseat.adapters.parts import TARGETS
from otherseat.adapters.units_table import UNITS, choices, house_unit, line

STRICT = ConfigDict(frozen=True, extra="forbid", defer_build=True)

Kind = Literal["text", "pairs", "json", "msgpack", "binary", "records"]
ByteOrder = Literal["little", "big"]
IntegerType = Literal["u8", "i8", "u16", "i16", "u24", "i24", "u32", "i32", "u64", "i64"]
FloatType = Literal["f16", "f32", "f64"]
AnyType = Literal["u8", "i8", "u16", "i16", "u24", "i24", "u32", "i32", "u64", "i64", "f16", "f32", "f64", "text"]

SAYS: dict[str, tuple[str, ...]] = {
    "text": ("column",),
    "pairs": ("key",),
    "json": ("key",),
    "msgpack": ("key",),
    "binary": ("at", "type"),
    "records": ("group", "item"),
}
"""What a place must say, by kind; it must say nothing else of these."""
SECTION: dict[str, str] = {
    "text": "text",
    "pairs": "pairs",
    "json": "tree",
    "msgpack": "tree",
    "binary": "binary",
    "records": "records",
}


def as_tuple(value: Any) -> Any:
    """Return a lone value as a tuple of one, so that a layout needs no brackets for the common case."""
    return value if isinstance(value, list | tuple) else (value,)


def as_column(value: Any) -> Any:
    """Return a column, or raise ValueError: which of the two was meant the library can't know."""
    if isinstance(value, str) or (type(value) is int and value >= 0):
        return value
    raise ValueError(f"is the column's name in quotes, or its position from 0, not {value!r}")


class Place(BaseModel):
    """Where one value stands and how it becomes a State's: (raw * scale * sign + offset) in the unit given."""

    model_config = STRICT

    column: Annotated[int | str | None, BeforeValidator(as_column)] = None
    key: str | None = None
    at: int | None = Field(None, ge=0)
    type: AnyType | None = None
    length: int = Field(16, ge=1, le=64)
    """Binary text: bytes, ending early at a zero."""
    group: int | None = None
    item: int | None = Field(None, ge=0)

    unit: str | None = None
    """A unit of the table; left out, it is the State's own."""
    scale: float = Field(1.0, allow_inf_nan=False)
    offset: float = Field(0.0, allow_inf_nan=False)
    sign: Literal[1, -1] = 1
    missing: Annotated[tuple[float | str, ...], BeforeValidator(as_tuple)] = ()
    """Raw values that mean "not told"."""
    bit: int | None = Field(None, ge=0, le=63)
    """Flags: the bit of a whole number, 0 is the lowest."""
    at_least: float = 0.5
    """Flags: true from this value on."""
    invert: bool = False
    """Flags: true means false."""
    wraps_at: float | None = Field(None, gt=0)
    """Times: the raw value starts again from zero here."""

    def end(self) -> int:
        """Return the first byte after a place in bytes; 0 for one that is not."""
        if self.at is None or self.type is None:
            return 0
        return self.at + (self.length if self.type == "text" else size_of(self.type))


Places = Annotated[tuple[Place, ...], BeforeValidator(as_tuple), Field(min_length=1)]


class Checksum(BaseModel):
    """A checksum over part of a binary datagram; negative positions count from its end."""

    model_config = STRICT

    kind: str
    at: int
    begin: int = 0
    end: int | None = None
    """The first byte that is not summed; left out, it is where the checksum stands."""
    byte_order: ByteOrder = "little"

    @model_validator(mode="after")
    def known(self) -> "Checksum":
        """Refuse a checksum that is not on the list."""
        if self.kind not in CHECKSUMS:
            raise ValueError(f"no checksum {self.kind!r}; did you mean {nearest(self.kind, CHECKSUMS)}?")
        return self


class Message(BaseModel):
    """One kind of message in the stream."""

    model_config = STRICT

    tag: str | None = None
    """Text: the first column. Trees: the value under tag_key. Left out, every message is one."""
    magic: str | None = None
    """Binary: the text with which it begins."""
    magic_hex: str | None = Field(None, pattern=r"^([0-9a-fA-F]{2}\s*)+$")
    """Binary: the bytes with which it begins, in hexadecimal."""
    magic_at: int = Field(0, ge=0)
    """Binary: where the magic stands."""
    length: int | None = Field(None, ge=1)
    """Binary: exactly so many bytes; left out, at least as many as the fields need."""
    checksum: Checksum | None = None
    fields: dict[str, Places] = Field(min_length=1)

    @model_validator(mode="after")
    def known(self) -> "Message":
        """Refuse names that no State has, units of another dimension, and places past the end."""
        _raise_all(
            wrong
            for name, places in self.fields.items()
            for wrong in (*wrong_in_field(name, places), *self._beyond(name, places))
        )
        return self

    def _beyond(self, name: str, places: "tuple[Place, ...]") -> Iterator[str]:
        """Yield which places reach past the length of the message."""
        for place in places:
            beyond = place.end() - (self.length or place.end())
            if beyond > 0:
                yield f"fields.{name}: reaches {beyond} bytes past the message's length, {self.length}"

    def magic_bytes(self) -> bytes:
        """Return the bytes that mark this message; none when it has no mark."""
        return bytes.fromhex(self.magic_hex) if self.magic_hex else (self.magic or "").encode()


def wrong_in_field(name: str, places: tuple[Place, ...]) -> Iterator[str]:
    """Yield a line for each mistake: a name that no State has, or a unit that cannot become the field's."""
    if name not in TARGETS:
        yield f"fields.{name}: no such field; did you mean {nearest(name, TARGETS)}?"
        return
    yield from (f"fields.{name}: {wrong}" for place in places for wrong in wrong_in_unit(name, place))


def wrong_in_unit(name: str, place: Place) -> Iterator[str]:
    """Yield why the place's unit cannot become the field's."""
    unit = place.unit or house_unit(name)
    if place.bit is not None and house_unit(name) != "flag":
        yield "a bit is a flag, this field is none"
    if place.type == "text" and house_unit(name) != "name":
        yield "takes a number, not text"
    if unit not in UNITS:
        yield f"no unit {unit!r}; did you mean {nearest(unit, choices(name))}?"
        return
    try:
        line(unit=unit, field=name)
    except ValueError as error:
        yield str(error)


def _raise_all(wrong: Iterable[str]) -> None:
    """Raise one ValueError with a line for each mistake, if there are any: a person mends all of them at once."""
    if lines := list(wrong):
        raise ValueError("\n".join(lines))


class Text(BaseModel):
    """How lines of text are cut."""

    model_config = STRICT

    delimiter: str = Field(",", min_length=1)
    """A space stands for any run of spaces and tabs."""
    header_prefix: str | None = None
    """What a line of column names begins with; without it a line that names two of the columns is the header."""
    columns: tuple[str, ...] = ()
    """Names by position, used while no header was seen and when the number of columns is the same."""
    ends_with: str | None = None
    """What a whole datagram ends with, so that a cut one is known."""


class Pairs(BaseModel):
    """How lines of pairs are cut."""

    model_config = STRICT

    joined_by: str = Field("=", min_length=1)
    """What stands between key and value."""
    between: str = Field(",", min_length=1)
    """What stands between pairs, besides line ends; a space stands for any run of blanks."""
    ends_with: str | None = None


class Tree(BaseModel):
    """How JSON and msgpack are read."""

    model_config = STRICT

    tag_key: str = "type"
    """The key whose value is the message's tag."""


class Binary(BaseModel):
    """How bytes are read."""

    model_config = STRICT

    byte_order: ByteOrder = "little"


class Records(BaseModel):
    """A prefix, then records of one number and some values each."""

    model_config = STRICT

    prefix: str = ""
    skip: int = Field(0, ge=0)
    """Bytes after the prefix that mean nothing."""
    number_type: IntegerType = "i32"
    values: int = Field(8, ge=1, le=64)
    value_type: FloatType = "f32"
    byte_order: ByteOrder = "little"


class Layout(BaseModel):
    """A whole layout file."""

    model_config = STRICT

    name: str
    summary: str = ""
    kind: Kind
    text: Text = Text()
    pairs: Pairs = Pairs()
    tree: Tree = Tree()
    binary: Binary = Binary()
    records: Records = Records()
    message: tuple[Message, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def fits(self) -> "Layout":
        """Refuse tables of another kind, and places that don't say where they are."""
        _raise_all(self._wrong())
        return self

    def _wrong(self) -> Iterator[str]:
        for section in sorted(self.model_fields_set & (set(SECTION.values()) - {SECTION[self.kind]})):
            yield f"{section}: a layout of kind {self.kind} has no such table"
        for index, message in enumerate(self.message):
            for name, places in message.fields.items():
                if not all(map(self._is_place, places)):
                    wanted = " and ".join(SAYS[self.kind])
                    yield f"message.{index}.fields.{name}: a place in a layout of kind {self.kind} says {wanted}"

    def _is_place(self, place: Place) -> bool:
        """Say whether the place says all that one of this kind says, and nothing of another kind."""
        known = {key for keys in SAYS.values() for key in keys}
        return {key for key in known if getattr(place, key) is not None} == set(SAYS[self.kind])
