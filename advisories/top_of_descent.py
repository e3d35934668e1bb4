"""Top of descent: when to start down, and that it is behind and the aircraft still level.

top-of-descent         a routine call, announce_s before the point
top-of-descent-passed  still in the cruise and more than late_nm past it; advice, caution once the angle now needed is
                       steep_factor times the usual one
Asked                  in the cruise, towards the destination, with a cruise height of at least least_height_ft above it
Source                 the point: descent.py. The limits are common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.descent import GATE_FT, USUAL_PATH_DEG
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.path import sink_rate_to_hold_fpm
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan

POINT = "top-of-descent"
PASSED = "top-of-descent-passed"


class TopOfDescentParams(Params):
    """When it is said."""

    announce_s: float = Field(default=60.0, gt=0)
    late_nm: float = Field(default=2.0, gt=0)
    steep_factor: float = Field(default=1.4, gt=1)
    farthest_late_nm: float = Field(default=40.0, gt=0)
    least_height_ft: float = Field(default=2_500.0, ge=0)
    """To lose before the gate; less is a low cruise that ends in the circuit."""
    nearest_nm: float = Field(default=6.0, ge=0)
    """Nearer than this it is too late to plan a descent; high on final or passing says the rest."""


class TopOfDescent:
    """The check for one aircraft."""

    def __init__(self, params: TopOfDescentParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        plan: ResolvedPlan,
        groundspeed_kt: float,
        closing_speed_kt: float,
        altitude_ft: float,
        distance_to_go_nm: float,
        top_of_descent_nm: float,
        descent_angle_needed_deg: float | None = None,
    ) -> Iterable[Finding]:
        """Return where the point is."""
        params = self._params
        if phase is not Phase.CRUISE or plan.destination is None or closing_speed_kt <= 0.0:
            return
        to_lose_ft = altitude_ft - plan.destination.elevation_ft - GATE_FT
        if to_lose_ft < params.least_height_ft or distance_to_go_nm < params.nearest_nm:
            return
        angle_deg = plan.plan.path_angle_deg or USUAL_PATH_DEG
        sink_fpm = sink_rate_to_hold_fpm(groundspeed_kt=groundspeed_kt, angle_deg=angle_deg)
        ahead_s = top_of_descent_nm / max(groundspeed_kt, 1.0) * 3_600.0
        if 0.0 <= ahead_s <= params.announce_s:
            values: dict[str, float | str] = {
                "to_go_nm": top_of_descent_nm,
                "sink_fpm": sink_fpm,
                "to_lose_ft": to_lose_ft,
            }
            yield Finding(alert=POINT, level=Level.CALL, amount=1.0, phrase=POINT, values=values)
        late_nm = -top_of_descent_nm
        if not 0.0 < late_nm <= params.farthest_late_nm:
            return
        steep = descent_angle_needed_deg is None or descent_angle_needed_deg >= params.steep_factor * angle_deg
        late: dict[str, float | str] = {"past_nm": late_nm}
        if descent_angle_needed_deg is not None:
            late["path_angle_deg"] = descent_angle_needed_deg
        yield Finding(
            alert=PASSED,
            level=Level.CAUTION if steep else Level.ADVICE,
            amount=late_nm / params.late_nm,
            phrase=PASSED,
            values=late,
        )


ADVISORY = Advisory(name="top-of-descent", alerts=(POINT, PASSED), params=TopOfDescentParams, make=TopOfDescent)
