"""What others on the bus do: they are slow, dead or hostile. The daemon, and who listens properly, never notice."""

import random
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import zmq

from tests.faults.rig import FLOWN_PAST, Ear, options, past, row
from tests.running import PATIENCE_S, Daemon, running

FRAMES = 6_000
"""Thrice what the feed keeps for one subscriber."""
SLEEPER = """
import sys, zmq
socket = zmq.Context().socket(zmq.SUB)
socket.subscribe(b"")
socket.connect(sys.argv[1])
socket.recv()
print("heard", flush=True)
while True:
    socket.recv()
"""


@pytest.fixture
def ear(tmp_path: Path) -> Iterator[Ear]:
    """Run a daemon with one good listener."""
    with running(*options(tmp_path), "--no-recording") as daemon, Ear(daemon) as ear:
        yield ear


def many(aircraft: str) -> Iterator[bytes]:
    """Yield more states than the feed keeps for anybody."""
    return (row(aircraft, n / 60, past_nm=-40.0 + n / 720) for n in range(FRAMES))


def memory_mib(daemon: Daemon) -> int:
    """Return what the daemon says it has."""
    with daemon.client() as client:
        return int(client.ask("status", timeout_s=PATIENCE_S).counters["memory MiB"])


def test_a_slow_subscriber(ear: Ear) -> None:
    """Who never reads loses frames of his own; nobody else does, and the daemon keeps a bounded number for him."""
    with zmq.Context() as context, context.socket(zmq.SUB) as slow:
        for option, value in ((zmq.RCVHWM, 1), (zmq.RCVBUF, 4_096), (zmq.LINGER, 0)):
            slow.setsockopt(option, value)
        slow.subscribe(b"")
        slow.connect(ear.daemon.feed)
        ear.fly(many("own"))
        before_mib = memory_mib(ear.daemon)
        ear.fly(many("other"))
        changes = ear.fly(past("third"))
        after_mib = memory_mib(ear.daemon)

    assert FLOWN_PAST == changes[:2]
    assert after_mib < before_mib + 20


def test_a_dead_subscriber(ear: Ear) -> None:
    """One that is stopped for good, with its connection open, holds up nobody."""
    with subprocess.Popen(
        [sys.executable, "-c", SLEEPER, ear.daemon.feed], stdout=subprocess.PIPE, text=True
    ) as sleeper:
        assert sleeper.stdout is not None
        assert "heard\n" == sleeper.stdout.readline()
        stop = signal.SIGSTOP if sys.platform != "win32" else signal.SIGTERM
        sleeper.send_signal(stop)
        ear.fly(many("own"))
        changes = ear.fly(past("other"))
        sleeper.kill()

    assert FLOWN_PAST == changes[:2]


def test_hostile_connections(ear: Ear) -> None:
    """Noise, half a greeting, and a subscription of a megabyte on both sockets end in nothing but their own end."""
    dice = random.Random(7)
    greeting = b"\xff" + bytes(8) + b"\x7f\x03\x00NULL" + bytes(48)
    packets = [b"", dice.randbytes(5_000), greeting[:20], greeting, b"GET / HTTP/1.1\r\n\r\n"]
    packets.append(
        greeting + b"\x04\x19\x05READY\x0bSocket-Type\x00\x00\x00\x03SUB" + b"\x02" + b"\xff" * 8 + bytes(9_000)
    )
    held = []
    for endpoint in (ear.daemon.feed, ear.daemon.desk):
        host, _, port = endpoint.removeprefix("tcp://").rpartition(":")
        for packet in packets * 20:
            connection = socket.create_connection((host, int(port)), timeout=PATIENCE_S)
            connection.sendall(packet)
            held.append(connection)
    changes = ear.fly(past("own"))
    for connection in held:
        connection.close()

    assert FLOWN_PAST == changes[:2]
    assert FLOWN_PAST == ear.fly(past("other"))[:2]
