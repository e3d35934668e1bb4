"""Which columns are altitude and vertical speed: the one is the slope of the other.

The ratio of the slope to the vertical speed gives the pair of units, except that metres with metres a second and
feet with feet a second have the same ratio, one. What decides between them is in scale.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from otherseat.adapters.identify.air import coarseness
from otherseat.adapters.identify.columns import Column, is_low_part
from otherseat.adapters.identify.guesses import CLIMB_UNITS, Reading, heights, speeds
from otherseat.adapters.identify.position import Search
from otherseat.adapters.identify.signals import Array

MISFIT = 0.12
UNIT_TOLERANCE = 0.02
HIGHEST_M = 20_000.0
LOWEST_M = -500.0
LEAST_CLIMB_MPS = 0.12
"""Less than any climb: a slow one in feet must not be taken for one in metres because feet seem too few."""
FASTEST_CLIMB_MPS = 100.0
PART = 0.06
"""Added to the misfit of what may be a part of a number: such an altitude is wrong by a number that never changes."""


@dataclass(frozen=True, slots=True, eq=False)
class Climb:
    """One column as altitude, and another as vertical speed."""

    altitude: Column
    altitude_reading: Reading
    rate: Column | None
    rate_reading: Reading | None
    sign: int
    misfit: float
    altitude_m: Array
    """On the study's windows."""
    climb_mps: Array


def climbs(search: Search, free: Sequence[int]) -> list[Climb]:
    """Return every pair of columns and units in which one is the slope of the other, best first."""
    if not free:
        return []
    slopes = search.windows.slope(np.array([search.columns[i].values for i in free]).T)
    means = search.means[:, list(free)]
    power, given = (slopes**2).sum(axis=0)[:, None], (means**2).sum(axis=0)[None, :]
    with np.errstate(all="ignore"):
        product = slopes.T @ means
        misfits = np.sqrt(np.clip(1.0 - product**2 / (power * given), 0.0, 1.0))
        factors = product / given
    found = []
    for row, other in np.argwhere(misfits < MISFIT):
        if row != other and np.isfinite(factors[row, other]) and factors[row, other] != 0.0:
            found += pairs(search, free[row], free[other], float(factors[row, other]), float(misfits[row, other]))
    judged = [replace(climb, misfit=climb.misfit + PART) if is_part(climb, found) else climb for climb in found]
    return sorted(judged, key=lambda climb: climb.misfit)


def is_part(climb: Climb, found: Sequence[Climb]) -> bool:
    """Say whether the altitude is but the lower bytes of another that fits: until they begin anew both do."""
    return any(
        other.rate is climb.rate
        and other.altitude_reading == climb.altitude_reading
        and other.rate_reading == climb.rate_reading
        and is_low_part(climb.altitude, other.altitude)
        for other in found
    )


def pairs(search: Search, index: int, other: int, factor: float, misfit: float) -> list[Climb]:
    """Return the units in which this slope and this rate agree and are those of an aircraft."""
    altitude, rate = search.columns[index], search.columns[other]
    found: list[Climb] = []
    if len(altitude.span()) == 1:
        return found  # no altitude is sent in eight bits: it is the low byte of one, as long as little was climbed
    for height in heights(altitude):
        metres = search.means[:, index] * height.factor()
        if metres.min() < LOWEST_M or metres.max() > HIGHEST_M:
            continue
        for climb in speeds(rate, CLIMB_UNITS):
            if abs(abs(factor) * height.factor() / climb.factor() - 1.0) > UNIT_TOLERANCE:
                continue
            mps = search.means[:, other] * climb.factor() * np.sign(factor)
            size = float(np.sqrt(np.mean(mps**2)))
            if size > LEAST_CLIMB_MPS and np.abs(mps).max() < FASTEST_CLIMB_MPS and np.std(mps) > 0.2 * size:
                total = misfit + coarseness(altitude) + coarseness(rate)
                found.append(Climb(altitude, height, rate, climb, int(np.sign(factor)), total, metres, mps))
    return found
