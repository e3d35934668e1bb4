"""No runway ahead: low, sinking, straight, and the track leads to no runway that is known.

no-runway-ahead  caution below low_ft above the nearest field, within within_nm of it, wings level
Silent           in turns (a base leg ends in one), climbing, where no runway is known near, and on final while the
                 track meets the planned centreline before the threshold
Source           common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.arrival import closes_on_centreline
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayEnd

NONE = "no-runway-ahead"
ARRIVING = frozenset({Phase.APPROACH, Phase.FINAL})


class NoRunwayParams(Params):
    """Where it is asked."""

    low_ft: float = Field(default=400.0, gt=0)
    within_nm: float = Field(default=3.0, gt=0)
    sink_fpm: float = Field(default=250.0, gt=0)
    level_deg: float = Field(default=8.0, gt=0)


class NoRunway:
    """The check for one aircraft."""

    def __init__(self, params: NoRunwayParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        plan: ResolvedPlan,
        altitude_ft: float,
        vertical_speed_fpm: float,
        distance_to_destination_nm: float,
        bank_deg: float,
        tracked_end: RunwayEnd | None = None,
        offset_ft: float | None = None,
        course_difference_deg: float | None = None,
        distance_to_threshold_nm: float | None = None,
    ) -> Iterable[Finding]:
        """Return that nothing lies ahead."""
        params = self._params
        if phase not in ARRIVING or plan.destination is None or tracked_end is not None:
            return
        low = altitude_ft - plan.destination.elevation_ft < params.low_ft
        near = distance_to_destination_nm < params.within_nm
        settled = vertical_speed_fpm < -params.sink_fpm and abs(bank_deg) < params.level_deg
        joining = phase is Phase.FINAL and _joins(offset_ft, course_difference_deg, distance_to_threshold_nm)
        if low and near and settled and not joining:
            yield Finding(alert=NONE, level=Level.CAUTION, amount=2.0, phrase=NONE)


def _joins(offset_ft: float | None, course_difference_deg: float | None, distance_nm: float | None) -> bool:
    if offset_ft is None or course_difference_deg is None or distance_nm is None:
        return False
    return closes_on_centreline(
        offset_ft=offset_ft, course_difference_deg=course_difference_deg, distance_nm=distance_nm
    )


ADVISORY = Advisory(name="no-runway", alerts=(NONE,), params=NoRunwayParams, make=NoRunway)
