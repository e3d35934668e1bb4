"""Service: the daemon's one path of execution. Datagrams in, engines stepped, everything published; one thread.

`take` is called by the listeners on the loop's thread. A ticker looks four times a second for silence and sends the
heartbeat. Voice and recorder live behind queues in threads of their own and can never delay any of this.
"""

import asyncio
import contextlib
from collections.abc import Callable, Sequence
from importlib.metadata import version
from typing import Any, Protocol

import structlog
import zmq

from otherseat.advisories.state import State
from otherseat.daemon.bus import Allowance, Desk, Feed
from otherseat.daemon.gate import Gate
from otherseat.daemon.hook import Hook
from otherseat.daemon.logbook import Logbook
from otherseat.daemon.memory import resident_mib
from otherseat.daemon.messages import HealthMessage, Kind, SourceHealth
from otherseat.daemon.plan_keeper import PlanMemory
from otherseat.daemon.reception import Reception
from otherseat.daemon.roster import Knowledge, Roster
from otherseat.daemon.seat import Listener, Outlets, Seat
from otherseat.daemon.source_words import misfit
from otherseat.daemon.verbs import VERBS, Nothing, VoiceRequest
from otherseat.daemon.voice.speaker import Adjust, Speaker

__all__ = ["Knowledge", "Service", "Source"]

log = structlog.get_logger(__name__)

TICK_S = 0.25
HEALTH_EVERY_S = 1.0
TOLD_AT_ONCE = 50
RETIRE_AFTER_S = 600.0
ASKED_AT_ONCE = 2_000.0
ASKED_PER_S = 1_000.0


class Source(Protocol):
    """One stream of datagrams, as far as the service needs it."""

    def start(self, take: Callable[[Sequence[State], float], None]) -> None:
        """Listen from the running loop, and hand over states with the time of their arrival."""
        ...

    def health(self, *, now_s: float) -> SourceHealth:
        """Return what has been counted."""
        ...

    def refuses(self, *, now_s: float, for_s: float) -> bool:
        """Say whether datagrams come, and none of them could be used for so long."""
        ...

    def close(self) -> None:
        """Stop listening."""
        ...


class Service:
    """The daemon."""

    def __init__(
        self,
        *,
        knowledge: Knowledge,
        sources: Sequence[Source],
        speaker: Callable[[], Speaker],
        clock: Callable[[], float],
        listener: Listener | None = None,
        logbook: Logbook | None = None,
        memory: PlanMemory | None = None,
    ) -> None:
        """Open the bus, or raise EndpointError; speaker makes the voice, after that: a taken address is said first."""
        self._settings = knowledge.settings
        self._sources = sources
        self._clock = clock
        self._version = version("otherseat")
        self._logbook = logbook
        self._started_s = clock()
        self._health_s = float("-inf")
        self._misfits: set[str] = set()
        self._context: zmq.Context[Any] = zmq.Context()
        self._gate: Gate | None = None
        try:
            keys = self._settings.bus.keys
            self._gate = None if keys is None else Gate(self._context, keys)
            self.feed = Feed(self._context, self._settings.bus.feed, gate=self._gate)
            self.desk = self._open_desk()
            self._speaker = speaker()
            outlets = Outlets(
                feed=self.feed,
                phrasebook=knowledge.phrasebook,
                speaker=self._speaker,
                listener=listener,
                logbook=logbook,
                hook=Hook(self._settings.hook),
                teach=self._settings.voice.teach,
            )
            self.roster = Roster(knowledge=knowledge, outlets=outlets, memory=memory)
            self._handlers = self._all_handlers()
            for name, handler in self._handlers.items():
                self.desk.register(VERBS[name], handler)
        except Exception:
            self._close_context()
            raise

    def _all_handlers(self) -> dict[str, Callable[[Any], Any]]:
        reception = Reception(roster=self.roster, feed=self.feed)
        return {**reception.handlers(), "status": self.health, "voice": self._adjust_voice}

    def _open_desk(self) -> Desk:
        return Desk(
            self._context,
            self._settings.bus.desk,
            handlers={},
            allowance=Allowance(burst=ASKED_AT_ONCE, per_s=ASKED_PER_S),
            gate=self._gate,
        )

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
            self.roster.step(state, received_s=received_s)

    def obey(self, verb: str, request: Any) -> Any:
        """Carry out an order as if the desk had taken it, for whoever is in the house; may raise RefusedError."""
        return self._handlers[verb](request)

    def tick(self) -> None:
        """Look for silence, send the heartbeat, let go of aircraft that are long gone."""
        now_s, silence_s = self._clock(), self._settings.watchdog.silence_s
        for seat in self.roster:
            silent_s = now_s - seat.received_s
            if silent_s >= RETIRE_AFTER_S:
                self.roster.retire(seat)
                continue
            if silent_s >= silence_s and seat.engine.moving:
                unreadable = any(source.refuses(now_s=now_s, for_s=silence_s) for source in self._sources)
                seat.blind(silent_s=silent_s, unreadable=unreadable)
            seat.tell_time(silent_s=silent_s if silent_s >= silence_s else 0.0)
        if self._logbook is not None and not self.roster.aircraft:
            self._logbook.close()
        self._tell_how_all_stand(now_s)
        if now_s - self._health_s >= HEALTH_EVERY_S:
            self._health_s = now_s
            health = self.health()
            self.feed.publish(Kind.HEALTH, None, now_s - self._started_s, health)
            self._warn_of_misfits(health)

    def _warn_of_misfits(self, health: HealthMessage) -> None:
        """Say once of each source that what it sends can't be true."""
        for source in health.sources:
            if source.address not in self._misfits and (reason := misfit(source)):
                self._misfits.add(source.address)
                log.warning("misfit", source=source.name, reason=reason)

    def close(self) -> None:
        """Close sockets, voice and recording."""
        for source in self._sources:
            source.close()
        self.desk.close()
        self.feed.close()
        self._speaker.close()
        if self._logbook is not None:
            self._logbook.close()
        self._close_context()

    def _close_context(self) -> None:
        if self._gate is not None:
            self._gate.close()
        self._context.destroy(linger=0)

    def _tell_how_all_stand(self, now_s: float) -> None:
        """Tell of each aircraft once a second; of a crowd a third at a time, so that no state waits for it."""
        due = [seat for seat in self.roster if now_s - seat.told_s >= HEALTH_EVERY_S]
        for seat in due[: max(TOLD_AT_ONCE, len(self.roster.aircraft) // 3)]:
            seat.told_s = now_s
            self.feed.stand(seat.time_s, seat.standing(now_s=now_s))

    def _adjust_voice(self, request: VoiceRequest) -> None:
        """Change volume, ear, device or rate; the health topic says what came of it."""
        self._speaker.adjust(Adjust(**request.model_dump()))

    def health(self, _request: Nothing | None = None) -> HealthMessage:
        """Return how the daemon is."""
        now_s = self._clock()
        voice = self._speaker.status
        seats = list(self.roster)
        return HealthMessage(
            seat=self._settings.bus.name,
            version=self._version,
            uptime_s=max(now_s - self._started_s, 0.0),
            aircraft=self.roster.aircraft,
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
            recorder=self._recorder_words(),
            counters=self._counters(seats),
        )

    def _counters(self, seats: Sequence[Seat]) -> dict[str, int]:
        counts = {f"desk {name}": count for name, count in self.desk.counters.items()}
        counts["feed refused"] = self.feed.refused
        counts["engine failed"] = sum(seat.faults for seat in seats)
        memory_mib = resident_mib()
        return counts if memory_mib is None else {**counts, "memory MiB": memory_mib}

    def _recorder_words(self) -> str:
        if self._logbook is None or not self._settings.recorder.on:
            return "off"
        return self._logbook.trouble or "on"
