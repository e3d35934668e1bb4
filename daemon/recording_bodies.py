"""Recording bodies: the house's objects as the maps that a recording holds, and back.

Both directions of every kind stand here, side by side, and nowhere else.
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, fields
from operator import attrgetter
from typing import Any

from pydantic import TypeAdapter

from otherseat.advisories.earth import earth_centred_m
from otherseat.advisories.levels import Alert, Call, Level
from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import Airfield, RunwayTable
from otherseat.advisories.state import State
from otherseat.advisories.units import M_PER_NM

STATE_NAMES = tuple(field.name for field in fields(State))
_read_state = attrgetter(*STATE_NAMES)
_AIRFIELD = TypeAdapter(Airfield)
_ALERT = TypeAdapter(Alert)
_CALL = TypeAdapter(Call)

NEAR_NM = 30.0
"""More than twice as far as any check looks for runways."""
LOOK_AGAIN_NM = 10.0


def as_it_is(body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return a body that is one already."""
    return body


def state_body(state: State) -> dict[str, Any]:
    """Return the fields that were reported."""
    return {name: value for name, value in zip(STATE_NAMES, _read_state(state), strict=True) if value is not None}


def state_of(body: Mapping[str, Any]) -> State | None:
    """Return the state, or None when it has no time."""
    state, _ = State.accept(body)
    return state


def said_body(said: tuple[Alert | Call, str]) -> dict[str, Any]:
    """Return an alert or a call with its text."""
    thing, text = said
    body = {field.name: getattr(thing, field.name) for field in fields(thing)}
    body["level"] = thing.level.word
    body["values"] = {name: value if isinstance(value, str) else float(value) for name, value in thing.values.items()}
    return body | {"text": text}


def alert_of(body: Mapping[str, Any]) -> tuple[Alert, str]:
    """Return an alert and its text, or raise ValueError."""
    return _ALERT.validate_python(_levelled(body)), str(body.get("text", ""))


def call_of(body: Mapping[str, Any]) -> tuple[Call, str]:
    """Return a call and its text, or raise ValueError."""
    return _CALL.validate_python(_levelled(body)), str(body.get("text", ""))


def plan_body(planned: tuple[Plan, str]) -> dict[str, Any]:
    """Return a plan with its aircraft."""
    plan, aircraft = planned
    return {"aircraft": aircraft, "plan": plan.model_dump(mode="json", exclude_none=True)}


def plan_of(body: Mapping[str, Any]) -> tuple[Plan, str]:
    """Return a plan and its aircraft, or raise ValueError."""
    return Plan.model_validate(body.get("plan", {})), str(body.get("aircraft", ""))


def airfield_body(airfield: Airfield) -> dict[str, Any]:
    """Return an airfield with its runways."""
    return asdict(airfield)


def airfield_of(body: Mapping[str, Any]) -> Airfield:
    """Return an airfield, or raise ValueError."""
    return _AIRFIELD.validate_python(body)


class AirfieldsNearby:
    """Which airfields a flight has come near: each is told once, so that a recording can be flown again alone."""

    def __init__(self, runways: RunwayTable) -> None:
        self._runways = runways
        self._told: set[str] = set()
        self._looked: dict[str, tuple[float, float, float]] = {}

    def step(self, state: State) -> Iterator[dict[str, Any]]:
        """Yield the airfields that have come near since the last look, by body."""
        if state.latitude_deg is None or state.longitude_deg is None or not self._moved(state):
            return
        near = self._runways.near(latitude_deg=state.latitude_deg, longitude_deg=state.longitude_deg, within_nm=NEAR_NM)
        for ident in dict.fromkeys(end.airfield for end in near):
            if ident not in self._told:
                self._told.add(ident)
                yield airfield_body(self._runways.airfield(ident))

    def _moved(self, state: State) -> bool:
        here = earth_centred_m(
            latitude_deg=state.latitude_deg or 0.0, longitude_deg=state.longitude_deg or 0.0, height_m=0.0
        )
        last = self._looked.get(state.aircraft)
        moved = (
            last is None or sum((a - b) ** 2 for a, b in zip(here, last, strict=True)) > (LOOK_AGAIN_NM * M_PER_NM) ** 2
        )
        if moved:
            self._looked[state.aircraft] = here
        return moved


def _levelled(body: Mapping[str, Any]) -> dict[str, Any]:
    """Turn the level's word into the level, and leave out what is not the object's own."""
    word = str(body.get("level", "")).upper()
    if word not in Level.__members__:
        raise ValueError(f"no such level: {body.get('level')}")
    return {name: value for name, value in body.items() if name != "text"} | {"level": Level[word]}
