"""Service: the daemon's one path of execution. Datagrams in, engines stepped, everything published; one thread.

`take` is called by the listeners on the loop's thread. A ticker looks four times a second for silence and sends the
heartbeat. Voice and recorder live behind queues in threads of their own and can never delay any of this.
"""

import asyncio
import contextlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from importlib.metadata import version
from typing import Any, Protocol

import structlog
import zmq

from otherseat.advisories.advisory import Advisory
from otherseat.advisories.engine import Engine
from otherseat.advisories.plan import PlanError, ResolvedPlan, resolve
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import Settings
from otherseat.daemon.bus import Allowance, Desk, Feed, RefusedError
from otherseat.daemon.gate import Gate
from otherseat.daemon.messages import HealthMessage, Kind, PlanMessage, SourceHealth
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.seat import Listener, Outlets, Seat
from otherseat.daemon.verbs import (
    AcknowledgeReply,
    AcknowledgeRequest,
    AircraftRequest,
    MuteRequest,
    Nothing,
    PlanSetRequest,
    RunwaysNearReply,
    RunwaysNearRequest,
    SayRequest,
)
from otherseat.daemon.voice.speaker import Speaker

log = structlog.get_logger(__name__)

TICK_S = 0.25
HEALTH_EVERY_S = 1.0
RETIRE_AFTER_S = 600.0
ASKED_AT_ONCE = 2_000.0
ASKED_PER_S = 1_000.0
MOST_NEAR_ENDS = 40


class Source(Protocol):
    """One stream of datagrams, as far as the service needs it."""

    def start(self, take: Callable[[Sequence[State], float], None]) -> None:
        """Listen from the running loop, and hand over states with the time of their arrival."""
        ...

    def health(self, *, now_s: float) -> SourceHealth:
        """Return what has been counted."""
        ...

    def close(self) -> None:
        """Stop listening."""
        ...


@dataclass(frozen=True, slots=True)
class Knowledge:
    """What every engine of this daemon is made of."""

    settings: Settings
    runways: RunwayTable
    plan: ResolvedPlan
    advisories: Sequence[Advisory]
    phrasebook: Phrasebook


class Service:
    """The daemon."""

    def __init__(
        self,
        *,
        knowledge: Knowledge,
        sources: Sequence[Source],
        speaker: Speaker,
        clock: Callable[[], float],
        listener: Listener | None = None,
    ) -> None:
        self._knowledge = knowledge
        self._sources = sources
        self._speaker = speaker
        self._clock = clock
        self._listener = listener
        self._seats: dict[str, Seat] = {}
        self._spoken_for: str | None = None
        self._started_s = clock()
        self._health_s = float("-inf")
        self._context: zmq.Context[Any] = zmq.Context()
        bus = knowledge.settings.bus
        self._gate: Gate | None = None
        try:
            self._gate = None if bus.keys is None else Gate(self._context, bus.keys)
            self.feed = Feed(self._context, bus.feed, gate=self._gate)
            allowance = Allowance(burst=ASKED_AT_ONCE, per_s=ASKED_PER_S)
            self.desk = Desk(self._context, bus.desk, handlers=self._handlers(), allowance=allowance, gate=self._gate)
        except Exception:
            self._close_context()
            raise

    async def run(self, stop: asyncio.Event) -> None:
        """Work until told to stop, then close everything."""
        try:
            self.desk.start()
            for source in self._sources:
                source.start(self.take)
            while not stop.is_set():
                self.tick()
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(stop.wait(), TICK_S)
        finally:
            self.close()

    def take(self, states: Sequence[State], received_s: float) -> None:
        """Step the engine of each state's aircraft."""
        for state in states:
            seat = self._seats.get(state.aircraft) or self._new_seat(state.aircraft)
            seat.step(state, received_s=received_s)

    def obey(self, verb: str, request: Any) -> Any:
        """Carry out an order as if the desk had taken it, for whoever is in the house; may raise RefusedError."""
        return self._handlers()[verb](request)

    def tick(self) -> None:
        """Look for silence, send the heartbeat, let go of aircraft that are long gone."""
        now_s = self._clock()
        for seat in list(self._seats.values()):
            silent_s = now_s - seat.received_s
            if silent_s >= RETIRE_AFTER_S:
                self._retire(seat)
            elif silent_s >= self._knowledge.settings.watchdog.silence_s and seat.engine.moving:
                seat.blind(silent_s=silent_s)
        if now_s - self._health_s >= HEALTH_EVERY_S:
            self._health_s = now_s
            self._publish_health(now_s)

    def close(self) -> None:
        """Close sockets and voice."""
        for source in self._sources:
            source.close()
        self.desk.close()
        self.feed.close()
        self._speaker.close()
        self._close_context()

    def _close_context(self) -> None:
        if self._gate is not None:
            self._gate.close()
        self._context.destroy(linger=0)

    def _new_seat(self, aircraft: str) -> Seat:
        knowledge = self._knowledge
        if self._spoken_for is None:
            self._spoken_for = aircraft
        engine = Engine(
            aircraft=aircraft,
            runways=knowledge.runways,
            plan=knowledge.plan,
            advisories=knowledge.advisories,
            params=knowledge.settings.advisories,
            attention=knowledge.settings.attention,
        )
        outlets = Outlets(
            feed=self.feed,
            phrasebook=knowledge.phrasebook,
            speaker=self._speaker if aircraft == self._spoken_for else None,
            listener=self._listener,
        )
        seat = Seat(engine=engine, outlets=outlets, pictures_per_s=knowledge.settings.bus.pictures_per_s)
        self._seats[aircraft] = seat
        log.info("aircraft", aircraft=aircraft, spoken_for=aircraft == self._spoken_for)
        return seat

    def _retire(self, seat: Seat) -> None:
        self._seats.pop(seat.aircraft, None)
        if self._spoken_for == seat.aircraft:
            self._spoken_for = None
        self.feed.retire(seat.aircraft, seat.time_s)
        log.info("retired", aircraft=seat.aircraft)

    def _publish_health(self, now_s: float) -> None:
        for seat in self._seats.values():
            self.feed.stand(
                seat.aircraft,
                seat.time_s,
                live=seat.engine.live(),
                silent=seat.silent,
                age_s=max(now_s - seat.received_s, 0.0),
            )
        self.feed.publish(Kind.HEALTH, None, now_s - self._started_s, self.health())

    def health(self, _request: Nothing | None = None) -> HealthMessage:
        """Return how the daemon is."""
        now_s = self._clock()
        voice = self._speaker.status
        seats = self._seats.values()
        return HealthMessage(
            seat=self._knowledge.settings.bus.name,
            version=version("otherseat"),
            uptime_s=max(now_s - self._started_s, 0.0),
            aircraft=tuple(self._seats),
            sources=tuple(source.health(now_s=now_s) for source in self._sources),
            silent=bool(seats) and all(seat.silent for seat in seats),
            voice=" ".join(part for part in (voice.voice, voice.device, voice.note) if part) or "off",
            muted=voice.muted,
            benched={
                name: standing
                for seat in seats
                for name, standing in seat.engine.live().items()
                if standing.startswith("benched")
            },
            counters={**{f"desk {name}": count for name, count in self.desk.counters.items()}},
        )

    def _handlers(self) -> Mapping[str, Callable[[Any], Any]]:
        return {
            "snapshot": self.feed.snapshot,
            "status": self.health,
            "plan.get": self._plan_get,
            "plan.set": self._plan_set,
            "acknowledge": self._acknowledge,
            "mute": self._mute,
            "say": self._say,
            "runways.near": self._runways_near,
        }

    def _plan_get(self, request: AircraftRequest) -> PlanMessage:
        seat = self._seats.get(request.aircraft)
        plan = self._knowledge.plan if seat is None else seat.engine.plan
        return PlanMessage.of(aircraft=request.aircraft, resolved=plan)

    def _plan_set(self, request: PlanSetRequest) -> PlanMessage:
        """Take over a plan; before the aircraft is heard of, it becomes the plan of every new aircraft."""
        try:
            resolved = resolve(plan=request.plan, runways=self._knowledge.runways)
        except PlanError as error:
            raise RefusedError(f"plan: {error}") from error
        seat = self._seats.get(request.aircraft)
        if seat is None:
            self._knowledge = replace(self._knowledge, plan=resolved)
            return PlanMessage.of(aircraft=request.aircraft, resolved=resolved)
        return seat.set_plan(resolved)

    def _acknowledge(self, request: AcknowledgeRequest) -> AcknowledgeReply:
        ids = self._seat(request.aircraft).acknowledge(request.id)
        if request.id is not None and not ids:
            raise RefusedError(f"no alert {request.id} stands")
        return AcknowledgeReply(acknowledged=ids)

    def _mute(self, request: MuteRequest) -> None:
        seats = self._seats.values() if request.aircraft is None else [self._seat(request.aircraft)]
        for seat in seats:
            seat.mute(muted=request.muted)

    def _say(self, request: SayRequest) -> None:
        self._seat(request.aircraft).say(request.text)

    def _runways_near(self, request: RunwaysNearRequest) -> RunwaysNearReply:
        near = self._knowledge.runways.near(
            latitude_deg=request.latitude_deg, longitude_deg=request.longitude_deg, within_nm=request.within_nm
        )
        return RunwaysNearReply(ends=tuple(near[:MOST_NEAR_ENDS]))

    def _seat(self, aircraft: str) -> Seat:
        seat = self._seats.get(aircraft)
        if seat is None:
            known = ", ".join(self._seats) or "none yet"
            raise RefusedError(f"no aircraft is called {aircraft}; heard of: {known}")
        return seat
