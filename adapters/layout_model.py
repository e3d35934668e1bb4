"""What a layout file may say, and nothing else: the pydantic side of the layout adapter.

A layout has a name, a summary, a kind, and one or more messages; each message maps names of a State (or the parts
of adapters/parts.py) to where the value stands and how it is to be read. When a field lists several places, the
first that is there counts.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from otherseat.adapters.nearest import nearest
from otherseat.adapters.parts import TARGETS
from otherseat.adapters.units_table import UNITS, choices, house_unit, line

STRICT = ConfigDict(frozen=True, extra="forbid")


def as_tuple(value: Any) -> Any:
    """Return a lone value as a tuple of one, so that a layout needs no brackets for the common case."""
    return value if isinstance(value, list | tuple) else (value,)


class Place(BaseModel):
    """Where one value stands and how it becomes a State's: (raw * scale * sign + offset) in the unit given."""

    model_config = STRICT

    column: str | int | None = None
    """Text: the header's name of the column, or its position from 0."""
    unit: str | None = None
    """A unit of the table; left out, it is the State's own."""
    scale: float = Field(1.0, allow_inf_nan=False)
    offset: float = Field(0.0, allow_inf_nan=False)
    sign: Literal[1, -1] = 1
    missing: Annotated[tuple[float | str, ...], BeforeValidator(as_tuple)] = ()
    """Raw values that mean "not told"."""
    at_least: float = 0.5
    """Flags: true from this value on."""
    invert: bool = False
    """Flags: true means false."""
    wraps_at: float | None = Field(None, gt=0)
    """Times: the raw value starts again from zero here."""


Places = Annotated[tuple[Place, ...], BeforeValidator(as_tuple), Field(min_length=1)]


class Message(BaseModel):
    """One kind of message in the stream."""

    model_config = STRICT

    tag: str | None = None
    """Text: the first column of this message; left out, every line is one."""
    fields: dict[str, Places] = Field(min_length=1)

    @model_validator(mode="after")
    def known(self) -> "Message":
        """Refuse names that no State has, and units of another dimension."""
        for name, places in self.fields.items():
            if name not in TARGETS:
                raise ValueError(f"fields.{name}: no such field; did you mean {nearest(name, TARGETS)}?")
            for place in places:
                check_unit(name, place)
        return self


def check_unit(name: str, place: Place) -> None:
    """Raise ValueError when the place's unit cannot become the field's."""
    unit = place.unit or house_unit(name)
    if unit not in UNITS:
        raise ValueError(f"fields.{name}: no unit {unit!r}; did you mean {nearest(unit, choices(name))}?")
    try:
        line(unit=unit, field=name)
    except ValueError as error:
        raise ValueError(f"fields.{name}: {error}") from None


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


class Layout(BaseModel):
    """A whole layout file."""

    model_config = STRICT

    name: str
    summary: str = ""
    kind: Literal["text"]
    text: Text = Text()
    message: tuple[Message, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def placed(self) -> "Layout":
        """Refuse fields that do not say where they stand."""
        for message in self.message:
            for name, places in message.fields.items():
                if any(place.column is None for place in places):
                    raise ValueError(f"fields.{name}: needs a column")
        return self
