"""Top of descent: when to start down, and that it is behind and the aircraft still level.

top-of-descent         a routine call, announce_s before the point
top-of-descent-passed  still in the cruise and more than late_nm past it; advice, caution once the angle now needed is
                       steep_factor times the usual one
Way                    to the runway, not to the field: the way round by a final of final_s is added where the end is
                       known, as for an arrival on downwind; fixes of the route that are left have it in them. Where
                       the field alone is planned, twice that final is allowed for beyond late_nm
Begun                  come_down_ft below the highest level flown the descent is under way, and a level stretch of it
                       is a controller's business: late_nm is begun_factor times as far, the angle is not looked at
                       (recorded arrivals are kept high by up to 20 NM: tests/real_traffic)
Asked                  in the cruise, towards the destination, with a cruise height of at least least_height_ft above it
Source                 the point: descent.py. The limits are common practice, no source
"""

import math
from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.descent import GATE_FT, GATE_NM, USUAL_PATH_DEG
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.path import angle_needed_deg, sink_rate_to_hold_fpm
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.units import FT_PER_NM

POINT = "top-of-descent"
PASSED = "top-of-descent-passed"


class TopOfDescentParams(Params):
    """When it is said."""

    announce_s: float = Field(default=60.0, gt=0)
    late_nm: float = Field(default=2.0, gt=0)
    steep_factor: float = Field(default=1.4, gt=1)
    final_s: float = Field(default=180.0, ge=0)
    """How long a final is flown, at the profile's approach speed."""
    come_down_ft: float = Field(default=1_000.0, gt=0)
    begun_factor: float = Field(default=10.0, ge=1)
    farthest_late_nm: float = Field(default=40.0, gt=0)
    least_height_ft: float = Field(default=2_500.0, ge=0)
    """To lose before the gate; less is a low cruise that ends in the circuit."""
    nearest_nm: float = Field(default=6.0, ge=0)
    """Nearer than this it is too late to plan a descent; high on final or passing says the rest."""


class TopOfDescent:
    """The check for one aircraft."""

    def __init__(self, params: TopOfDescentParams) -> None:
        self._params = params
        self._top_ft = float("-inf")

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
        next_point: str | None = None,
        distance_to_threshold_nm: float | None = None,
        offset_ft: float | None = None,
        profile: AircraftProfile | None = None,
    ) -> Iterable[Finding]:
        """Return where the point is."""
        params = self._params
        self._top_ft = max(self._top_ft, altitude_ft)
        if phase is not Phase.CRUISE or plan.destination is None or closing_speed_kt <= 0.0:
            return
        to_lose_ft = altitude_ft - plan.destination.elevation_ft - GATE_FT
        if to_lose_ft < params.least_height_ft or distance_to_go_nm < params.nearest_nm:
            return
        if next_point is None or next_point == plan.destination.ident:
            round_nm = self._way_round_nm(distance_to_go_nm, distance_to_threshold_nm, offset_ft, profile)
            top_of_descent_nm += round_nm
            if round_nm > 0.0:
                to_gate_nm = distance_to_go_nm + round_nm - GATE_NM
                descent_angle_needed_deg = angle_needed_deg(height_to_lose_ft=to_lose_ft, distance_nm=to_gate_nm)
        begun = altitude_ft <= self._top_ft - params.come_down_ft
        limit_nm = params.late_nm * (params.begun_factor if begun else 1.0)
        limit_nm += self._allowed_nm(distance_to_threshold_nm, profile)
        angle_deg = plan.plan.path_angle_deg or USUAL_PATH_DEG
        ahead_s = top_of_descent_nm / max(groundspeed_kt, 1.0) * 3_600.0
        if 0.0 <= ahead_s <= params.announce_s:
            sink_fpm = sink_rate_to_hold_fpm(groundspeed_kt=groundspeed_kt, angle_deg=angle_deg)
            values = {"to_go_nm": top_of_descent_nm, "sink_fpm": sink_fpm, "to_lose_ft": to_lose_ft}
            yield Finding(alert=POINT, level=Level.CALL, amount=1.0, phrase=POINT, values=values)
        if 0.0 < -top_of_descent_nm <= params.farthest_late_nm:
            steepest_deg = VERTICAL_DEG if begun else params.steep_factor * angle_deg
            yield _passed(-top_of_descent_nm, limit_nm=limit_nm, needed_deg=descent_angle_needed_deg, most=steepest_deg)

    def _allowed_nm(self, distance_to_threshold_nm: float | None, profile: AircraftProfile | None) -> float:
        """Return what the way round may be where no end is known."""
        if distance_to_threshold_nm is not None or profile is None:
            return 0.0
        return 2.0 * profile.approach_speed_kt * self._params.final_s / 3_600.0

    def _way_round_nm(
        self,
        straight_nm: float,
        distance_to_threshold_nm: float | None,
        offset_ft: float | None,
        profile: AircraftProfile | None,
    ) -> float:
        """Return how much longer than straight to the field the way by a final is; 0 when the end is not known."""
        if distance_to_threshold_nm is None or offset_ft is None or profile is None:
            return 0.0
        final_nm = profile.approach_speed_kt * self._params.final_s / 3_600.0
        to_final_nm = math.hypot(final_nm - distance_to_threshold_nm, offset_ft / FT_PER_NM)
        return max(to_final_nm + final_nm - straight_nm, 0.0)


def _passed(late_nm: float, *, limit_nm: float, needed_deg: float | None, most: float) -> Finding:
    """Return how far it is passed: a caution once the angle now needed, or one not known, is more than the most."""
    steep = most < VERTICAL_DEG and (needed_deg is None or needed_deg >= most)
    values = {"past_nm": late_nm} | ({} if needed_deg is None else {"path_angle_deg": needed_deg})
    return Finding(
        alert=PASSED,
        level=Level.CAUTION if steep else Level.ADVICE,
        amount=late_nm / limit_nm,
        phrase=PASSED,
        values=values,
    )


VERTICAL_DEG = 90.0

ADVISORY = Advisory(name="top-of-descent", alerts=(POINT, PASSED), params=TopOfDescentParams, make=TopOfDescent)
