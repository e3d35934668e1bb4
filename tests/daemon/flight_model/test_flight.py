"""A flight is the same every time, and a leg that never ends is an error."""

from dataclasses import dataclass

import pytest

from otherseat.daemon.flight_model import flight
from otherseat.daemon.flight_model.flight import EndlessLegError, Scene, fly
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE, Demand, Handling
from otherseat.daemon.flight_model.model import FlightModel, View, Weather
from otherseat.daemon.flight_model.scenes import demo_scenes
from otherseat.daemon.flight_model.world import World
from tests.daemon.flight_model.test_model import STANDING


def last_view(*, seed: int, seconds: float) -> View:
    """Fly the demo's departure in turbulence for so long."""
    world = World.make()
    weather = Weather(wind_kt=15.0, turbulence_severity=3, seed=seed)
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft, weather=weather) as model:
        for moment in fly(
            model=model, handling=LIGHT_SINGLE, scenes=demo_scenes(world), terrain=world.terrain_ft, first=2
        ):
            if moment.view.time_s > seconds:
                return moment.view
    raise AssertionError("the flight was too short")


def test_same_seed_same_flight() -> None:
    """Same scenes, weather and seed: the same flight to the last digit; another seed: another flight."""
    first = last_view(seed=1, seconds=60.0)

    assert first == last_view(seed=1, seconds=60.0)
    assert first != last_view(seed=2, seconds=60.0)


@dataclass
class ForEver:
    """A leg that never ends."""

    def demand(self, *, view: View, handling: Handling) -> Demand:  # noqa: ARG002 - a leg's signature
        """Stand."""
        return Demand(pitch_deg=0.0, throttle=0.0, brakes=1.0)

    def done(self, *, view: View) -> bool:  # noqa: ARG002 - a leg's signature
        """Never."""
        return False


def test_endless_leg(monkeypatch: pytest.MonkeyPatch) -> None:
    """A leg whose end never comes is named instead of flown for ever."""
    monkeypatch.setattr(flight, "LONGEST_S", 2.0)
    scene = Scene(name="", told="", placement=STANDING, legs=(ForEver(),))
    with (
        FlightModel(aircraft=LIGHT_SINGLE.aircraft) as model,
        pytest.raises(EndlessLegError, match="scene 1, leg 1 never ends"),
    ):
        list(fly(model=model, handling=LIGHT_SINGLE, scenes=[scene], terrain=lambda _: 38.0))
