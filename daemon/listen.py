"""Listening to one port for a while, for the commands that look at a stream without flying on it."""

import select
from collections.abc import Callable, Iterator
from time import monotonic

from otherseat.adapters.listener import Listener, Received
from otherseat.config.errors import ConfigError

PATIENCE_S = 0.25
"""How long one wait lasts, so that Ctrl-C and the end of the time are noticed."""


def datagrams(
    listener: Listener, *, seconds: float | None, idle: Callable[[], None] | None = None
) -> Iterator[Received]:
    """Yield what arrives until the time is over; None is for ever. idle is called whenever nothing came for a while."""
    end_s = None if seconds is None else monotonic() + seconds
    while end_s is None or monotonic() < end_s:
        if select.select([listener], [], [], PATIENCE_S)[0]:
            yield from listener.drain()
        elif idle is not None:
            idle()


def endpoint(text: str) -> tuple[str, int]:
    """Return (host, port) of "PORT" or "HOST:PORT", or raise ConfigError."""
    host, _, port = text.rpartition(":")
    if not port.isdecimal() or not 0 <= int(port) <= 65_535:  # noqa: PLR2004 - the range of ports
        raise ConfigError(file=text, key="", problem="is no port; write 47800 or 127.0.0.1:47800")
    return host.strip("[]") or "127.0.0.1", int(port)
