"""Truth: how big a fault really is, in thresholds of the check that should see it.

Worked out from the flight model's own trajectory, without the engine: a fault counts only when it was flown. A size is
None where the check does not look: above its height, inside its nearest distance.

The one thing that is not the model's truth is the altitude: it is as told, with the altimeter's error in it. The 75 ft
that are accepted before flight (FAA AIM 7-2-3) are 0.4 degrees at 1.8 NM, and nobody who has only the altimeter can
know better.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.flight_model.guidance import spot
from otherseat.daemon.flight_model.legs import Line
from otherseat.daemon.flight_model.model import View

Size = Callable[[View, float], float | None]
"""Of a view and the altitude as told."""
Sizes = Sequence[tuple[float, float]]
"""Times and sizes, in the order of time."""

SEEN_FROM = 1.0
"""Faults smaller than this, in thresholds, must not be said."""
REACHED = 0.9
"""A fault is flown when its mean over a while comes to so much of what was meant."""
BRIEF_S = 2.0
"""One that was meant to be small was as big as the threshold when its mean over so long came to it."""
RECENT_S = 10.0
"""What is said is about what was so recently: the longest hold on final, and a gap in the reports."""


def off_path(*, end: RunwayEnd, limit_deg: float, quiet_nm: float) -> Size:
    """Degrees above the path for a positive limit, below it for a negative one."""

    def size(view: View, altitude_ft: float) -> float | None:
        to_go_nm = spot(view=view, end=end).to_go_nm
        if to_go_nm < quiet_nm:
            return None
        over_ft = altitude_ft - end.elevation_ft - end.threshold_crossing_height_ft
        seen_deg = math.degrees(math.atan2(over_ft, to_go_nm * FT_PER_NM))
        return (seen_deg - end.path_angle_deg) / limit_deg

    return size


def off_centreline(*, end: RunwayEnd, limit_deg: float, aim_nm: float, below_ft: float) -> Size:
    """Degrees right of the centreline for a positive limit, left of it for a negative one."""

    def size(view: View, altitude_ft: float) -> float | None:
        place = spot(view=view, end=end)
        if altitude_ft - end.elevation_ft > below_ft or place.to_go_nm <= 0.0:
            return None
        return math.degrees(math.atan2(place.offset_ft, (place.to_go_nm + aim_nm) * FT_PER_NM)) / limit_deg

    return size


def off_speed(*, end: RunwayEnd, wanted_kt: float, limit_kt: float, below_ft: float) -> Size:
    """Knots faster than wanted for a positive limit, slower for a negative one."""

    def size(view: View, altitude_ft: float) -> float | None:
        if altitude_ft - end.elevation_ft >= below_ft:
            return None
        return (view.airspeed_kt - wanted_kt) / limit_kt

    return size


def sinking(*, end: RunwayEnd, limit_fpm: float, below_ft: float) -> Size:
    """Feet per minute down."""

    def size(view: View, altitude_ft: float) -> float | None:
        if altitude_ft - end.elevation_ft >= below_ft:
            return None
        return -view.vertical_speed_fpm / limit_fpm

    return size


def off_altitude(*, wanted_ft: float, limit_ft: float) -> Size:
    """Feet above an altitude for a positive limit, below it for a negative one."""

    def size(view: View, altitude_ft: float) -> float | None:  # noqa: ARG001 - one signature for all
        return (altitude_ft - wanted_ft) / limit_ft

    return size


def running_dry(*, place: Line, endurance_h: float, reserve_min: float) -> Size:
    """Minutes of reserve over the minutes that will be left at a line's point, by the groundspeed of now."""

    def size(view: View, altitude_ft: float) -> float | None:  # noqa: ARG001 - one signature for all
        along_nm, across_ft = place.locate(view)
        to_go_nm = math.hypot(along_nm, across_ft / FT_PER_NM)
        return reserve_min / max((endurance_h - to_go_nm / view.groundspeed_kt) * 60.0, 0.1)

    return size


def behind(*, place: Line, limit_nm: float) -> Size:
    """Miles by which a line's point lies behind, along the present track; negative ahead."""

    def size(view: View, altitude_ft: float) -> float | None:  # noqa: ARG001 - one signature for all
        along_nm, across_ft = place.locate(view)
        off = math.radians(view.track_true_deg - place.course_true_deg)
        return (along_nm * math.cos(off) + across_ft / FT_PER_NM * math.sin(off)) / limit_nm

    return size


@dataclass(slots=True)
class Beyond:
    """Miles beyond a runway end's centreline, on the other side than the first view's."""

    end: RunwayEnd
    limit_nm: float
    _side: float | None = field(default=None, init=False)

    def __call__(self, view: View, altitude_ft: float) -> float | None:  # noqa: ARG002 - one signature for all
        """Return how far through; negative before the centreline."""
        offset_nm = spot(view=view, end=self.end).offset_ft / FT_PER_NM
        if self._side is None:
            self._side = math.copysign(1.0, offset_nm)
        return -self._side * offset_nm / self.limit_nm


def kept_up(sizes: Sizes, *, for_s: float) -> float | None:
    """Return the greatest mean over a stretch of so many seconds; None when there is no such stretch."""
    best: float | None = None
    first, total = 0, 0.0
    for last, (time_s, size) in enumerate(sizes):
        total += size
        while first < last and time_s - sizes[first + 1][0] >= for_s:
            total -= sizes[first][1]
            first += 1
        if time_s - sizes[first][0] >= for_s:
            mean = total / (last - first + 1)
            best = mean if best is None else max(best, mean)
    return best


def was_flown(*, meant: float, sizes: Sizes, kept_s: float) -> bool:
    """Say whether a fault came to what was meant and stayed there."""
    reached = kept_up(sizes, for_s=kept_s)
    return reached is not None and reached >= REACHED * meant


def was_whole(*, sizes: Sizes, by_s: float) -> bool:
    """Say whether a fault that was meant to be small was in truth as big as the threshold shortly before a moment."""
    recent = [(time_s, size) for time_s, size in sizes if by_s - RECENT_S <= time_s <= by_s]
    brief = kept_up(recent, for_s=BRIEF_S)
    return brief is not None and brief >= SEEN_FROM
