"""A column: one number that every datagram of one kind brings, and where it stands."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
COUNTS = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One number over time."""

    place: Mapping[str, Any]
    """What a layout says of the place: column, key, at and type, or group and item."""
    message: int
    """Which of the stream's messages brings it."""
    values: Array
    """On the study's own times."""
    whole: bool
    """Only whole numbers came: a scale is likely."""
    order: str = ""
    """Binary: the byte order under which these values were read."""
    counts: bool = False
    """It goes on by one with every datagram that brings it, or by that in a byte above the lowest."""
    unsigned: tuple[Mapping[str, Any], ...] = ()
    """Binary: the places at which the same numbers are read without a sign, the narrowest first."""

    def label(self) -> str:
        """Return the place in words."""
        words = {"column": "column {}", "key": "key {}"}
        for key, form in words.items():
            if key in self.place:
                return form.format(self.place[key])
        if "group" in self.place:
            return f"record {self.place['group']} item {self.place['item']}"
        return f"byte {self.place['at']} as {self.place['type']}"

    def span(self) -> range:
        """Return the bytes that it takes, for binary columns; an empty range for others."""
        if "at" not in self.place:
            return range(0)
        start = int(self.place["at"])
        return range(start, start + int(str(self.place["type"])[1:]) // 8)


def has_decimals(column: Column) -> bool:
    """Say whether a column is no whole number of so many bytes, which may be in any scale, or be part of another."""
    return str(column.place.get("type", "f64")).startswith("f")


@dataclass(frozen=True, slots=True, eq=False)
class Raw:
    """A column as it came: with the times of its own message."""

    place: Mapping[str, Any]
    message: int
    times_s: Array
    values: Array
    order: str = ""
    unsigned: tuple[Mapping[str, Any], ...] = ()
    """As in a Column."""


def is_low_part(one: Column | Raw, other: Column | Raw) -> bool:
    """Say whether the one is the lower bytes of the other, both whole numbers in the same byte order."""
    kinds = [str(each.place.get("type", "")) for each in (one, other)]
    if one.message != other.message or not all(kind[:1] in {"i", "u"} for kind in kinds):
        return False
    sizes = [int(kind[1:]) // 8 for kind in kinds]
    if sizes[0] >= sizes[1] or (sizes[0] > 1 and one.order != other.order):
        return False
    from_end = sizes[1] - sizes[0] if other.order == "big" else 0
    return bool(one.place["at"] == other.place["at"] + from_end)


@dataclass(frozen=True, slots=True)
class Shape:
    """How the stream is cut, in the words of a layout."""

    kind: str
    section: Mapping[str, Any]
    """The table of that kind: delimiter, byte order and so on."""
    messages: tuple[Mapping[str, Any], ...]
    """What each message says besides its fields: tag, magic, length."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A stream cut into columns."""

    shape: Shape
    columns: list[Raw]
    notes: tuple[str, ...] = ()


def number(text: Any) -> float:
    """Return the value as a number, NaN when it is none."""
    if isinstance(text, bool):
        return float(text)
    try:
        return float(text)
    except (TypeError, ValueError, OverflowError):
        return float("nan")


def onto(raw: Raw, grid_s: Array) -> Column:
    """Return the column on other times: between two samples in a line, but never across a jump such as 359 to 1."""
    good = np.isfinite(raw.values)
    times_s, values = raw.times_s[good], raw.values[good]
    right = np.clip(np.searchsorted(times_s, grid_s), 1, len(times_s) - 1)
    left = right - 1
    width = np.maximum(times_s[right] - times_s[left], 1e-9)
    share = np.clip((grid_s - times_s[left]) / width, 0.0, 1.0)
    step = values[right] - values[left]
    jump = np.abs(step) > 0.4 * (np.ptp(values) or 1.0)
    between = np.where(jump, np.where(share < 0.5, values[left], values[right]), values[left] + share * step)  # noqa: PLR2004 - the nearer one
    return Column(
        place=raw.place,
        message=raw.message,
        values=between,
        whole=bool(np.all(values == np.round(values))),
        order=raw.order,
        counts=is_counter(values),
        unsigned=raw.unsigned,
    )


def is_counter(values: Array) -> bool:
    """Say whether it goes on by one every time, or by 256 times that, but where a datagram was lost."""
    steps = np.diff(values)
    return any(bool(np.mean(steps == step) > COUNTS) for step in (1.0, 256.0, 65_536.0))
