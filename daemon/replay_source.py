"""Replay source: a recording in place of a socket. The service can't tell the difference.

Pace      the states' own time, divided by the speed; a jump in time, either way, is not waited for
Orders    what the pilot acknowledged, muted and planned in flight is done again at its moment
Left out  recorded alerts and calls: they come out of the engine anew
"""

import asyncio
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import structlog

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.speaking import Verbosity
from otherseat.advisories.state import OWN, State
from otherseat.daemon.bus import RefusedError
from otherseat.daemon.flight_file import Decode, FlightFile, Order
from otherseat.daemon.messages import PlanMessage, SourceHealth
from otherseat.daemon.service import Service
from otherseat.daemon.verbs import AcknowledgeRequest, MuteRequest, PlanSetRequest, TuneRequest

LONGEST_WAIT_S = 30.0
"""More than this between two states is a jump (a pause, a repositioning), not flight."""
LAST_WORDS_S = 1.0

log = structlog.get_logger(__name__)

Take = Callable[[Sequence[State], float], None]
Event = State | PlanMessage | Order


def plan_at_start(flight: FlightFile) -> ResolvedPlan:
    """Return the plan that was in force at the first state."""
    for event in flight.events():
        if isinstance(event, PlanMessage):
            return event.resolved()
        if isinstance(event, State):
            break
    return ResolvedPlan(plan=Plan())


class ReplaySource:
    """Plays one flight."""

    def __init__(
        self,
        *,
        flight: FlightFile,
        decode: Decode | None,
        from_s: float,
        speed: float,
        clock: Callable[[], float],
    ) -> None:
        self._flight = flight
        self._decode = decode
        self._from_s = from_s
        self._speed = speed
        self._clock = clock
        self._take: Take | None = None
        self._states = 0
        self._heard_s: float | None = None

    def start(self, take: Take) -> None:
        """Remember where states go; `play` sends them."""
        self._take = take

    def health(self, *, now_s: float) -> SourceHealth:
        """Return what has been played."""
        return SourceHealth(
            name=self._flight.recording.path.name,
            adapter="replay",
            address="recording",
            states=self._states,
            age_s=None if self._heard_s is None else max(now_s - self._heard_s, 0.0),
        )

    def refuses(self, *, now_s: float, for_s: float) -> bool:  # noqa: ARG002 - the service's signature
        """Say no: what was recorded could be read."""
        return False

    def close(self) -> None:
        """Stop sending."""
        self._take = None

    async def play(self, service: Service) -> None:
        """Run the service until the flight is over."""
        stop = asyncio.Event()
        async with asyncio.TaskGroup() as tasks:
            tasks.create_task(service.run(stop))
            await asyncio.sleep(0)
            await self._send(service)
            await asyncio.sleep(LAST_WORDS_S)
            stop.set()

    async def _send(self, service: Service) -> None:
        last_s: float | None = None
        due_s = self._clock()
        for event in self._events():
            if not isinstance(event, State):
                _obey(service, event)
                continue
            gap_s = 0.0 if last_s is None else event.time_s - last_s
            last_s = event.time_s
            if 0.0 < gap_s <= LONGEST_WAIT_S:
                due_s += gap_s / self._speed
            await asyncio.sleep(max(due_s - self._clock(), 0.0))
            self._hand_over(event)

    def _hand_over(self, state: State) -> None:
        if self._take is not None:
            self._states += 1
            self._heard_s = self._clock()
            self._take([state], self._heard_s)

    def _events(self) -> Iterator[Event]:
        """Yield states from the moment on, and every plan and order whenever it was."""
        first_s: float | None = None
        for event in self._flight.events(self._decode):
            if isinstance(event, State):
                first_s = event.time_s if first_s is None else first_s
                if event.time_s - first_s >= self._from_s:
                    yield event
            elif isinstance(event, PlanMessage | Order):
                yield event


def _obey(service: Service, event: PlanMessage | Order) -> None:
    """Have the service do what was done then; what no longer fits is left out, and said in the log."""
    asked = _asked(event)
    if asked is None:
        return
    verb, request = asked
    try:
        service.obey(verb, request)
    except RefusedError as error:
        log.info("replay_left_out", verb=verb, reason=str(error))


def _asked(event: PlanMessage | Order) -> tuple[str, Any] | None:
    """Return the desk's verb and request for what was done then, or None for what no desk is asked."""
    if isinstance(event, PlanMessage):
        return "plan.set", PlanSetRequest(aircraft=event.aircraft, plan=event.plan)
    values = event.values
    aircraft = str(values.get("aircraft", OWN))
    match event.verb:
        case "acknowledge":
            return "acknowledge", AcknowledgeRequest(aircraft=aircraft, id=str(values.get("alert_id")))
        case "mute":
            return "mute", MuteRequest(aircraft=aircraft, muted=bool(values.get("muted")))
        case "switch":
            advisories = {str(values.get("advisory")): bool(values.get("on"))}
            return "tune", TuneRequest(aircraft=aircraft, advisories=advisories)
        case "verbosity" if values.get("verbosity") in set(Verbosity):
            return "tune", TuneRequest(aircraft=aircraft, verbosity=Verbosity(values["verbosity"]))
    return None
