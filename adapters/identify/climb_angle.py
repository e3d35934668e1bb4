"""Whether what looks like a vertical speed is a climb angle: at one steady speed the two are alike.

At 111 kt an angle in degrees is as big as the vertical speed in metres a second, and would make feet of metres. What
tells them apart is another speed: an angle fits only when the speed multiplies it. Until that is flown the column may
be either, and the altitude may be in every unit that either makes of it; a law of scale.py may choose among these.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import HEIGHT_UNITS, Reading
from otherseat.adapters.identify.position import Search
from otherseat.adapters.identify.signals import Array, through_origin
from otherseat.adapters.identify.vertical import Climb

MARGIN = 0.002
"""Of the misfit: two that lie nearer fit alike."""
SIZE_OFF = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Slant:
    """A pair whose vertical speed may be a climb angle."""

    climb: Climb
    rate: Column
    unit: str
    """Of the angle."""
    readings: tuple[Reading, ...]
    """Of the altitude, if it is one."""
    surely: bool
    """As a vertical speed it fits worse."""

    def words(self) -> str:
        """Return what can't be told, and what tells."""
        return (
            f"vertical speed or climb angle: {self.rate.label()} is one of them (an angle in {self.unit}); at "
            "the speed flown they are alike. It settles itself when you climb or descend 20 kt faster or slower; "
            "`otherseat fly` works the vertical speed out from the altitudes meanwhile"
        )


def slant_of(climb: Climb, search: Search, speed_mps: Array) -> Slant | None:
    """Return how the vertical speed of a pair may be a climb angle; None when it can't be one."""
    if climb.rate is None:
        return None
    slope = search.windows.slope(climb.altitude.values)
    mean = search.means[:, next(i for i, column in enumerate(search.columns) if column is climb.rate)]
    as_rate = through_origin(slope, mean)[1]
    for unit in ("deg", "rad"):
        factor, misfit = through_origin(slope, np.radians(mean * Reading(unit).factor()) * speed_mps)
        readings = tuple(each for each in map(Reading, HEIGHT_UNITS) if abs(factor * each.factor() - 1.0) < SIZE_OFF)
        if readings and misfit < as_rate + MARGIN:
            return Slant(climb, climb.rate, unit, readings, surely=misfit < as_rate - MARGIN)
    return None


def as_read(slants: Sequence[Slant], search: Search) -> dict[Reading, Climb]:
    """Return the climbs of these, which are one pair in several units, by the unit of the altitude.

    In one that only an angle makes of it the climb has no vertical speed.
    """
    found = {slant.climb.altitude_reading: slant.climb for slant in slants}
    climb = slants[0].climb
    raw = climb.altitude_m / climb.altitude_reading.factor()
    slope = search.windows.slope(climb.altitude.values)
    for reading in slants[0].readings:
        metres, mps = raw * reading.factor(), slope * reading.factor()
        alone = replace(climb, altitude_reading=reading, rate=None, rate_reading=None, altitude_m=metres, climb_mps=mps)
        found.setdefault(reading, alone)
    return found
