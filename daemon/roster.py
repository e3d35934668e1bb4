"""Roster: the aircraft that this daemon looks after, made on their first state and let go when long unheard.

Pace  one core takes in some ten thousand states a second and has time left for some three thousand thoughts. Up to
      135 aircraft are thought about some twenty times a second each; with more the daemon thinks of each half as often,
      with twice as many a quarter as often, and so on, so that none waits
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import structlog

from otherseat.advisories.advisory import Advisory
from otherseat.advisories.engine import THINK_EVERY_S, Engine
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import Settings
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.plan_keeper import PlanMemory
from otherseat.daemon.seat import Outlets, Seat

MOST_AIRCRAFT = 1_000
"""With a thousand names the memory is as full as it gets: a new one takes the place of the one longest unheard."""

THOUGHTS_PER_S = 3_000

log = structlog.get_logger(__name__)


def pace_s(aircraft: int) -> float:
    """Return how far apart, in an aircraft's own time, its states are thought about when there are so many aircraft."""
    every_s = THINK_EVERY_S
    while aircraft > THOUGHTS_PER_S * every_s:
        every_s *= 2.0
    return every_s


@dataclass(frozen=True, slots=True)
class Knowledge:
    """What every engine of this daemon is made of."""

    settings: Settings
    runways: RunwayTable
    plan: ResolvedPlan
    advisories: Sequence[Advisory]
    phrasebook: Phrasebook

    @classmethod
    def of(
        cls, *, settings: Settings, runways: RunwayTable, plan: ResolvedPlan, advisories: Sequence[Advisory]
    ) -> "Knowledge":
        """Return it with the phrasebook that settings and advisories make; raises PhraseError."""
        phrases = {key: text for advisory in advisories for key, text in advisory.phrases.items()}
        book = Phrasebook.load(settings.voice.phrases, phrases, digits=settings.voice.digits)
        return cls(settings=settings, runways=runways, plan=plan, advisories=advisories, phrasebook=book)


class Roster:
    """Seats by aircraft. The first aircraft heard of is the one that the voice speaks for."""

    def __init__(self, *, knowledge: Knowledge, outlets: Outlets, memory: PlanMemory | None) -> None:
        self.knowledge = knowledge
        self._outlets = outlets
        self._memory = memory
        self._seats: dict[str, Seat] = {}
        self._spoken_for: str | None = None
        self._pace_s = THINK_EVERY_S

    def __iter__(self) -> Iterator[Seat]:
        """Yield every seat."""
        return iter(list(self._seats.values()))

    @property
    def aircraft(self) -> tuple[str, ...]:
        """The ids heard of."""
        return tuple(self._seats)

    def find(self, aircraft: str) -> Seat | None:
        """Return the aircraft's seat, if it was heard of."""
        return self._seats.get(aircraft)

    def step(self, state: State, *, received_s: float) -> None:
        """Step the engine of the state's aircraft."""
        seat = self._seats.get(state.aircraft) or self._make(state)
        seat.step(state, received_s=received_s)
        if self._memory is not None:
            self._memory.keep(state=state, plan=seat.engine.plan.plan, now_s=received_s)

    def set_plan(self, *, aircraft: str, plan: ResolvedPlan) -> Seat | None:
        """Take over a plan; before the aircraft is heard of it becomes the plan of every new aircraft."""
        seat = self._seats.get(aircraft)
        if seat is None:
            self.knowledge = replace(self.knowledge, plan=plan)
            return None
        seat.set_plan(plan)
        if self._memory is not None:
            self._memory.at_once(aircraft)
        return seat

    def retire(self, seat: Seat) -> None:
        """Let an aircraft go."""
        self._seats.pop(seat.aircraft, None)
        if self._spoken_for == seat.aircraft:
            self._spoken_for = None
        seat.retire()
        self._keep_pace()
        log.info("retired", aircraft=seat.aircraft)

    def _make(self, state: State) -> Seat:
        knowledge, aircraft = self.knowledge, state.aircraft
        if len(self._seats) >= MOST_AIRCRAFT:
            self.retire(min(self._seats.values(), key=lambda seat: seat.received_s))
        if self._spoken_for is None:
            self._spoken_for = aircraft
        restored = self._restored(state)
        engine = Engine(
            aircraft=aircraft,
            runways=knowledge.runways,
            plan=restored or knowledge.plan,
            advisories=knowledge.advisories,
            params=knowledge.settings.advisories,
            attention=knowledge.settings.attention,
        )
        spoken_for = aircraft == self._spoken_for
        outlets = self._outlets if spoken_for else replace(self._outlets, speaker=None, listener=None)
        seat = Seat(
            engine=engine,
            outlets=outlets,
            pictures_per_s=knowledge.settings.bus.pictures_per_s,
            plan_restored=restored is not None,
        )
        self._seats[aircraft] = seat
        seat.set_pace(self._pace_s)
        self._keep_pace()
        log.info("aircraft", aircraft=aircraft, spoken_for=spoken_for)
        return seat

    def _keep_pace(self) -> None:
        wanted_s = pace_s(len(self._seats))
        if wanted_s != self._pace_s:
            self._pace_s = wanted_s
            for seat in self._seats.values():
                seat.set_pace(wanted_s)
            log.info("pace", aircraft=len(self._seats), think_every_s=wanted_s)

    def _restored(self, state: State) -> ResolvedPlan | None:
        """Return the plan that this flight had before a restart; None when there is one, or was none."""
        if self.knowledge.plan.plan != Plan() or self._memory is None:
            return None
        restored = self._memory.recall(state)
        if restored is not None:
            log.info("plan_restored", aircraft=state.aircraft, destination=restored.plan.destination)
        return restored
