"""Which units and scales a column may be in, by what it is thought to be.

A column of whole numbers may be scaled by a power of ten, or be a fraction of a circle in so many bits; a column
with decimals is taken as it is. Which of these it is, physics decides.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.signals import Array
from otherseat.adapters.units_table import UNITS

DECADES = (1.0, 1e-1, 1e-2, 1e-3, 1e-4)
CIRCLE_BITS = (8, 16, 32)
SPEED_UNITS = ("kt", "m/s", "km/h", "ft/s", "mph")
CLIMB_UNITS = ("ft/min", "m/s", "ft/s")
HEIGHT_UNITS = ("ft", "m")


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a column: raw * scale is in the unit."""

    unit: str
    scale: float = 1.0

    def factor(self) -> float:
        """Return what one raw step is worth in the base unit of its dimension."""
        return UNITS[self.unit].factor * self.scale


def decades(column: Column) -> tuple[float, ...]:
    """Return the scales that a column of this kind may have."""
    return DECADES if column.whole else (1.0,)


def angles(column: Column) -> Iterator[Reading]:
    """Yield the readings of an angle."""
    for unit in ("deg", "rad"):
        for scale in decades(column):
            yield Reading(unit, scale)
    if column.whole:
        for bits in CIRCLE_BITS:
            yield Reading("turns", 2.0**-bits)
    if not column.whole:
        yield Reading("semicircles")
        yield Reading("turns")


FINE_ANGLES = (
    *(Reading("deg", scale) for scale in (1e-4, 1e-5, 1e-6, 1e-7, 1e-8)),
    *(Reading("rad", scale) for scale in (1e-6, 1e-7, 1e-8, 1e-9)),
    *(Reading("semicircles", 2.0**-bits) for bits in (23, 31, 63)),
    Reading("arcsec", 1e-2),
    Reading("arcsec", 1e-3),
    Reading("ddmm", 1e-4),
    Reading("ddmm", 1e-5),
)
GLOBE_DEG = 175.0


def fine_angles(column: Column) -> Iterator[Reading]:
    """Yield the readings of an angle of position: steps of some ten metres at most, and room for the whole globe."""
    if not column.whole:
        yield from (Reading(unit) for unit in ("deg", "rad", "semicircles", "turns", "ddmm"))
        return
    kind = str(column.place.get("type", "f64"))
    for reading in FINE_ANGLES:
        if kind[0] == "f" or 2.0 ** (int(kind[1:]) - 1) * reading.factor() > GLOBE_DEG:
            yield reading


def speeds(column: Column, units: tuple[str, ...] = SPEED_UNITS) -> Iterator[Reading]:
    """Yield the readings of a speed."""
    for unit in units:
        for scale in decades(column):
            yield Reading(unit, scale)


def heights(column: Column) -> Iterator[Reading]:
    """Yield the readings of a height."""
    for unit in HEIGHT_UNITS:
        for scale in decades(column):
            yield Reading(unit, scale)


def in_degrees(column: Column, reading: Reading) -> Array:
    """Return an angle's values in degrees."""
    if reading.unit == "ddmm":
        raw = np.abs(column.values) * reading.scale
        whole = np.floor(raw / 100.0)
        return np.asarray(np.sign(column.values) * (whole + (raw - 100.0 * whole) / 60.0))
    return column.values * reading.factor()


def within(factor: float, readings: Iterator[Reading], tolerance: float) -> list[Reading]:
    """Return the readings whose factor is that measured, within the tolerance (a ratio); the nearest first."""
    near = [(abs(reading.factor() / factor - 1.0), reading) for reading in readings] if factor > 0 else []
    return [reading for miss, reading in sorted(near, key=lambda item: item[0]) if miss <= tolerance]


def closest(factor: float, readings: Iterator[Reading], tolerance: float) -> Reading | None:
    """Return the reading whose factor is nearest to the one measured, when it is within the tolerance (a ratio)."""
    best = (
        min(readings, key=lambda reading: abs(np.log(reading.factor() / factor)), default=None) if factor > 0 else None
    )
    return best if best and abs(best.factor() / factor - 1.0) <= tolerance else None
