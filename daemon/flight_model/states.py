"""The demo's flight as States, without sockets: for tests of the engine."""

from collections.abc import Iterator

from otherseat.advisories.state import State
from otherseat.daemon.flight_model.flight import CONTROL_HZ, fly
from otherseat.daemon.flight_model.model import FlightModel
from otherseat.daemon.flight_model.observe import observe
from otherseat.daemon.flight_model.scenes import HANDLING, WEATHER, demo_scenes
from otherseat.daemon.flight_model.world import World


def demo_states(*, rate_hz: int = 10, first: int = 1) -> Iterator[tuple[int, State]]:
    """Yield scene number and State, rate_hz times a second of simulated time. rate_hz divides CONTROL_HZ."""
    world = World.make()
    with FlightModel(aircraft=HANDLING.aircraft, weather=WEATHER) as model:
        moments = fly(model=model, handling=HANDLING, scenes=demo_scenes(world), terrain=world.terrain_ft, first=first)
        for count, moment in enumerate(moments):
            if count % (CONTROL_HZ // rate_hz) == 0 or moment.began:
                yield moment.scene, observe(model=model, view=moment.view)
