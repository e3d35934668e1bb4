"""Airspeed: the indicated one that the pictures worked out in flight, again, for a recording has states only."""

from collections.abc import Mapping
from math import nan
from typing import Any

from otherseat.advisories import airdata
from otherseat.advisories.state import State

INDICATED = "indicated_airspeed_kt"
NEEDED = ("true_airspeed_kt", "outside_air_temperature_c")


def worked_out_kt(body: Mapping[str, Any]) -> float:
    """Return the indicated airspeed of a state that reports none; NaN where it does, or too little is known."""
    if body.get(INDICATED) is not None or any(body.get(name) is None for name in NEEDED):
        return nan
    state, _ = State.accept(body)
    indicated_kt = None if state is None else airdata.indicated_airspeed_kt(state)[0]
    return nan if indicated_kt is None else indicated_kt
