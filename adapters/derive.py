"""Groundspeed, track and vertical speed from positions, for sources that do not send them.

The slope of latitude, longitude and altitude over the last WINDOW_S seconds (first to last sample), on the ellipsoid
of WGS-84 by its radii of curvature. No number before SHORTEST_S seconds have been seen, and no track when still.
Source of the radii: NIMA TR8350.2, section 4 (meridian and prime vertical).
"""

import math
from collections import deque

from otherseat.adapters.parts import ECCENTRICITY_SQUARED, SEMI_MAJOR_M, velocity
from otherseat.advisories.state import Fields
from otherseat.advisories.units import KT_PER_MPS

WINDOW_S = 2.0
SHORTEST_S = 0.5
SPACING_S = 0.05
"""A sample no nearer than this to the one before: enough for a slope, and it bounds the memory."""
FASTEST_KT = 5_000.0
"""Faster than this was a jump in position."""

Sample = tuple[float, float, float, float | None]
"""time_s, latitude_deg, longitude_deg, altitude_ft"""
SLOPES = frozenset({"groundspeed_kt", "track_true_deg", "vertical_speed_fpm"})
"""What can be worked out."""


def metres_per_degree(latitude_deg: float) -> tuple[float, float]:
    """Return metres north per degree of latitude and metres east per degree of longitude."""
    sine = math.sin(math.radians(latitude_deg))
    root = math.sqrt(1.0 - ECCENTRICITY_SQUARED * sine * sine)
    north = SEMI_MAJOR_M * (1.0 - ECCENTRICITY_SQUARED) / root**3
    east = SEMI_MAJOR_M / root * math.cos(math.radians(latitude_deg))
    return math.radians(north), math.radians(east)


class Derived:
    """The last few positions of one aircraft."""

    def __init__(self) -> None:
        self._samples: deque[Sample] = deque()

    def step(self, *, time_s: float, fresh: Fields) -> Fields:
        """Return what is missing in the fresh values and can be worked out; their position is noted for that.

        Where nothing is missing no position is noted: should it stop coming, SHORTEST_S pass before there is a number.
        """
        if fresh.keys() >= SLOPES:
            return {}
        latitude, longitude = fresh.get("latitude_deg"), fresh.get("longitude_deg")
        if latitude is None or longitude is None:
            return {}
        altitude = fresh.get("altitude_ft")
        self._add((time_s, float(latitude), float(longitude), None if altitude is None else float(altitude)))
        found = self._slopes()
        if found.get("groundspeed_kt", 0.0) > FASTEST_KT:
            self._samples.clear()
            return {}
        return {name: value for name, value in found.items() if name not in fresh}

    def _add(self, sample: Sample) -> None:
        """Append the sample and drop those outside the window."""
        if self._samples and sample[0] - self._samples[-1][0] < SPACING_S:
            return
        self._samples.append(sample)
        while sample[0] - self._samples[0][0] > WINDOW_S:
            self._samples.popleft()

    def _slopes(self) -> dict[str, float]:
        """Return groundspeed, track and vertical speed over the window."""
        first, last = self._samples[0], self._samples[-1]
        seconds = last[0] - first[0]
        if seconds < SHORTEST_S:
            return {}
        per_latitude, per_longitude = metres_per_degree((first[1] + last[1]) / 2.0)
        east_deg = (last[2] - first[2] + 180.0) % 360.0 - 180.0
        speeds = velocity(
            (last[1] - first[1]) * per_latitude / seconds * KT_PER_MPS, east_deg * per_longitude / seconds * KT_PER_MPS
        )
        if first[3] is not None and last[3] is not None:
            speeds["vertical_speed_fpm"] = (last[3] - first[3]) / seconds * 60.0
        return {name: float(value) for name, value in speeds.items()}
