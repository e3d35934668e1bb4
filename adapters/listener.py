"""The listener: one UDP socket, drained without blocking, for an asyncio loop's add_reader.

Every datagram from an allowed peer is counted. When more than `newest` wait at once the reader has fallen behind:
the oldest of them are dropped and counted, because the newest state is the one that matters. Receive times come
from a clock that never steps back: the wall clock at start plus the monotonic clock since.
"""

import errno
import socket
import struct
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
    peer_port: int = 0


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
        multicast: str | None = None,
        interface: str = "",
        largest_bytes: int = LARGEST_BYTES,
        most_per_s: int | None = None,
        forward: Callable[[bytes], None] | None = None,
    ) -> None:
        """Bind, or raise PortTakenError or OSError.

        host may be IPv4 or IPv6; broadcasts arrive on the address of "every interface". multicast is a group to join,
        interface the local address (IPv4) or the name (IPv6) of the interface on which. Datagrams longer than
        largest_bytes, and more than most_per_s in one second, are refused. forward is handed every datagram that is
        not refused, dropped ones too.
        """
        self._peers = frozenset(peers)
        self._newest = newest
        self._clock = clock or steady_wall_clock()
        self._largest_bytes = largest_bytes
        self._rate = Rate(most_per_s) if most_per_s else None
        self._forward = forward
        self._socket = bind(host=host, port=port, multicast=multicast, interface=interface)
        self.host = host
        self.port: int = self._socket.getsockname()[1]
        self.granted_buffer_bytes = self._socket.getsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF)
        self.received = 0
        self.dropped = 0
        """Read, but older than the newest ones when the reader had fallen behind."""
        self.errors = 0
        self.failing: OSError | None = None
        """The error of the last read, when it was one; none while all is well."""
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

    def receive(self) -> Received | None:
        """Return the oldest that waits, or None; never blocks and never raises."""
        for _ in range(MOST_READS):
            received = self._read()
            if received is None or self._admits(received):
                return received
        return None

    def drain(self) -> list[Received]:
        """Return what waits, oldest first, at most the newest `newest` of it; never blocks and never raises."""
        waiting: deque[Received] = deque(maxlen=self._newest)
        read = 0
        for _ in range(MOST_READS):
            received = self._read()
            if received is None:
                break
            if self._admits(received):
                read += 1
                waiting.append(received)
        self.dropped += read - len(waiting)
        return list(waiting)

    def _read(self) -> Received | None:
        """Return one datagram, or None when none waits or the read failed."""
        try:
            datagram, address = self._socket.recvfrom(LARGEST_BYTES)
        except (BlockingIOError, InterruptedError):
            return None
        except OSError as error:
            self.errors += 1
            # a sender's closed port is reported here by some systems, and says nothing about this socket
            self.failing = None if isinstance(error, ConnectionError) else error
            return None
        self.failing = None
        return Received(datagram, self._clock(), address[0], address[1])

    def _admits(self, received: Received) -> bool:
        """Count a datagram, hand it on, and return whether it is wanted."""
        reason = self._refusal(received)
        if reason is not None:
            self.refusals[reason] += 1
            return False
        self.received += 1
        if self._forward is not None:
            self._forward(received.datagram)
        return True

    def _refusal(self, received: Received) -> Reason | None:
        """Return why a datagram is not wanted, None when it is."""
        if self._peers and received.peer not in self._peers:
            return Reason.PEER
        if len(received.datagram) > self._largest_bytes:
            return Reason.LENGTH
        if self._rate is not None and not self._rate.admits(received.received_s):
            return Reason.RATE
        return None


class Rate:
    """At most so many in a second."""

    def __init__(self, most_per_s: int) -> None:
        self._most = most_per_s
        self._second = 0
        self._count = 0

    def admits(self, now_s: float) -> bool:
        """Say whether one more is within the rate."""
        if int(now_s) != self._second:
            self._second, self._count = int(now_s), 0
        self._count += 1
        return self._count <= self._most


def bind(*, host: str, port: int, multicast: str | None = None, interface: str = "") -> socket.socket:
    """Return a non-blocking UDP socket with a large buffer; PortTakenError when another program has the port."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_DGRAM)
    try:
        share(bound) if multicast else keep_to_itself(bound)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, RECEIVE_BUFFER_BYTES)
        bound.setblocking(False)
        bound.bind((host, port))
        if multicast:
            join(bound, family=family, group=multicast, interface=interface)
    except OSError as error:
        bound.close()
        if error.errno in TAKEN:
            raise PortTakenError(host=host, port=port) from None
        raise
    return bound


def share(bound: socket.socket) -> None:
    """Let other programs of this machine listen to the same group and port."""
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)


def keep_to_itself(bound: socket.socket) -> None:
    """Let nobody else bind the port; where there is no such option a plain bind does it already."""
    exclusive = getattr(socket, "SO_EXCLUSIVEADDRUSE", None)
    if exclusive is not None:
        bound.setsockopt(socket.SOL_SOCKET, exclusive, 1)


def join(bound: socket.socket, *, family: int, group: str, interface: str) -> None:
    """Join a multicast group on one interface, or on the system's choice."""
    if family == socket.AF_INET6:
        index = socket.if_nametoindex(interface) if interface else 0
        request = socket.inet_pton(socket.AF_INET6, group) + struct.pack("@I", index)
        bound.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_JOIN_GROUP, request)
    else:
        request = socket.inet_aton(group) + socket.inet_aton(interface or "0.0.0.0")  # noqa: S104 - the system's choice
        bound.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, request)
