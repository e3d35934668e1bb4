"""Wind: what the daemon worked out in flight, worked out again, for a recording has states and no pictures.

Same       true airspeed, heading, groundspeed and track, through the memory that the pictures have it from
Seldom     a state every STEP_S: the memory learns over ten seconds
Anew       when time ran back, or after a gap that cuts the track
Magnetic   a heading by compass counts when the state has the variation too
"""

from array import array
from collections.abc import Mapping
from typing import Any

from otherseat.advisories import airdata
from otherseat.advisories.state import State

STEP_S, FORGOTTEN_S = 0.5, 30.0
WIND = ("wind_from_true_deg", "wind_speed_kt")


class WindWorkedOut:
    """One aircraft's wind, a row for each state; NaN while nothing is known."""

    def __init__(self) -> None:
        self.columns = {name: array("d") for name in WIND}
        self._begin()

    def _begin(self) -> None:
        self._memory = airdata.WindMemory()
        self._time_s = float("-inf")
        self._wind = (float("nan"), float("nan"))

    def add(self, body: Mapping[str, Any]) -> None:
        """Take in one state."""
        time_s = body.get("time_s")
        if isinstance(time_s, (int, float)):
            if time_s < self._time_s or time_s - self._time_s > FORGOTTEN_S:
                self._begin()
            if time_s - self._time_s >= STEP_S:
                self._step(body)
                self._time_s = time_s
        for column, value in zip(self.columns.values(), self._wind, strict=True):
            column.append(value)

    def _step(self, body: Mapping[str, Any]) -> None:
        state, _ = State.accept(body)
        if state is None:
            return
        airspeed_kt, source = airdata.true_airspeed_kt(state)
        from_deg, speed_kt, _ = self._memory.step(
            state=state,
            true_airspeed_kt=airspeed_kt,
            airspeed_source=source,
            heading_true_deg=_heading_true_deg(state),
        )
        if from_deg is not None and speed_kt is not None:
            self._wind = (from_deg, speed_kt)


def _heading_true_deg(state: State) -> float | None:
    if state.heading_true_deg is None and None not in {state.heading_magnetic_deg, state.magnetic_variation_deg}:
        return ((state.heading_magnetic_deg or 0.0) + (state.magnetic_variation_deg or 0.0)) % 360.0
    return state.heading_true_deg
