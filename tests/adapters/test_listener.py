"""The UDP listener on a real loopback socket."""

import select
import socket

import pytest

from otherseat.adapters.adapter import Reason
from otherseat.adapters.listener import Listener, PortTakenError


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

        assert [(b"a", 7.0, "127.0.0.1"), (b"", 7.0, "127.0.0.1"), (b"c", 7.0, "127.0.0.1")] == received
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
