"""Fix passed: a fix of the route is behind and the track does not lead to the next point.

Raised   more than advice_nm beyond the fix, with the next point more than off_deg off the track; caution farther on
Quiet    on approach, final and the ground; while the next point comes nearer within off_deg; in a turn towards it, for
         a jet that turns by a right angle over a fix is 2 NM beyond before the next point is ahead
Source   common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.angles import difference_deg, to_magnetic_deg
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase

PASSED = "fix-passed"
ENROUTE = frozenset({Phase.CLIMB, Phase.CRUISE, Phase.DESCENT})


class FixPassedParams(Params):
    """Distances beyond the fix."""

    advice_nm: float = Field(default=2.0, gt=0)
    caution_nm: float = Field(default=5.0, gt=0)
    off_deg: float = Field(default=45.0, gt=0, lt=180)
    turning_deg: float = Field(default=10.0, gt=0, lt=90)
    """Banked so far it is turning."""


class FixPassed:
    """The check for one aircraft."""

    def __init__(self, params: FixPassedParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        track_true_deg: float,
        last_fix: str,
        past_fix_nm: float,
        bearing_to_next_point_deg: float,
        bank_deg: float | None = None,
        magnetic_variation_deg: float | None = None,
    ) -> Iterable[Finding]:
        """Return how far behind the fix is."""
        params = self._params
        right_deg = difference_deg(bearing_to_next_point_deg, track_true_deg)
        if phase not in ENROUTE or abs(right_deg) <= params.off_deg:
            return
        if bank_deg is not None and abs(bank_deg) >= params.turning_deg and bank_deg * right_deg > 0.0:
            return
        yield Finding(
            alert=PASSED,
            level=Level.CAUTION if past_fix_nm >= params.caution_nm else Level.ADVICE,
            amount=past_fix_nm / params.advice_nm,
            phrase=PASSED,
            values={
                "fix": last_fix,
                "past_nm": past_fix_nm,
                "bearing_deg": to_magnetic_deg(bearing_to_next_point_deg, magnetic_variation_deg),
            },
        )


ADVISORY = Advisory(name="fix-passed", alerts=(PASSED,), params=FixPassedParams, make=FixPassed)
