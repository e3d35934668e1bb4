"""Approach speed: too fast or too slow on final, against the plan's approach speed or the profile's.

too-fast  faster than approach speed + approach_faster_kt; advice, caution from twice that
too-slow  slower than approach speed - approach_slower_kt; caution, warning from twice that: slow is one level more
          serious than fast
Silent    away from final, above below_ft, in the flare, and while it climbs: that is a go-around, flown faster
Source    FSF ALAR briefing note 7.1: not more than VREF + 20 kt and not less than VREF; the profile's margins are
          tighter for light aircraft (common practice, no source)
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.profile import AircraftProfile

FAST = "too-fast"
SLOW = "too-slow"


class ApproachSpeedParams(Params):
    """Where it is asked."""

    below_ft: float = Field(default=1_000.0, gt=0)
    quiet_ft: float = Field(default=60.0, ge=0)
    climbing_fpm: float = Field(default=300.0, gt=0)


class ApproachSpeed:
    """The check for one aircraft."""

    def __init__(self, params: ApproachSpeedParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        indicated_airspeed_kt: float,
        height_above_threshold_ft: float,
        plan: ResolvedPlan,
        profile: AircraftProfile,
        vertical_speed_fpm: float | None = None,
    ) -> Iterable[Finding]:
        """Return how far from the approach speed it is."""
        params = self._params
        if phase is not Phase.FINAL or not params.quiet_ft < height_above_threshold_ft < params.below_ft:
            return
        climbing = vertical_speed_fpm is not None and vertical_speed_fpm > params.climbing_fpm
        wanted_kt = plan.plan.approach_speed_kt or profile.approach_speed_kt
        off_kt = indicated_airspeed_kt - wanted_kt
        values: dict[str, float | str] = {"deviation_kt": abs(off_kt), "approach_speed_kt": wanted_kt}
        if off_kt >= 0.0:
            if climbing:
                return
            amount = off_kt / profile.approach_faster_kt
            level = Level.CAUTION if amount >= SERIOUS else Level.ADVICE
            yield Finding(alert=FAST, level=level, amount=amount, phrase=FAST, values=values)
        else:
            amount = -off_kt / profile.approach_slower_kt
            level = Level.WARNING if amount >= SERIOUS else Level.CAUTION
            yield Finding(alert=SLOW, level=level, amount=amount, phrase=SLOW, values=values)


SERIOUS = 2.0
"""Times the margin at which the level rises."""

ADVISORY = Advisory(name="approach-speed", alerts=(FAST, SLOW), params=ApproachSpeedParams, make=ApproachSpeed)
