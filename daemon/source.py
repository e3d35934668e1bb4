"""UdpSource: a socket, its decoder and its counters, read from the loop's own thread.

Behind    when many datagrams wait at once every one is still decoded and recorded, but states of one aircraft that are
          less than THIN_S apart are passed over for the newest of them, until the loop has caught up.
"""

import asyncio
from collections.abc import Callable, Sequence
from typing import Protocol

from otherseat.adapters.assembler import Assembler
from otherseat.adapters.forwarder import Forwarder, Target, target_of
from otherseat.adapters.intake import Intake
from otherseat.adapters.listener import Listener, Received
from otherseat.adapters.mender import Mender
from otherseat.advisories.state import State
from otherseat.config.errors import ConfigError
from otherseat.config.settings import SourceSettings
from otherseat.daemon import plugins
from otherseat.daemon.messages import SourceHealth

Clock = Callable[[], float]
NEWEST = 2_048
"""Datagrams taken at once, a fifth of a second at 10,000 a second; older ones are dropped and counted."""
BEHIND = 16
"""So many waiting at once are more than a loop in time ever sees of one simulator."""
THIN_S = 0.05
ALONE_S = 0.002
"""What comes so long after the last one is most likely alone: one read, and no second one that finds nothing. When more
waits after all, the loop says so at once."""
TEND_EVERY_S = 0.5


class Keep(Protocol):
    """Whoever keeps datagrams."""

    def __call__(self, *, source: str, received_s: float, data: bytes) -> None:
        """Keep one."""
        ...


class UdpSource:
    """One stream of datagrams. Binds its port when made: PortTakenError says which one is taken."""

    def __init__(self, *, settings: SourceSettings, intake: Intake, clock: Clock, keep: Keep | None = None) -> None:
        """Bind the port; keep is told every datagram, as the recorder wants."""
        self.name = settings.layout or settings.adapter
        """What the source is called."""
        self._keep = keep
        self._settings = settings
        self._intake = intake
        self._forwarder = Forwarder(targets_of(settings))
        self._mender = Mender(lambda: open_listener(settings, clock, self._forwarder), name=self.name)
        self._listener = self._opened()
        self._take: Callable[[Sequence[State], float], None] | None = None
        self._clock = clock
        self._tending: asyncio.TimerHandle | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._heard_s: float | None = None
        self._read_s = float("-inf")
        self._passed_over = 0

    @property
    def endpoint(self) -> str:
        """Where it listens, as host:port."""
        return f"{self._listener.host}:{self._listener.port}"

    def start(self, take: Callable[[Sequence[State], float], None]) -> None:
        """Listen from the running loop."""
        self._loop = asyncio.get_running_loop()
        self._take = take
        self._loop.add_reader(self._listener.fileno(), self._drain, take)
        self._tending = self._loop.call_later(TEND_EVERY_S, self._tend)

    def health(self, *, now_s: float) -> SourceHealth:
        """Return what has been counted."""
        refused = self._intake.refusals + self._listener.refusals
        counts = {reason.value: count for reason, count in refused.items()}
        if self._listener.dropped:
            counts["dropped, too far behind"] = self._listener.dropped
        if self._passed_over:
            counts["passed over, too far behind"] = self._passed_over
        if self._intake.faults:
            counts["fault of the adapter"] = self._intake.faults
        return SourceHealth(
            name=self.name,
            adapter=self._settings.adapter,
            address=self.endpoint,
            datagrams=self._listener.received,
            states=self._intake.states,
            refused=counts,
            refused_fields=self._intake.refused_fields(),
            age_s=None if self._heard_s is None else max(now_s - self._heard_s, 0.0),
        )

    def refuses(self, *, now_s: float, for_s: float) -> bool:
        """Say whether datagrams come, and none of them could be used for so long."""
        usable_s = float("-inf") if self._heard_s is None else self._heard_s
        return now_s - self._read_s < for_s <= now_s - usable_s

    def close(self) -> None:
        """Stop listening."""
        if self._tending is not None:
            self._tending.cancel()
        if self._loop is not None and self._mender.listener is not None:
            self._loop.remove_reader(self._listener.fileno())
        self._loop = None
        self._mender.close()
        self._forwarder.close()

    def _opened(self) -> Listener:
        """Return the listener that is open."""
        if self._mender.listener is None:
            raise RuntimeError("asked for a listener while none is open")
        return self._mender.listener

    def _tend(self) -> None:
        """Look after the socket: one that failed is opened again."""
        if self._loop is None or self._take is None:
            return
        self._tending = self._loop.call_later(TEND_EVERY_S, self._tend)
        if self._mender.listener is not None and self._mender.listener.failing is not None:
            self._loop.remove_reader(self._listener.fileno())
        if self._mender.tend(self._clock()) and self._mender.listener is not None:
            self._listener = self._mender.listener
            self._loop.add_reader(self._listener.fileno(), self._drain, self._take)

    def _drain(self, take: Callable[[Sequence[State], float], None]) -> None:
        first = self._listener.receive()
        if first is None:
            return
        is_alone, self._read_s = first.received_s - self._read_s > ALONE_S, first.received_s
        if is_alone:
            if states := self._states_of(first):
                self._heard_s = first.received_s
                take(states, first.received_s)
            return
        waiting = [first, *self._listener.drain()]
        arrived = [(state, received.received_s) for received in waiting for state in self._states_of(received)]
        if not arrived:
            return
        self._heard_s = arrived[-1][1]
        looked_at = thinned(arrived) if len(waiting) > BEHIND else arrived
        self._passed_over += len(arrived) - len(looked_at)
        for state, received_s in looked_at:
            take((state,), received_s)

    def _states_of(self, received: Received) -> list[State]:
        """Return the states that a datagram completes; it is recorded before anybody looks at it."""
        if self._keep is not None:
            self._keep(source=self.name, received_s=received.received_s, data=received.datagram)
        return self._intake.take(received.datagram, received_s=received.received_s, peer=received.peer)


def thinned(arrived: Sequence[tuple[State, float]]) -> list[tuple[State, float]]:
    """Return the states in their order without those that a later one of the same aircraft follows within THIN_S."""
    kept: list[tuple[State, float]] = []
    next_s: dict[str, float] = {}
    for state, received_s in reversed(arrived):
        later_s = next_s.get(state.aircraft)
        if later_s is None or not 0.0 <= later_s - state.time_s < THIN_S:
            next_s[state.aircraft] = state.time_s
            kept.append((state, received_s))
    return kept[::-1]


def make_intake(settings: SourceSettings) -> Intake:
    """Return the intake of a source's settings, or raise ConfigError; no socket is opened."""
    options = dict(settings.options)
    if settings.layout is not None:
        options["layout"] = settings.layout
    try:
        decoder = plugins.adapter(settings.adapter).make(options)
    except ConfigError:
        raise
    except ValueError as error:
        raise ConfigError(file="settings", key="source", problem=str(error)) from error
    assembler = Assembler(stale_s=settings.stale_s, aircraft=settings.aircraft)
    return Intake(decoder, name=settings.layout or settings.adapter, assembler=assembler)


def targets_of(settings: SourceSettings) -> list[Target]:
    """Return where a source's datagrams go on to, or raise ConfigError; never back to the source itself."""
    try:
        targets = [target_of(text) for text in settings.also_send_to]
    except ValueError as error:
        raise ConfigError(file="settings", key="source.also_send_to", problem=str(error)) from error
    if settings.port in {port for host, port in targets if host in {settings.address, "127.0.0.1", "::1", "localhost"}}:
        problem = f"port {settings.port} is where this source listens; it would hear itself for ever"
        raise ConfigError(file="settings", key="source.also_send_to", problem=problem)
    return targets


def open_listener(settings: SourceSettings, clock: Clock, forwarder: Forwarder) -> Listener:
    """Bind a source's port."""
    return Listener(
        host=settings.address,
        port=settings.port,
        peers=settings.allow,
        clock=clock,
        multicast=settings.multicast,
        interface=settings.interface,
        largest_bytes=settings.largest_bytes,
        most_per_s=settings.most_per_s,
        forward=forwarder.send if settings.also_send_to else None,
        newest=NEWEST,
    )
