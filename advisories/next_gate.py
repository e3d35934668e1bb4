"""Next gate: on final, the altitude to read at the next gate, called before it.

next-gate  a routine call once for each gate, when the aircraft is within ahead_ft above it and sinking
Reading    the gate's height above the threshold plus its elevation: what the altimeter must show there with the
           airfield's setting
Source     geometry; that it helps is common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.runway import RunwayEnd

GATE = "next-gate"


class NextGateParams(Params):
    """When it is said."""

    ahead_ft: float = Field(default=400.0, gt=0)


class NextGate:
    """The check for one aircraft."""

    def __init__(self, params: NextGateParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        height_above_threshold_ft: float,
        vertical_speed_fpm: float,
        arrival_end: RunwayEnd,
    ) -> Iterable[Finding]:
        """Return the gate ahead."""
        if phase is not Phase.FINAL or vertical_speed_fpm >= 0.0:
            return
        for gate_ft in GATES_FT:
            if gate_ft < height_above_threshold_ft <= gate_ft + self._params.ahead_ft:
                values: dict[str, float | str] = {
                    "gate_height_ft": gate_ft,
                    "altitude_ft": arrival_end.elevation_ft + gate_ft,
                }
                yield Finding(alert=GATE, level=Level.CALL, amount=1.0, phrase=GATE, values=values)


ADVISORY = Advisory(name="next-gate", alerts=(GATE,), params=NextGateParams, make=NextGate)
