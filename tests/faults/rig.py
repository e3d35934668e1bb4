"""A flight that must raise an alert, and plug-ins that misbehave: what every fault is tried with."""

import json
import os
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Self

import msgpack
import zmq

from otherseat.daemon.client import Client
from otherseat.daemon.messages import HealthMessage
from tests.daemon.crowd import LAYOUT
from tests.running import PATIENCE_S, Daemon

PASSED = "destination-passed"
PLAN = 'departure = "ZZKN/07"\ndestination = "ZZPS/27L"\n'
SETTINGS = '[airfields]\nworld = false\n[watchdog]\nsilence_s = 20.0\n[recorder]\nfolder = "{folder}"\n'
"""Only the demo's airfields, so that a test is quick; silence is no alert, however busy the machine is."""
LATITUDE_DEG, LONGITUDE_DEG = -6.20018, -9.22823
"""The destination."""
SPEED_KT = 300.0
NM_PER_DEG = 59.65
"""Of longitude, there."""
AT_ONCE = 100
"""Datagrams on their way at a time: fewer than the daemon would drop as too old."""
LAST_WORDS_MS = 30
SAME_S = 1e-3
FLOWN_PAST = [(PASSED, "raised"), (PASSED, "changed")]
"""What the flight past the destination comes to: advice, and more than that as the miles grow."""
PATH_VARIABLE = "PYTHONPATH"


def row(aircraft: str, time_s: float, *, past_nm: float, altitude_ft: float = 5_000.0) -> bytes:
    """Return one datagram: level at 300 kt due east, so far past the destination."""
    longitude_deg = LONGITUDE_DEG + past_nm / NM_PER_DEG
    return f"{aircraft},{time_s:.4f},{LATITUDE_DEG},{longitude_deg:.7f},{altitude_ft},280,90,{SPEED_KT},0,0\n".encode()


def past(aircraft: str, *, from_s: float = 0.0, seconds: float = 72.0, step_s: float = 0.5) -> Iterator[bytes]:
    """Yield the datagrams of a flight over the destination and on, from two miles before it to four miles behind."""
    for count in range(int(seconds / step_s) + 1):
        elapsed_s = count * step_s
        yield row(aircraft, from_s + elapsed_s, past_nm=elapsed_s * SPEED_KT / 3_600.0 - 2.0)


def options(folder: Path) -> list[str]:
    """Write layout, plan and settings into a folder; return the options of `fly` that name them."""
    files = {
        "crowd.toml": LAYOUT,
        "plan.toml": PLAN,
        "settings.toml": SETTINGS.format(folder=(folder / "flights").as_posix()),
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    paths = {name.removesuffix(".toml"): str(folder / name) for name in files}
    return ["--layout", paths["crowd"], "--plan", paths["plan"], "--settings", paths["settings"]]


class Ear:
    """Sends a daemon flights and hears everything that its feed says of them, in order; a plain socket, no client."""

    def __init__(self, daemon: Daemon) -> None:
        self.daemon = daemon
        self._context: zmq.Context[Any] = zmq.Context()
        self._socket = self._context.socket(zmq.SUB)
        self._socket.setsockopt(zmq.RCVHWM, 0)
        self._socket.subscribe(b"")
        self._socket.connect(daemon.feed)
        self._next()  # the heartbeat: the subscription is in force

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._context.destroy(linger=0)

    def fly(self, datagrams: Iterable[bytes]) -> list[tuple[str, str]]:
        """Send a flight, a few datagrams at a time; return alert and change of everything that came of it."""
        rows = list(datagrams)
        changes: list[tuple[str, str]] = []
        for first in range(0, len(rows), AT_ONCE):
            part = rows[first : first + AT_ONCE]
            self.daemon.send(part)
            changes += self._until(part[-1])
        return changes

    def _until(self, last: bytes) -> list[tuple[str, str]]:
        """Hear until the daemon has published this datagram's state, and what it said at once after that."""
        aircraft, time_s, *_ = last.decode().split(",")
        changes, published = [], False
        while True:
            frames = self._next(LAST_WORDS_MS if published else None)
            if frames is None:
                return changes
            kind = frames[0].partition(b".")[0]
            if kind == b"alert":
                body = msgpack.unpackb(frames[1])["body"]
                changes += [(body["alert"], body["change"])] * (body["aircraft"] == aircraft)
            elif frames[0] == b"state." + aircraft.encode():
                published = published or abs(msgpack.unpackb(frames[1])["time_s"] - float(time_s)) < SAME_S

    def _next(self, timeout_ms: int | None = None) -> list[bytes] | None:
        if not self._socket.poll(int(1_000 * PATIENCE_S) if timeout_ms is None else timeout_ms):
            assert timeout_ms is not None, "the daemon fell silent"
            return None
        return list(self._socket.recv_multipart())


def assert_advises(daemon: Daemon, aircraft: str) -> None:
    """Fly a new aircraft past its destination and see that it is told."""
    with Ear(daemon) as ear:
        assert FLOWN_PAST == ear.fly(past(aircraft))[:2]


def health_when(client: Client, seen: Callable[[HealthMessage], bool]) -> HealthMessage:
    """Return the daemon's health once it shows something."""
    until_s = time.monotonic() + PATIENCE_S
    while True:
        health: HealthMessage = client.ask("status", timeout_s=PATIENCE_S)
        if seen(health):
            return health
        assert time.monotonic() < until_s, health
        time.sleep(0.05)


def log_lines(text: str) -> list[dict[str, Any]]:
    """Return the log's lines; every line must be one of the log's own."""
    return [json.loads(line) for line in text.splitlines()]


def with_plugin(
    folder: Path, source: str, *, group: str = "otherseat.advisories", name: str = "faulty"
) -> dict[str, str]:
    """Write a plug-in as an installed package of somebody else's; return the environment that has it."""
    package = folder / "installed"
    info = package / "faulty_plugin-1.0.dist-info"
    info.mkdir(parents=True)
    (package / "faulty_plugin.py").write_text(source, encoding="utf-8")
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: faulty-plugin\nVersion: 1.0\n", encoding="utf-8")
    (info / "entry_points.txt").write_text(f"[{group}]\n{name} = faulty_plugin:PLUGIN\n", encoding="utf-8")
    return environment({PATH_VARIABLE: os.pathsep.join(filter(None, [str(package), os.environ.get(PATH_VARIABLE)]))})


def environment(changes: Mapping[str, str]) -> dict[str, str]:
    """Return this process's environment with some changes."""
    return {**os.environ, **changes}


def advisory(look: str, *, first: str = "") -> str:
    """Return the source of an advisory whose look has this body; first runs when it is imported."""
    return f"""
import sys, time
from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
{first}

class Faulty:
    kept = []

    def __init__(self, params):
        pass

    def look(self, *, altitude_ft):
        {look}
        return []

PLUGIN = Advisory(name="faulty", alerts=("faulty",), params=Params, make=Faulty)
"""
