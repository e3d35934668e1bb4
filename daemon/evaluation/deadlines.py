"""Deadlines: the last moment at which an alert about a fault is of use."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.flight_model.guidance import spot
from otherseat.daemon.flight_model.legs import Line
from otherseat.daemon.flight_model.model import View

BEFORE_KT = 40.0
"""A take-off can be stopped with little more than its brakes."""
PASSED_WITHIN_S = 60.0
STRAYED_WITHIN_S = 60.0
"""From the threshold on: at 1,000 ft/min the next level is reached by then."""
DRY_WITHIN_S = 60.0
"""In cruise, fuel that runs low does so by the minute."""
UNSTABLE_ABOVE_FT = 400.0
LANDING_ABOVE_FT = 300.0
SETTING_ABOVE_FT = 1_000.0
"""The first gate: from here on an approach is flown by what the altimeter says."""


@dataclass(frozen=True, slots=True)
class Deadline:
    """When it is too late."""

    words: str
    """As the table names it."""
    over: Callable[[View, float], bool]
    """Whether it is, at this view and so many seconds after the fault began."""


def above(height_ft: float, *, end: RunwayEnd) -> Deadline:
    """Too late below a height above a runway end."""
    return Deadline(
        words=f"above {height_ft:.0f} ft", over=lambda view, _: view.altitude_ft - end.elevation_ft < height_ft
    )


def before_along(line: Line, *, nm: float, words: str) -> Deadline:
    """Too late so far along a line."""
    return Deadline(words=words, over=lambda view, _: line.locate(view)[0] >= nm)


def slower_than(speed_kt: float) -> Deadline:
    """Too late from a groundspeed up."""
    return Deadline(words=f"before {speed_kt:.0f} kt", over=lambda view, _: view.groundspeed_kt >= speed_kt)


def within(seconds: float) -> Deadline:
    """Too late so long after it began."""
    return Deadline(words=f"within {seconds:.0f} s", over=lambda _, since_s: since_s > seconds)


def flatter_than(angle_deg: float, *, gate_ft: float, gate_nm: float, end: RunwayEnd) -> Deadline:
    """Too late once the way down to a gate before a runway end is as steep as that."""
    slope = math.tan(math.radians(angle_deg))

    def over(view: View, _since_s: float) -> bool:
        place = spot(view=view, end=end)
        return place.height_ft - gate_ft >= (place.to_go_nm - gate_nm) * FT_PER_NM * slope

    return Deadline(words=f"before {angle_deg:.1f} deg down", over=over)
