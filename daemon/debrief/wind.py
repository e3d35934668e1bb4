"""Wind: what the daemon worked out in flight, worked out again, for a recording has states and no pictures.

Same       the pictures themselves are made again, of the same states, plans and runways, so that page and screen agree:
           by compass, too, where the variation is only known of a runway
Seldom     a state every STEP_S: the wind's memory learns over ten seconds
Anew       after what the engine takes for a jump
Late       not before everything is read, for a recording tells of an airfield no sooner than the flight comes near it
"""

from collections.abc import Mapping
from math import nan
from typing import Any

import numpy as np

from otherseat.advisories.engine import is_jump
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.real import Array
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.sight import Sight
from otherseat.advisories.state import State

STEP_S = 0.5
WIND = ("wind_from_true_deg", "wind_speed_kt")


class WindWorkedOut:
    """One aircraft's wind, a row for each state; NaN while nothing is known."""

    def __init__(self) -> None:
        self._rows = 0
        self._time_s = float("-inf")
        self._steps: list[tuple[int, State | ResolvedPlan]] = []
        """What the pictures are made of, each with the row from which on it counts."""

    def set_plan(self, plan: ResolvedPlan) -> None:
        """Take in a plan that was taken over here."""
        self._steps.append((self._rows, plan))

    def add(self, body: Mapping[str, Any]) -> None:
        """Take in one state."""
        time_s = body.get("time_s")
        if isinstance(time_s, (int, float)) and not 0.0 <= time_s - self._time_s < STEP_S:
            state, _ = State.accept(body)
            if state is not None and _tells(state):
                self._steps.append((self._rows, state))
                self._time_s = state.time_s
        self._rows += 1

    def columns(self, *, runways: RunwayTable, plan: ResolvedPlan) -> dict[str, Array]:
        """Return the wind; plan is the one in force until another was taken over."""
        rows, winds = [0], [(nan, nan)]
        sight, before = Sight(runways=runways, plan=plan), None
        for row, step in self._steps:
            if isinstance(step, ResolvedPlan):
                plan = step
                sight.set_plan(plan)
                continue
            if before is not None and is_jump(before=before, after=step):
                sight = Sight(runways=runways, plan=plan)
            before = step
            rows.append(row)
            winds.append(_wind(sight, step))
        counts = np.diff([*rows, self._rows])
        return dict(zip(WIND, np.repeat(np.array(winds), counts, axis=0).T, strict=True))


def _tells(state: State) -> bool:
    """Say whether a wind can come of it that was not reported; of other states no pictures are made, for their time."""
    heading = state.heading_true_deg is not None or state.heading_magnetic_deg is not None
    return heading and state.groundspeed_kt is not None and state.wind_speed_kt is None


def _wind(sight: Sight, state: State) -> tuple[float, float]:
    picture, _ = sight.look(state)
    from_deg, speed_kt = picture.wind_from_true_deg, picture.wind_speed_kt
    return (nan, nan) if from_deg is None or speed_kt is None else (from_deg, speed_kt)
