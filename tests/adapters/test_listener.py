"""The UDP listener on a real loopback socket."""

import select
import socket

import pytest
from structlog.testing import capture_logs

from otherseat.adapters.adapter import Reason
from otherseat.adapters.forwarder import Forwarder, target_of
from otherseat.adapters.listener import Listener, PortTakenError
from otherseat.adapters.mender import Mender


def send(port: int, *datagrams: bytes) -> None:
    """Send the datagrams to the port."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        for datagram in datagrams:
            sender.sendto(datagram, ("127.0.0.1", port))


def wait(listener: Listener) -> None:
    """Wait until something is there to read."""
    assert select.select([listener], [], [], 5.0)[0]


def test_drain_returns_in_order() -> None:
    """What was sent comes out oldest first, empty datagrams too, and then nothing more."""
    with Listener(port=0, clock=lambda: 7.0) as listener:
        send(listener.port, b"a", b"", b"c")
        wait(listener)
        received = listener.drain()

        assert [(b"a", 7.0, "127.0.0.1"), (b"", 7.0, "127.0.0.1"), (b"c", 7.0, "127.0.0.1")] == [
            each[:3] for each in received
        ]
        assert [] == listener.drain()


def test_newest_are_kept_and_the_rest_counted() -> None:
    """A reader that fell behind gets the newest, and every datagram is counted."""
    with Listener(port=0, newest=2) as listener:
        send(listener.port, *(bytes([n]) for n in range(10)))
        wait(listener)

        assert [bytes([8]), bytes([9])] == [each.datagram for each in listener.drain()]
        assert (10, 8) == (listener.received, listener.dropped)


def test_peers() -> None:
    """A datagram from a peer that is not allowed is refused by name and not handed on."""
    with Listener(port=0, peers=["127.0.0.9"]) as listener:
        send(listener.port, b"a")
        wait(listener)

        assert [] == listener.drain()
        assert {Reason.PEER: 1} == listener.refusals


def test_port_taken() -> None:
    """A port that another socket holds is an error that names it."""
    with Listener(port=0) as listener, pytest.raises(PortTakenError, match=str(listener.port)):
        Listener(port=listener.port)


def test_size_and_rate_limits() -> None:
    """What is over-long, or too much for one second, is refused by name."""
    now_s = [1.0]
    with Listener(port=0, largest_bytes=3, most_per_s=2, clock=lambda: now_s[0]) as listener:
        send(listener.port, b"four", b"a", b"b", b"c")
        wait(listener)

        assert [b"a", b"b"] == [each.datagram for each in listener.drain()]
        assert {Reason.LENGTH: 1, Reason.RATE: 1} == listener.refusals

        now_s[0] = 2.0
        send(listener.port, b"d")
        wait(listener)

        assert [b"d"] == [each.datagram for each in listener.drain()]


def test_forwarding() -> None:
    """Every datagram goes on to every target, and a target that can't be reached is counted and harms nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        other.settimeout(5.0)
        forwarder = Forwarder([("127.0.0.1", other.getsockname()[1]), ("::ffff:1", 9)])
        with Listener(port=0, forward=forwarder.send) as listener:
            send(listener.port, b"on")
            wait(listener)
            listener.drain()

        assert b"on" == other.recv(100)
        forwarder.close()


def test_targets() -> None:
    """A target is an address and a port, IPv6 in brackets; anything else is refused with an example."""
    assert ("127.0.0.1", 50_123) == target_of("127.0.0.1:50123")
    assert ("::1", 50_123) == target_of("[::1]:50123")
    with pytest.raises(ValueError, match=r"write 127\.0\.0\.1:50123"):
        target_of("somewhere")


@pytest.mark.skipif(not socket.has_ipv6, reason="this python knows no IPv6")
def test_ipv6() -> None:
    """An IPv6 address is listened on like any other."""
    try:
        listener = Listener(host="::1", port=0)
    except OSError:
        pytest.skip("this machine has no IPv6 loopback")
    with listener, socket.socket(socket.AF_INET6, socket.SOCK_DGRAM) as sender:
        sender.sendto(b"six", ("::1", listener.port))
        wait(listener)

        assert [b"six"] == [each.datagram for each in listener.drain()]


def test_multicast() -> None:
    """A datagram to a group that was joined on the loopback interface arrives, at two listeners on one port."""
    group = "239.192.0.77"
    try:
        first = Listener(host="0.0.0.0", port=0, multicast=group, interface="127.0.0.1")  # noqa: S104 - groups need it
    except OSError:
        pytest.skip("this machine's loopback has no multicast")
    with first, Listener(host="0.0.0.0", port=first.port, multicast=group, interface="127.0.0.1") as second:  # noqa: S104
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
            sender.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_IF, socket.inet_aton("127.0.0.1"))
            sender.sendto(b"all", (group, first.port))
        for listener in (first, second):
            wait(listener)

            assert [b"all"] == [each.datagram for each in listener.drain()]


class Broken:
    """A listener whose next read fails, for the mender."""

    port = 1

    def __init__(self, failing: OSError | None = None) -> None:
        self.failing = failing
        self.closed = False

    def close(self) -> None:
        """Remember it."""
        self.closed = True


def test_mending_with_growing_pauses() -> None:
    """A failed socket is closed and opened again; while that fails the pauses double; changes are logged once."""
    attempts: list[float] = []
    good, bad = Broken(), Broken(OSError("the interface went"))
    now_s = 0.0

    def make() -> Listener:
        attempts.append(now_s)
        if len(attempts) == 1:
            return bad  # type: ignore[return-value]  # stands in for a listener
        if now_s < 3.0:
            raise OSError("still away")
        return good  # type: ignore[return-value]  # likewise

    with capture_logs() as logs:
        mender = Mender(make)
        for tick in range(1, 60):
            now_s = tick / 10.0
            mender.tend(now_s)

    assert bad.closed
    assert [0.0, 0.1, 0.6, 1.6, 3.6] == [pytest.approx(attempt) for attempt in attempts]
    assert mender.listener is good
    assert ["socket failed", "socket mended"] == [line["event"] for line in logs]
