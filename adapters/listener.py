"""The listener: one UDP socket, drained without blocking, for an asyncio loop's add_reader.

Every datagram from an allowed peer is counted. When more than `newest` wait at once the reader has fallen behind:
the oldest of them are dropped and counted, because the newest state is the one that matters. Receive times come
from a clock that never steps back: the wall clock at start plus the monotonic clock since.
"""

import errno
import socket
import time
from collections import Counter, deque
from collections.abc import Callable, Collection
from typing import NamedTuple, Self

from otherseat.adapters.adapter import Reason

RECEIVE_BUFFER_BYTES = 4 * 1024 * 1024
"""With this no datagram was lost at 80,000 a second; the default holds some 166 of 300 bytes."""
NEWEST = 256
MOST_READS = 4_096
"""At most so many reads in one drain, so that a flood cannot starve the loop."""
LARGEST_BYTES = 65_535

WINDOWS_TAKEN = (10_013, 10_048)
TAKEN = frozenset({errno.EADDRINUSE, *WINDOWS_TAKEN})


class PortTakenError(OSError):
    """Another program listens on the port already."""

    def __init__(self, *, host: str, port: int) -> None:
        self.host = host
        self.port = port
        super().__init__(errno.EADDRINUSE, f"UDP port {port} on {host} is taken by another program")


class Received(NamedTuple):
    """One datagram with the time of its receipt and who sent it."""

    datagram: bytes
    received_s: float
    peer: str


def steady_wall_clock() -> Callable[[], float]:
    """Return a clock in seconds since 1970 that never steps back."""
    offset_s = time.time() - time.monotonic()
    return lambda: time.monotonic() + offset_s


class Listener:
    """One bound socket. Close it when done, or use it as a context manager."""

    def __init__(
        self,
        *,
        host: str = "127.0.0.1",
        port: int,
        peers: Collection[str] = (),
        newest: int = NEWEST,
        clock: Callable[[], float] | None = None,
    ) -> None:
        self._peers = frozenset(peers)
        self._newest = newest
        self._clock = clock or steady_wall_clock()
        self._socket = bind(host=host, port=port)
        self.host = host
        self.port: int = self._socket.getsockname()[1]
        self.granted_buffer_bytes = self._socket.getsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF)
        self.received = 0
        self.dropped = 0
        """Read, but older than the newest ones when the reader had fallen behind."""
        self.errors = 0
        self.refusals: Counter[Reason] = Counter()

    def fileno(self) -> int:
        """Return the socket's number, for add_reader."""
        return self._socket.fileno()

    def close(self) -> None:
        """Close the socket."""
        self._socket.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def drain(self) -> list[Received]:
        """Return what waits, oldest first, at most the newest `newest` of it; never blocks and never raises."""
        waiting: deque[Received] = deque(maxlen=self._newest)
        read = 0
        for _ in range(MOST_READS):
            try:
                datagram, address = self._socket.recvfrom(LARGEST_BYTES)
            except (BlockingIOError, InterruptedError):
                break
            except OSError:
                self.errors += 1  # such as the peer's "port closed", which some systems report here
                break
            if self._peers and address[0] not in self._peers:
                self.refusals[Reason.PEER] += 1
                continue
            read += 1
            waiting.append(Received(datagram, self._clock(), address[0]))
        self.received += read
        self.dropped += read - len(waiting)
        return list(waiting)


def bind(*, host: str, port: int) -> socket.socket:
    """Return a non-blocking UDP socket with a large buffer; PortTakenError when another program has the port."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_DGRAM)
    try:
        exclusive = getattr(socket, "SO_EXCLUSIVEADDRUSE", None)  # elsewhere a plain bind is exclusive already
        if exclusive is not None:
            bound.setsockopt(socket.SOL_SOCKET, exclusive, 1)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, RECEIVE_BUFFER_BYTES)
        bound.setblocking(False)
        bound.bind((host, port))
    except OSError as error:
        bound.close()
        if error.errno in TAKEN:
            raise PortTakenError(host=host, port=port) from None
        raise
    return bound
