"""Arrival runway: whether this track leads to the runway end that the plan names.

wrong-runway-arrival  on final to another end of the planned airfield
wrong-airfield        on final to an end of another airfield
Levels                caution, warning below near_ft above that end
Asked                 within within_nm and below below_ft (overhead_ft unless on the planned end's final), once the
                      track leads certainly to one end: close parallels stay unsaid until the offset tells them apart
Source                common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayEnd

WRONG_RUNWAY = "wrong-runway-arrival"
WRONG_AIRFIELD = "wrong-airfield"
ARRIVING = frozenset({Phase.DESCENT, Phase.APPROACH, Phase.FINAL})


class ArrivalRunwayParams(Params):
    """How near and how low before it matters."""

    within_nm: float = Field(default=5.0, gt=0)
    below_ft: float = Field(default=2_000.0, gt=0)
    overhead_ft: float = Field(default=1_200.0, gt=0)
    """Away from the planned final it is asked lower than this only: higher up people cross an airfield to join."""
    near_ft: float = Field(default=500.0, gt=0)
    down_ft: float = Field(default=30.0, ge=0)
    """Lower than this over the runway it is as good as landed, whether the simulator reports the ground or not."""


class ArrivalRunway:
    """The check for one aircraft."""

    def __init__(self, params: ArrivalRunwayParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        altitude_ft: float,
        plan: ResolvedPlan,
        tracked_end: RunwayEnd,
        tracked_distance_nm: float,
    ) -> Iterable[Finding]:
        """Return that the track leads elsewhere."""
        params = self._params
        height_ft = altitude_ft - tracked_end.elevation_ft
        below_ft = params.below_ft if phase is Phase.FINAL else params.overhead_ft
        if phase not in ARRIVING or tracked_distance_nm > params.within_nm or height_ft > below_ft:
            return
        if plan.destination is None or (tracked_distance_nm < 0.0 and height_ft < params.down_ft):
            return
        level = Level.WARNING if height_ft < params.near_ft else Level.CAUTION
        if tracked_end.airfield != plan.destination.ident:
            yield Finding(
                alert=WRONG_AIRFIELD,
                level=level,
                amount=2.0,
                phrase=WRONG_AIRFIELD,
                values={"tracked_runway": tracked_end.name, "destination": plan.destination.ident},
            )
        elif plan.arrival is not None and tracked_end.runway != plan.arrival.runway:
            yield Finding(
                alert=WRONG_RUNWAY,
                level=level,
                amount=2.0,
                phrase=WRONG_RUNWAY,
                values={"tracked_runway": tracked_end.name, "planned_runway": plan.arrival.name},
            )


ADVISORY = Advisory(
    name="arrival-runway",
    alerts=(WRONG_RUNWAY, WRONG_AIRFIELD),
    params=ArrivalRunwayParams,
    make=ArrivalRunway,
)
