"""Every adapter on its captures: silence, steady, changing."""

import json
from typing import Any

import pytest

from tests.adapters.flown import flight
from tests.captures.make import HERE, Format, formats, part, read, states_of

FORMATS = formats()
KINDS = ("silence", "steady", "changing")
SECONDS = {"steady": (4, 6), "changing": (30, 34)}


def about(state: dict[str, Any]) -> dict[str, Any]:
    """Return the State with its numbers to seven digits."""
    return {k: pytest.approx(v, rel=1e-7, abs=1e-7) if isinstance(v, float) else v for k, v in state.items()}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", FORMATS)
def test_capture_gives_its_states(name: str, kind: str) -> None:
    """A capture gives the States that stand beside it, each number to nine digits."""
    made: Format = FORMATS[name]
    expected = [json.loads(line) for line in (HERE / name / f"{kind}.json").read_text(encoding="ascii").splitlines()]

    assert expected == [about(state) for state in states_of(made, read(HERE / name / f"{kind}.txt"))]


@pytest.mark.parametrize("kind", ["steady", "changing"])
@pytest.mark.parametrize("name", FORMATS)
def test_states_are_the_flight(name: str, kind: str) -> None:
    """What is read back is where the flight model was: within 3 m, 2 ft of height and half a degree of heading."""
    states = states_of(FORMATS[name], read(HERE / name / f"{kind}.txt"))
    states = [state for state in states if "latitude_deg" in state]
    moments = part(SECONDS[kind])

    assert len(moments) == len(states)
    for moment, state in zip(moments, states, strict=True):
        assert pytest.approx(moment["latitude_deg"], abs=2.5e-5) == state["latitude_deg"]
        assert pytest.approx(moment["longitude_deg"], abs=2.5e-5) == state["longitude_deg"]
        assert pytest.approx(moment["altitude_ft"], abs=2.0) == state["altitude_ft"]
        assert pytest.approx(moment["heading_true_deg"], abs=0.5) == state["heading_true_deg"]


@pytest.mark.parametrize("name", FORMATS)
def test_silence_gives_no_position(name: str) -> None:
    """A link that is up and silent makes up no aircraft."""
    states = states_of(FORMATS[name], read(HERE / name / "silence.txt"))

    assert [] == [state for state in states if "latitude_deg" in state]


def test_changing_changes() -> None:
    """The changing part of the flight turns and climbs."""
    first, *_, last = part(SECONDS["changing"])

    assert abs(last["heading_true_deg"] - first["heading_true_deg"]) > 5.0
    assert last["altitude_ft"] - first["altitude_ft"] > 10.0
    assert flight(0)["time_s"][-1] > 100.0
