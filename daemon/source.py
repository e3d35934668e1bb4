"""UdpSource: a socket, its decoder and its counters, read from the loop's own thread."""

import asyncio
from collections.abc import Callable, Sequence
from typing import Protocol

from otherseat.adapters.assembler import Assembler
from otherseat.adapters.intake import Intake
from otherseat.adapters.listener import Listener
from otherseat.advisories.state import State
from otherseat.config.errors import ConfigError
from otherseat.config.settings import SourceSettings
from otherseat.daemon import plugins
from otherseat.daemon.messages import SourceHealth

Clock = Callable[[], float]


class Keep(Protocol):
    """Whoever keeps datagrams."""

    def __call__(self, *, source: str, received_s: float, data: bytes) -> None:
        """Keep one."""
        ...


class UdpSource:
    """One stream of datagrams. Binds its port when made: PortTakenError says which one is taken."""

    def __init__(self, *, settings: SourceSettings, intake: Intake, clock: Clock, keep: Keep | None = None) -> None:
        """Bind the port; keep is told every datagram, as the recorder wants."""
        self._keep = keep
        self._settings = settings
        self._intake = intake
        self._listener = Listener(host=settings.address, port=settings.port, peers=settings.allow, clock=clock)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._heard_s: float | None = None

    @property
    def name(self) -> str:
        """What the source is called: its layout, or its adapter."""
        return self._settings.layout or self._settings.adapter

    @property
    def endpoint(self) -> str:
        """Where it listens, as host:port."""
        return f"{self._listener.host}:{self._listener.port}"

    def start(self, take: Callable[[Sequence[State], float], None]) -> None:
        """Listen from the running loop."""
        self._loop = asyncio.get_running_loop()
        self._loop.add_reader(self._listener.fileno(), self._drain, take)

    def health(self, *, now_s: float) -> SourceHealth:
        """Return what has been counted."""
        refused = self._intake.refusals + self._listener.refusals
        counts = {reason.value: count for reason, count in refused.items()}
        if self._listener.dropped:
            counts["dropped, too far behind"] = self._listener.dropped
        if self._intake.faults:
            counts["fault of the adapter"] = self._intake.faults
        return SourceHealth(
            name=self.name,
            adapter=self._settings.adapter,
            address=self.endpoint,
            datagrams=self._listener.received,
            states=self._intake.states,
            refused=counts,
            age_s=None if self._heard_s is None else max(now_s - self._heard_s, 0.0),
        )

    def close(self) -> None:
        """Stop listening."""
        if self._loop is not None:
            self._loop.remove_reader(self._listener.fileno())
            self._loop = None
        self._listener.close()

    def _drain(self, take: Callable[[Sequence[State], float], None]) -> None:
        for received in self._listener.drain():
            if self._keep is not None:
                self._keep(source=self.name, received_s=received.received_s, data=received.datagram)
            states = self._intake.take(received.datagram, received_s=received.received_s, peer=received.peer)
            if states:
                self._heard_s = received.received_s
                take(states, received.received_s)


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
    return Intake(decoder, name=settings.layout or settings.adapter, assembler=Assembler(aircraft=settings.aircraft))
