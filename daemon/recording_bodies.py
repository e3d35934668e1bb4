"""Recording bodies: the house's objects as the maps that a recording holds, and back.

States, alerts, calls and plans have the shape that they have on the bus (daemon/messages.py), so there is one. What
only a recording holds stands here, both directions side by side.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict
from functools import cache
from typing import Any

from pydantic import TypeAdapter

from otherseat.advisories.earth import earth_centred_m
from otherseat.advisories.runway import Airfield, RunwayTable
from otherseat.advisories.state import State
from otherseat.advisories.units import M_PER_NM
from otherseat.daemon.messages import AlertMessage, CallMessage, Kind, PlanMessage, adapter_of
from otherseat.daemon.packing import WRITERS
from otherseat.daemon.recording import Channel

NEAR_NM = 30.0
"""More than twice as far as any check looks for runways."""
LOOK_AGAIN_NM = 10.0

_AIRFIELD = TypeAdapter(Airfield)

PACK: Mapping[Channel, Callable[[Any], Mapping[str, Any]]] = {
    Channel.STATE: WRITERS[Kind.STATE],
    Channel.ALERT: WRITERS[Kind.ALERT],
    Channel.CALL: WRITERS[Kind.CALL],
    Channel.PLAN: WRITERS[Kind.PLAN],
    Channel.AIRFIELD: asdict,
    Channel.DATAGRAM: dict,
    Channel.ORDER: dict,
    Channel.NOTE: dict,
}
"""What turns a thing into its body."""


def state_of(body: Mapping[str, Any]) -> State | None:
    """Return the state, without what is out of bounds, or None when it has no time."""
    state, _ = State.accept(body)
    return state


def alert_of(body: Mapping[str, Any]) -> AlertMessage:
    """Return an alert, or raise ValueError."""
    alert: AlertMessage = adapter_of(Kind.ALERT).validate_python(body, extra="ignore")
    return alert


def call_of(body: Mapping[str, Any]) -> CallMessage:
    """Return a call, or raise ValueError."""
    call: CallMessage = adapter_of(Kind.CALL).validate_python(body, extra="ignore")
    return call


def plan_of(body: Mapping[str, Any]) -> PlanMessage:
    """Return a plan with its aircraft and places, or raise ValueError."""
    plan: PlanMessage = adapter_of(Kind.PLAN).validate_python(body, extra="ignore")
    return plan


@cache
def _airfields() -> TypeAdapter[Airfield]:
    return TypeAdapter(Airfield)


def airfield_of(body: Mapping[str, Any]) -> Airfield:
    """Return an airfield, or raise ValueError."""
    return _AIRFIELD.validate_python(body, extra="ignore")


class AirfieldsNearby:
    """Which airfields a flight has come near: each is told once, so that a recording can be flown again alone."""

    def __init__(self, runways: RunwayTable) -> None:
        self._runways = runways
        self._told: set[str] = set()
        self._looked: dict[str, tuple[float, float, float]] = {}

    def step(self, state: State) -> Iterator[Airfield]:
        """Yield the airfields that have come near since the last look."""
        latitude_deg, longitude_deg = state.latitude_deg, state.longitude_deg
        if latitude_deg is None or longitude_deg is None:
            return
        here = earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=0.0)
        if not self._moved(state.aircraft, here):
            return
        near = self._runways.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=NEAR_NM)
        for ident in dict.fromkeys(end.airfield for end in near):
            if ident not in self._told:
                self._told.add(ident)
                yield self._runways.airfield(ident)

    def _moved(self, aircraft: str, here: tuple[float, float, float]) -> bool:
        last = self._looked.get(aircraft)
        if last is not None and math.dist(here, last) < LOOK_AGAIN_NM * M_PER_NM:
            return False
        self._looked[aircraft] = here
        return True
