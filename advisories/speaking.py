"""Speaking: which of the things that want to be said are said now. The second half of attention.

A wish comes when an alert is raised, rises, or repeats, and for every routine call. It becomes a call when

verbosity   the pilot's setting lets it through; else it is dropped (quiet: cautions and warnings; normal: advice
            and the calls that matter; talkative: everything)
quiet band  no band in force here asks for a higher level (take-off roll, flare); else it waits
workload    fewer than calls_per_minute below warning in the last minute; else it waits
group       a wish of a group has waited group_wait_s for its fellows; then they are one sentence, the worst first

A waiting wish goes when its alert no longer stands or says something else, and when it expires: nothing is said that
is no longer true. Warnings wait for nothing but a band that asks for more than a warning, and there is none such.
"""

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from pydantic import BaseModel, ConfigDict, Field

from otherseat.advisories.levels import Call, Level, Part
from otherseat.advisories.picture import Phase

MINUTE_S = 60.0


class Verbosity(StrEnum):
    """How much the pilot wants to hear."""

    QUIET = "quiet"
    NORMAL = "normal"
    TALKATIVE = "talkative"

    @property
    def rank(self) -> int:
        """The place in the order from quiet to talkative."""
        return list(Verbosity).index(self)


BY_LEVEL = {
    Level.WARNING: Verbosity.QUIET,
    Level.CAUTION: Verbosity.QUIET,
    Level.ADVICE: Verbosity.NORMAL,
    Level.CALL: Verbosity.NORMAL,
}
"""From which setting on a level is heard, when the alert's policy says nothing else."""


class Band(BaseModel):
    """A stretch of flight in which only serious things are said."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    phases: frozenset[Phase]
    below_ft: float | None = Field(default=None, gt=0)
    """Height above the runway under which the band begins; None for the whole phase."""
    above_kt: float | None = Field(default=None, gt=0)
    """Groundspeed from which the band begins; None for any."""
    least: str = Field(default="warning", pattern="^(caution|warning)$")


class SpeakingSettings(BaseModel):
    """How much is said, and when not."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    verbosity: Verbosity = Verbosity.NORMAL
    calls_per_minute: int = Field(default=8, ge=1, le=60)
    group_wait_s: float = Field(default=0.8, ge=0, le=5)
    bands: tuple[Band, ...] = ()


@dataclass(frozen=True, slots=True)
class Wish:
    """Something that wants to be said."""

    call: Call
    name: str
    """The alert's name, or the routine call's; a newer wish of one name replaces an older one."""
    group: str | None
    verbosity: Verbosity


@dataclass(frozen=True, slots=True)
class Situation:
    """What a band needs to know."""

    phase: Phase
    height_ft: float | None
    groundspeed_kt: float | None


class Speaking:
    """One aircraft's turn to be spoken to, over time."""

    def __init__(self, settings: SpeakingSettings) -> None:
        self._settings = settings
        self.verbosity = settings.verbosity
        self._waiting: dict[str, Wish] = {}
        self._said_s: deque[float] = deque()

    def step(
        self, *, time_s: float, situation: Situation, wishes: Iterable[Wish], stands: Callable[[str], bool]
    ) -> tuple[Call, ...]:
        """Return what is said now, the most serious first. `stands` tells whether an alert's id still stands."""
        for wish in wishes:
            if wish.verbosity.rank <= self.verbosity.rank:
                self._waiting[wish.name] = wish
        self._waiting = {
            name: wish for name, wish in self._waiting.items() if _is_worth_it(wish, time_s=time_s, stands=stands)
        }
        least = self._least_level(situation)
        due = [wish for wish in self._waiting.values() if self._is_due(wish, time_s=time_s, least=least)]
        due.sort(key=lambda wish: (-wish.call.level, wish.call.time_s))
        calls = [call for call in self._grouped(due, time_s=time_s) if self._has_room(call, time_s=time_s)]
        return tuple(calls)

    def forget(self) -> None:
        """Drop whatever waits."""
        self._waiting.clear()

    def _least_level(self, situation: Situation) -> Level:
        levels = [Level[band.least.upper()] for band in self._settings.bands if _is_in(band, situation)]
        return max(levels, default=Level.CALL)

    def _is_due(self, wish: Wish, *, time_s: float, least: Level) -> bool:
        if wish.call.level < least:
            return False
        alone = wish.group is None or wish.call.level is Level.WARNING
        return alone or not 0.0 <= time_s - wish.call.time_s < self._settings.group_wait_s

    def _grouped(self, due: list[Wish], *, time_s: float) -> list[Call]:
        """Make one call of the wishes of one group; those that still wait for their fellows come along."""
        calls: list[Call] = []
        taken: set[str] = set()
        for wish in due:
            if wish.name in taken:
                continue
            together = [wish] if wish.group is None else self._of_group(wish.group)
            taken |= {one.name for one in together}
            first, *fellows = sorted(together, key=lambda one: (-one.call.level, one.call.time_s))
            parts = tuple(
                Part(phrase=one.call.phrase, values=one.call.values, alert_id=one.call.alert_id) for one in fellows
            )
            calls.append(replace(first.call, time_s=time_s, also=parts))
        return calls

    def _of_group(self, group: str) -> list[Wish]:
        return [one for one in self._waiting.values() if one.group == group]

    def _has_room(self, call: Call, *, time_s: float) -> bool:
        """Take the call out of the waiting ones if the minute has room for it."""
        while self._said_s and not 0.0 <= time_s - self._said_s[0] < MINUTE_S:
            self._said_s.popleft()
        if call.level is not Level.WARNING:
            if len(self._said_s) >= self._settings.calls_per_minute:
                return False
            self._said_s.append(time_s)
        ids = {call.alert_id, *(part.alert_id for part in call.also)} - {None}
        phrases = {call.phrase, *(part.phrase for part in call.also)}
        self._waiting = {
            name: wish
            for name, wish in self._waiting.items()
            if wish.call.alert_id not in ids and not (wish.call.alert_id is None and wish.call.phrase in phrases)
        }
        return True


def _is_worth_it(wish: Wish, *, time_s: float, stands: Callable[[str], bool]) -> bool:
    call = wish.call
    if call.expires_s is not None and time_s > call.expires_s:
        return False
    return call.alert_id is None or stands(call.alert_id)


def _is_in(band: Band, situation: Situation) -> bool:
    if situation.phase not in band.phases:
        return False
    if band.below_ft is not None and (situation.height_ft is None or situation.height_ft >= band.below_ft):
        return False
    return band.above_kt is None or (situation.groundspeed_kt is not None and situation.groundspeed_kt >= band.above_kt)
