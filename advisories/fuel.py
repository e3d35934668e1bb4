"""Fuel: how long it will last at the destination.

fuel-low    less than the reserve will be left on arrival: advice, caution below serious_min
fuel-short  it ends before the destination: warning
Asked       in the cruise and the descent (a climb burns more than the rest will), while the destination comes
            nearer, at the flow and speed of now
Source      14 CFR 91.151: 30 min by day, 45 min by night under VFR
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase

LOW, SHORT = "fuel-low", "fuel-short"
ENROUTE = frozenset({Phase.CRUISE, Phase.DESCENT})


class FuelParams(Params):
    """Minutes of flight that should be left on arrival."""

    reserve_min: float = Field(default=45.0, gt=0)
    serious_min: float = Field(default=30.0, gt=0)
    least_flow_kg_per_h: float = Field(default=2.0, gt=0)


class Fuel:
    """The check for one aircraft."""

    def __init__(self, params: FuelParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        fuel_kg: float,
        fuel_flow_kg_per_h: float,
        distance_to_go_nm: float,
        closing_speed_kt: float,
        groundspeed_kt: float,
    ) -> Iterable[Finding]:
        """Return what will be left on arrival."""
        params = self._params
        if phase not in ENROUTE or closing_speed_kt <= 0.0 or fuel_flow_kg_per_h < params.least_flow_kg_per_h:
            return
        endurance_h = fuel_kg / fuel_flow_kg_per_h
        left_min = (endurance_h - distance_to_go_nm / groundspeed_kt) * 60.0
        if left_min < 0.0:
            short_nm = -left_min / 60.0 * groundspeed_kt
            yield Finding(alert=SHORT, level=Level.WARNING, amount=2.0, phrase=SHORT, values={"short_nm": short_nm})
            return
        yield Finding(
            alert=LOW,
            level=Level.CAUTION if left_min < params.serious_min else Level.ADVICE,
            amount=params.reserve_min / max(left_min, 0.1),
            phrase=LOW,
            values={"endurance_s": left_min * 60.0},
        )


ADVISORY = Advisory(name="fuel", alerts=(LOW, SHORT), params=FuelParams, make=Fuel)
