"""Centreline: left or right of the extended centreline on final, and not closing on it.

offset-left, offset-right  more than the profile's offset_deg, seen from aim_nm beyond the threshold; advice,
                           caution from twice that
Silent                     above below_ft, away from final, and while the track leads back onto the centreline before
                           the threshold
Source                     2.5 deg is about full scale of a localiser, 105 m at the threshold (ICAO Annex 10, vol. I,
                           3.1.3.7, from memory); the levels are common practice, no source
"""

import math
from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.arrival import closes_on_centreline
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.units import FT_PER_NM

LEFT = "offset-left"
RIGHT = "offset-right"
SERIOUS = 2.0


class CentrelineParams(Params):
    """Where it is asked."""

    below_ft: float = Field(default=800.0, gt=0)
    aim_nm: float = Field(default=0.8, gt=0)
    closing_deg: float = Field(default=1.0, ge=0)
    """Turned so far towards the centreline counts as closing on it."""


class Centreline:
    """The check for one aircraft."""

    def __init__(self, params: CentrelineParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        offset_ft: float,
        distance_to_threshold_nm: float,
        course_difference_deg: float,
        height_above_threshold_ft: float,
        profile: AircraftProfile,
    ) -> Iterable[Finding]:
        """Return how far left or right it is."""
        params = self._params
        if phase is not Phase.FINAL or height_above_threshold_ft > params.below_ft or distance_to_threshold_nm <= 0.0:
            return
        alert = RIGHT if offset_ft > 0.0 else LEFT
        closing = closes_on_centreline(
            offset_ft=offset_ft,
            course_difference_deg=course_difference_deg,
            distance_nm=distance_to_threshold_nm,
            least_deg=params.closing_deg,
        )
        seen_deg = math.degrees(math.atan2(abs(offset_ft), (distance_to_threshold_nm + params.aim_nm) * FT_PER_NM))
        amount = 0.0 if closing else seen_deg / profile.offset_deg
        yield Finding(
            alert=alert,
            level=Level.CAUTION if amount >= SERIOUS else Level.ADVICE,
            amount=amount,
            phrase=alert,
            values={"offset_ft": abs(offset_ft)},
        )


ADVISORY = Advisory(name="centreline", alerts=(LEFT, RIGHT), params=CentrelineParams, make=Centreline)
