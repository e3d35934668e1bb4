"""A flight: scenes flown one after the other by one pair of hands.

The loops run CONTROL_HZ times a second of simulated time, the model model_hz times. Nothing here reads a clock: the
same scenes, weather and seed give the same flight.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from otherseat.daemon.flight_model.legs import Leg
from otherseat.daemon.flight_model.loops import Demand, Handling, Loops
from otherseat.daemon.flight_model.model import FlightModel, Placement, View

CONTROL_HZ = 60
LONGEST_S = 3_600.0
"""A scene that has not ended by then never will."""

Terrain = Callable[[View], float]
"""Height of the ground beneath a place, in feet above mean sea level."""
Hand = Callable[[Demand, View, float], Demand]
"""What becomes of a demand in a hand that is not steady, given what it sees and the seconds of one control step."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A stretch of flight in one piece. Its legs remember: make a new scene for every flight."""

    name: str
    told: str
    """What is about to happen, for the person who watches."""
    placement: Placement
    legs: Sequence[Leg]


@dataclass(frozen=True, slots=True)
class Moment:
    """The flight after one control step."""

    scene: int
    """Counted from 1, as people count."""
    leg: int
    """Counted from 0 within the scene."""
    began: bool
    """The first moment of a scene: the aircraft has just been put down there."""
    view: View


class EndlessLegError(RuntimeError):
    """A leg whose end never came."""


def fly(
    *,
    model: FlightModel,
    handling: Handling,
    scenes: Sequence[Scene],
    terrain: Terrain,
    first: int = 1,
    hand: Hand | None = None,
    control_hz: int = CONTROL_HZ,
) -> Iterator[Moment]:
    """Fly the scenes from number `first` on; yield after every control step. control_hz divides model_hz."""
    loops, step_s, steps = Loops(handling), 1.0 / control_hz, model.model_hz // control_hz
    for number, scene in enumerate(scenes[first - 1 :], start=first):
        model.place(scene.placement)
        loops.settle()
        view = model.view()
        yield Moment(scene=number, leg=0, began=True, view=view)
        for index, leg in enumerate(scene.legs):
            limit_s = view.time_s + LONGEST_S
            while not leg.done(view=view):
                if view.time_s > limit_s:
                    raise EndlessLegError(f"scene {number}, leg {index + 1} never ends")
                demand = leg.demand(view=view, handling=handling)
                if hand is not None:
                    demand = hand(demand, view, step_s)
                model.control(loops.step(view=view, demand=demand, step_s=step_s))
                model.terrain(terrain(view))
                model.run(steps)
                view = model.view()
                yield Moment(scene=number, leg=index, began=False, view=view)
