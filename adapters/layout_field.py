"""One field of a layout, made ready: raw value in, the house's value out."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.layout_model import Message, Place
from otherseat.adapters.parts import PARTS, combine
from otherseat.adapters.units_table import converter, house_unit, straight
from otherseat.advisories.state import Fields, Value

Reader = Callable[[Any], Value | None]
"""Returns the value in house units, or None when the raw value means "not told"; RejectError when it is no value."""

TRUE_WORDS = frozenset({"true", "yes", "on", "y", "t"})
FALSE_WORDS = frozenset({"false", "no", "off", "n", "f"})
MOST_WORDS = 32
"""So many ways of writing a flag are remembered; a hostile sender finds no more room."""


def reader(name: str, place: Place) -> Reader:
    """Return the function that reads the field at this place."""
    unit = place.unit or house_unit(name)
    if unit == "name":
        return name_reader(place)
    if unit == "flag":
        return flag_reader(name, place)
    return number_reader(name, place, unit)


def number(raw: Any, name: str) -> float:
    """Return the raw value as a number, or refuse it by the field's name."""
    try:
        return float(raw)
    except (TypeError, ValueError, OverflowError):
        raise RejectError(Reason.SYNTAX, name) from None


def whole(value: float, name: str) -> int:
    """Return the value as a whole number for its bits, or refuse it by the field's name."""
    if not math.isfinite(value):
        raise RejectError(Reason.SYNTAX, name)
    return int(value)


def name_reader(place: Place) -> Reader:
    """Return a reader for an aircraft's name; whole numbers are written without a decimal point."""

    def read(raw: Any) -> Value | None:
        text = str(raw).strip()
        return None if not text or text in place.missing else text

    return read


def flag_reader(name: str, place: Place) -> Reader:
    """Return a reader for a flag sent as a number or a word; what a word meant is remembered, as there are so few."""
    known: dict[str, Value | None] = {}

    def meant(raw: Any) -> Value | None:
        word = raw.strip().lower() if isinstance(raw, str) else raw
        if word in TRUE_WORDS or word in FALSE_WORDS:
            return (word in TRUE_WORDS) is not place.invert
        if missing(word, place):
            return None
        value = number(word, name) * place.scale + place.offset
        if place.bit is not None:
            value = whole(value, name) >> place.bit & 1
        return (value >= place.at_least) is not place.invert

    def read(raw: Any) -> Value | None:
        if not isinstance(raw, str):
            return meant(raw)
        value = known.get(raw)
        if value is None:
            value = meant(raw)
            if len(known) < MOST_WORDS:
                known[raw] = value
        return value

    return read


def number_reader(name: str, place: Place, unit: str) -> Reader:
    """Return a reader for a number with a unit."""
    convert = converter(unit=unit, field=name, scale=place.scale * place.sign, offset=place.offset)
    unwrap = Unwrap(place.wraps_at) if place.wraps_at else None

    def read(raw: Any) -> Value | None:
        if missing(raw, place):
            return None
        value = number(raw, name)
        return convert(unwrap(value) if unwrap else value)

    return read


def slope_and_start(name: str, place: Place) -> tuple[float, float] | None:
    """Return (slope, start) when the field is float(raw) * slope + start and nothing else; None when it is more."""
    unit = place.unit or house_unit(name)
    if unit in {"name", "flag"} or place.wraps_at or place.missing:
        return None
    return straight(unit=unit, field=name, scale=place.scale * place.sign, offset=place.offset)


def is_blank(raw: Any) -> bool:
    """Say whether there is nothing where the raw value should be."""
    return raw is None or (isinstance(raw, str) and not raw.strip())


def missing(raw: Any, place: Place) -> bool:
    """Say whether the raw value means "not told"."""
    if is_blank(raw):
        return True
    if isinstance(raw, str):
        text = raw.strip()
        return text in place.missing or (bool(place.missing) and same_number(text, place))
    return raw in place.missing


def same_number(text: str, place: Place) -> bool:
    """Say whether the text is one of the missing numbers, however it is written."""
    try:
        return float(text) in place.missing
    except ValueError:
        return False


Key = TypeVar("Key")


@dataclass(frozen=True, slots=True)
class FieldSet(Generic[Key]):
    """The fields of one message, each with the places where it may stand.

    Most are plain numbers with one place: those are read in one loop, because this is done for every datagram.
    """

    numbers: list[tuple[str, Key, float, float]]
    """Name, place, slope and start."""
    others: list[tuple[str, list[tuple[Key, Reader]]]]
    has_parts: bool

    @classmethod
    def of(cls, message: Message, key: Callable[[Place], Key]) -> "FieldSet[Key]":
        """Return a message's fields; key tells places apart."""
        numbers, others = [], []
        for name, places in message.fields.items():
            ends = slope_and_start(name, places[0]) if len(places) == 1 else None
            if ends is None:
                others.append((name, [(key(place), reader(name, place)) for place in places]))
            else:
                numbers.append((name, key(places[0]), *ends))
        return cls(numbers=numbers, others=others, has_parts=not PARTS.isdisjoint(message.fields))

    def places(self) -> list[Key]:
        """Return every place that is asked for."""
        others = [key for _, places in self.others for key, _ in places]
        return [key for _, key, _, _ in self.numbers] + others

    def at(self, position: Callable[[Key], int | None]) -> "FieldSet[int]":
        """Return the same fields by their positions in a list; a place that has none is never found."""
        return FieldSet(
            numbers=[
                (name, at, slope, start)
                for name, key, slope, start in self.numbers
                if (at := position(key)) is not None
            ],
            others=[
                (name, [(at, read) for key, read in places if (at := position(key)) is not None])
                for name, places in self.others
            ],
            has_parts=self.has_parts,
        )

    def read(self, raw_at: Callable[[Key], Any]) -> Fields:
        """Return the fields found; raw_at gives the raw value at a place, None when there is none."""
        values: Fields = {}
        for name, key, slope, start in self.numbers:
            raw = raw_at(key)
            try:
                values[name] = float(raw) * slope + start
            except (TypeError, ValueError, OverflowError):
                if not is_blank(raw):
                    raise RejectError(Reason.SYNTAX, name) from None
        for name, places in self.others:
            for key, read in places:
                raw = raw_at(key)
                value = None if raw is None else read(raw)
                if value is not None:
                    values[name] = value
                    break
        return combine(values) if self.has_parts else values


class Unwrap:
    """Keeps a counter going that starts again from zero at a known value."""

    def __init__(self, period: float) -> None:
        self._period = period
        self._turns = 0
        self._last: float | None = None

    def __call__(self, raw: float) -> float:
        """Return the raw value plus the turns so far; a fall of more than half the period is a turn."""
        if not math.isfinite(raw):
            return raw
        if self._last is not None and self._last - raw > self._period / 2.0:
            self._turns += 1
        elif self._last is not None and raw - self._last > self._period / 2.0 and self._turns:
            self._turns -= 1
        self._last = raw
        return raw + self._turns * self._period
