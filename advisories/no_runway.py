"""No runway ahead: low, sinking, straight, and the track leads to no runway that is known.

no-runway-ahead  caution below low_ft above the nearest field, within within_nm of it, wings level
Silent           in turns (a base leg ends in one), climbing, and where no runway is known near
Source           common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
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
    ) -> Iterable[Finding]:
        """Return that nothing lies ahead."""
        params = self._params
        if phase not in ARRIVING or plan.destination is None or tracked_end is not None:
            return
        low = altitude_ft - plan.destination.elevation_ft < params.low_ft
        near = distance_to_destination_nm < params.within_nm
        settled = vertical_speed_fpm < -params.sink_fpm and abs(bank_deg) < params.level_deg
        if low and near and settled:
            yield Finding(alert=NONE, level=Level.CAUTION, amount=2.0, phrase=NONE)


ADVISORY = Advisory(name="no-runway", alerts=(NONE,), params=NoRunwayParams, make=NoRunway)
