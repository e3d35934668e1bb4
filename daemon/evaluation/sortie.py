"""Sortie: one flight to be flown and judged, and the faults that may be in it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.flight_model.legs import Leg
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.model import Placement, View

TooLate = Callable[[View, float], bool]
"""Whether, at this view and so many seconds after the fault began, an alert would be of no more use."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What is done wrong."""

    alerts: frozenset[str]
    """Any of these says it."""
    begins: int
    """The leg with which it begins."""
    too_late: TooLate


@dataclass(frozen=True, slots=True)
class Sortie:
    """One flight: where it starts, its legs, and what the pilot has told the daemon."""

    handling: Handling
    placement: Placement
    legs: Sequence[Leg]
    plan: Plan
    end: RunwayEnd
    """The runway end that pictures of the flight are drawn around."""
    replans: Mapping[int, Plan] = field(default_factory=dict)
    """Plans handed over in flight, by the leg with which that happens."""
    fault: Fault | None = None
    tailwind_kt: float | None = None
    """Given: the wind is just that, from behind."""
