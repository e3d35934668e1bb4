"""One field of a layout, made ready: raw value in, the house's value out."""

import math
from collections.abc import Callable
from typing import Any, Generic, TypeVar

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.layout_model import Message, Place
from otherseat.adapters.parts import combine
from otherseat.adapters.units_table import converter, house_unit
from otherseat.advisories.state import Fields, Value

Reader = Callable[[Any], Value | None]
"""Returns the value in house units, or None when the raw value means "not told"; RejectError when it is no value."""

TRUE_WORDS = frozenset({"true", "yes", "on", "y", "t"})
FALSE_WORDS = frozenset({"false", "no", "off", "n", "f"})


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
    """Return a reader for a flag sent as a number or a word."""

    def read(raw: Any) -> Value | None:
        word = raw.strip().lower() if isinstance(raw, str) else raw
        if word in TRUE_WORDS or word in FALSE_WORDS:
            return (word in TRUE_WORDS) is not place.invert
        if missing(word, place):
            return None
        value = number(word, name) * place.scale + place.offset
        if place.bit is not None:
            value = whole(value, name) >> place.bit & 1
        return (value >= place.at_least) is not place.invert

    return read


def number_reader(name: str, place: Place, unit: str) -> Reader:
    """Return a reader for a number with a unit."""
    convert = converter(unit=unit, field=name, scale=place.scale * place.sign, offset=place.offset)
    unwrap = Unwrap(place.wraps_at) if place.wraps_at else None
    may_be_missing = bool(place.missing)

    def read(raw: Any) -> Value | None:
        if (may_be_missing or not raw) and missing(raw, place):
            return None
        try:  # as in `number`: this runs for every number of every datagram
            value = float(raw)
        except (TypeError, ValueError, OverflowError):
            raise RejectError(Reason.SYNTAX, name) from None
        return convert(unwrap(value) if unwrap else value)

    return read


def missing(raw: Any, place: Place) -> bool:
    """Say whether the raw value means "not told"."""
    if raw is None:
        return True
    if isinstance(raw, str):
        text = raw.strip()
        return not text or text in place.missing or (bool(place.missing) and same_number(text, place))
    return raw in place.missing


def same_number(text: str, place: Place) -> bool:
    """Say whether the text is one of the missing numbers, however it is written."""
    try:
        return float(text) in place.missing
    except ValueError:
        return False


Key = TypeVar("Key")


class FieldSet(Generic[Key]):
    """The fields of one message, each with the places where it may stand."""

    def __init__(self, message: Message, key: Callable[[Place], Key]) -> None:
        self._fields: list[tuple[str, list[tuple[Key, Reader]]]] = [
            (name, [(key(place), reader(name, place)) for place in places]) for name, places in message.fields.items()
        ]

    def places(self) -> list[Key]:
        """Return every place that is asked for."""
        return [key for _, places in self._fields for key, _ in places]

    def read(self, raw_at: Callable[[Key], Any]) -> Fields:
        """Return the fields found; raw_at gives the raw value at a place, None when there is none."""
        values: Fields = {}
        for name, places in self._fields:
            for key, read in places:
                raw = raw_at(key)
                value = None if raw is None else read(raw)
                if value is not None:
                    values[name] = value
                    break
        return combine(values)


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
