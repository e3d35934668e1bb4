"""Level, Finding, Alert, Call: what is seen, what stands, and what is said.

Levels follow the flight-crew alerting levels of FAA AC 25.1322-1 (warning, caution, advisory); `CALL` is a routine
spoken number and no alert.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum

Values = Mapping[str, float | str]
"""Numbers and names for a phrase: value names carry their unit, as everywhere."""


class Level(IntEnum):
    """How much a finding matters: higher is more serious."""

    CALL = 0
    ADVICE = 1
    CAUTION = 2
    WARNING = 3

    @property
    def word(self) -> str:
        """The level as people read it and as it travels on the bus."""
        return LEVEL_WORDS[self]


LEVEL_WORDS = tuple(level.name.lower() for level in Level)
"""By level. Worked out once: every alert waits for its word."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What an advisory sees right now, before anybody decides whether to say it.

    amount tells how far it is: 1.0 is the limit at which it may be raised, below 1.0 it is seen but small. An
    advisory that can see returns its finding whatever the amount, so that the margin for clearing can be judged;
    an alert for which no finding comes has amount 0.
    """

    alert: str
    level: Level
    amount: float
    phrase: str
    values: Values = field(default_factory=dict)


class Change(StrEnum):
    """What happened to an alert."""

    RAISED = "raised"
    CHANGED = "changed"
    ACKNOWLEDGED = "acknowledged"
    CLEARED = "cleared"


@dataclass(frozen=True, slots=True)
class Alert:
    """A finding that was let through, at its latest change."""

    id: str
    """Unique in the session, such as glidepath-high.3; what an acknowledgement names."""
    alert: str
    """Which alert it is, such as glidepath-high; the same words in every session."""
    aircraft: str
    """Whom it is about."""
    change: Change
    """What happened last: raised, changed, acknowledged or cleared."""
    level: Level
    """How serious it is now."""
    phrase: str
    """Key of the phrase that its words were made of."""
    values: Values
    """The numbers and names in the phrase, units in their names."""
    raised_s: float
    """When it was raised, in the state's time."""
    time_s: float
    """When this change happened, in the state's time."""
    acknowledged: bool = False
    """Whether the pilot has taken note: it is shown, and not said again at this level."""
    escalation: int = 0
    """How many times the level has risen since it was raised."""


@dataclass(frozen=True, slots=True)
class Part:
    """One more thing that is said in the same breath."""

    phrase: str
    """Key of the phrase."""
    values: Values = field(default_factory=dict)
    """The numbers and names in it, units in their names."""
    alert_id: str | None = None
    """The alert that it belongs to; left out for a routine call."""


@dataclass(frozen=True, slots=True)
class Call:
    """One thing to say now. Said only while its alert stands; alert_id is None for a routine call."""

    time_s: float
    """When it was said, in the state's time."""
    aircraft: str
    """Whom it is about."""
    level: Level
    """How urgent it was; call for a routine number."""
    phrase: str
    """Key of the phrase that its words were made of."""
    values: Values
    """The numbers and names in the phrase, units in their names."""
    alert_id: str | None = None
    """The alert that it tells of; left out for a routine call."""
    repeat: int = 0
    """0 the first time, then 1, 2, ... for the same alert at the same level."""
    expires_s: float | None = None
    """State time after which it is not worth saying any more; None for as long as the alert stands."""
    also: tuple[Part, ...] = ()
    """What else is said with it: one sentence for several things that belong together."""
