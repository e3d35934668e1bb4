"""A soak: mixed flights through the real daemon as fast as they go, with faults from a seed, recorded."""

import random
import signal
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from otherseat.advisories.state import State
from otherseat.daemon.client import Client
from otherseat.daemon.flight_file import FlightFile
from otherseat.daemon.recording import Channel, Recording
from tests.daemon.hostile import requests
from tests.faults.rig import Ear, log_lines, options
from tests.running import running

FLIGHTS = Path(__file__).parent.parent / "flights"
GROWTH_MIB = 5
WARM_FLIGHTS = 8
"""Flights until every cache is as full as it gets."""
QUIET_EVENTS = {"silent", "datagram refused"}
"""What the log may say of a stream with faults in it; anything else is one of ours."""


@dataclass
class Soak:
    """One daemon and the chance that decides what happens to it."""

    ear: Ear
    client: Client
    dice: random.Random
    flown_s: float = 0.0

    def fly(self, states: list[State]) -> None:
        """Fly once, from wherever the clock stands, with some faults on the way."""
        step = self.dice.choice((1, 1, 2))
        rows = [self._row(state) for state in states[::step]]
        self.flown_s += states[-1].time_s - states[0].time_s
        while rows:
            length = self.dice.randint(20, 400)
            part, rows = rows[:length], rows[length:]
            self.ear.fly(part)
            self.dice.choice(self._faults())(part)

    def _row(self, state: State) -> bytes:
        columns = (
            "own",
            f"{self.flown_s + state.time_s:.4f}",
            state.latitude_deg,
            state.longitude_deg,
            state.altitude_ft,
            state.indicated_airspeed_kt or 90.0,
            state.track_true_deg or 0.0,
            state.groundspeed_kt or 0.0,
            state.vertical_speed_fpm or 0.0,
            int(bool(state.on_ground)),
        )
        return (",".join(map(str, columns)) + "\n").encode()

    def _faults(self) -> list[Callable[[list[bytes]], object]]:
        return [
            lambda _: self.ear.daemon.send([self.dice.randbytes(self.dice.randrange(2_000)) for _ in range(20)]),
            lambda part: self.ear.daemon.send([part[-1][: self.dice.randrange(len(part[-1]))] for _ in range(20)]),
            lambda part: self.ear.daemon.send(part[-20:]),
            lambda part: self.ear.daemon.send(list(reversed(part[-20:]))),
            self._stall,
            lambda _: self.client.ask("mute", muted=self.dice.random() < 0.5, timeout_s=20.0),
            lambda _: self.client.ask("acknowledge", timeout_s=20.0),
            lambda _: self.client.ask("plan.set", plan={"destination": "ZZPS/27L"}, timeout_s=20.0),
            lambda _: self.client.ask("plan.set", plan={"path_angle_deg": 3.5}, timeout_s=20.0),
            lambda _: requests(seed=self.dice.randrange(1_000), count=3),
            lambda _: None,
        ]

    def _stall(self, _part: list[bytes]) -> None:
        if sys.platform != "win32":
            self.ear.daemon.process.send_signal(signal.SIGSTOP)
            self.ear.daemon.process.send_signal(signal.SIGCONT)


def library() -> Iterator[list[State]]:
    """Yield the flights of the library."""
    for path in sorted(FLIGHTS.glob("*.mcap")):
        yield [state for state in FlightFile.open(path).events() if isinstance(state, State)]


@pytest.mark.parametrize(
    "hours",
    [
        pytest.param(1.0, id="an-hour"),
        pytest.param(24.0, id="a-day", marks=[pytest.mark.long, pytest.mark.timeout(3_600)]),
    ],
)
def test_hours_of_flights_with_faults(tmp_path: Path, hours: float) -> None:
    """No exception, no memory that grows, no advisory benched, and every recording opens to its last state."""
    log, flights = tmp_path / "log.txt", list(library())
    with (
        log.open("w", encoding="utf-8") as stderr,
        running(*options(tmp_path), stderr=stderr) as daemon,
        Ear(daemon) as ear,
        daemon.client() as client,
    ):
        soak, memory_mib = Soak(ear=ear, client=client, dice=random.Random(11)), []
        while soak.flown_s < hours * 3_600.0:
            soak.fly(soak.dice.choice(flights))
            health = client.ask("status", timeout_s=20.0)
            memory_mib.append(health.counters["memory MiB"])
        daemon.stop()
        ended = daemon.process.returncode
    last_s = 0.0
    for path in (tmp_path / "flights").glob("*.mcap"):
        recording = Recording.open(path)
        last_s = max(entry.body["time_s"] for entry in recording.entries() if entry.channel is Channel.STATE)
        assert recording.damage is None
    unwanted = [line for line in log_lines(log.read_text(encoding="utf-8")) if line["event"] not in QUIET_EVENTS]
    print(f"{soak.flown_s / 3_600.0:.1f} h, memory {memory_mib[0]} to {memory_mib[-1]} MiB")  # noqa: T201 - the long run's result

    assert ({}, 0, 0) == (health.benched, health.counters["engine failed"], health.counters["feed refused"])
    assert [] == unwanted
    assert memory_mib[-1] - memory_mib[min(WARM_FLIGHTS, len(memory_mib) - 1)] <= GROWTH_MIB
    assert 0 == ended
    assert last_s > 0.0
