"""Sortie: one flight to be flown and judged, and the faults that may be in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from otherseat.advisories.levels import Level
from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.evaluation.deadlines import Deadline
from otherseat.daemon.evaluation.truth import SEEN_FROM, Size
from otherseat.daemon.flight_model.legs import Leg
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.model import Placement


@dataclass(frozen=True, slots=True)
class Fault:
    """What is done wrong."""

    alerts: frozenset[str]
    """Any of these says it."""
    begins: int
    """The leg with which it begins, when it is also as big as from_size."""
    useful: Deadline
    level: Level = Level.ADVICE
    """The least level that says it."""
    size: Size | None = None
    """None for what is there or not, and for what is set and not flown."""
    from_size: float = SEEN_FROM
    reason: str | None = None
    """Given: of a small fault, only an alert that names it is a nuisance."""
    kept_s: float = 10.0
    """For so long it must be as big as meant: longer than the longest hold on final, with a second between reports."""


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
    true_altitude: bool = False
    """The simulator tells the true altitude, by which this pilot flies, and no altimeter."""
    tailwind_kt: float | None = None
    """Given: the wind is just that, from behind."""
    setting_off_hpa: float | None = None
    """Given: the altimeter is set so far from what the field reports."""
    told: Mapping[str, float | None] = field(default_factory=dict)
    """Fields of every report that the flight model knows nothing of, or that are held back."""
