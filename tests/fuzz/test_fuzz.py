"""Invariant: whatever is read from others gives a result or its one documented error, and nothing else.

Long: `python -m pytest -n 0 -m long tests/fuzz`. Mostly a right sample is damaged: mere nonsense is refused at once.
"""

import contextlib
import os
import random
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from structlog.testing import capture_logs

from otherseat.adapters.intake import Intake
from otherseat.adapters.layout_file import LayoutError, packaged, parse
from otherseat.advisories.runway import RunwayTable
from otherseat.config.airfields import demo_airfields
from otherseat.config.errors import ConfigError
from otherseat.config.plan_line import parse_plan
from otherseat.config.plan_words import PlanLineError
from otherseat.config.plans import read_plan
from otherseat.config.settings import read_settings
from otherseat.config.weather import ReportError, read_report
from otherseat.daemon.messages import MessageError, decode
from otherseat.daemon.plugins import adapter
from otherseat.daemon.recording import Recording, RecordingError

ROOT = Path(__file__).parent.parent.parent
SHORT, LONG = 60, int(os.environ.get("OTHERSEAT_FUZZ", "20000"))
"""Examples a target: in the default tests, and in the long run."""
RUNWAYS = RunwayTable(demo_airfields())
ROW = b"12.0, -6.2, -9.4, 2000, 0, 168.78, 90, 0\n"
LABELS = b"<LABELS>Time, lat-geod-deg, long-gc-deg, h-sl-ft, v-north-fps, v-east-fps, psi-deg, wow\n"
NMEA = b"$GPRMC,120000.00,A,0612.0000,S,00924.0000,W,100.0,090.0,010126,,*1A\r\n"


def read_in_file(text: bytes, read: Callable[[Path], object]) -> None:
    """Read something from a file with these bytes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "file.toml"
        path.write_bytes(text)
        read(path)


def take(name: str, options: dict[str, str]) -> Callable[[bytes], None]:
    """Return what has an adapter take a datagram; a fault of the adapter's own is one of ours."""

    def target(data: bytes) -> None:
        intake = Intake(adapter(name).make(options))
        with capture_logs() as logs:
            for datagram in (LABELS, data, data):
                intake.take(datagram, received_s=1.0)
        assert not intake.faults, logs

    return target


def text_of(data: bytes) -> str:
    """Return bytes as text, whatever they are."""
    return data.decode("utf-8", errors="replace")


def recording(data: bytes) -> None:
    """Read a recording to its end."""
    read_in_file(data, lambda path: list(Recording.open(path).entries()))


Target = tuple[Callable[[bytes], object], tuple[type[Exception], ...]]
TARGETS: dict[str, Target] = {
    **{name: (take(name, {}), ()) for name in ("dis", "mavlink", "nmea")},
    "layout": (take("layout", {"layout": "jsbsim"}), ()),
    "layout file": (lambda data: parse(text_of(data), origin="fuzz"), (LayoutError,)),
    "plan line": (lambda data: parse_plan(text_of(data), runways=RUNWAYS), (PlanLineError,)),
    "plan file": (lambda data: read_in_file(data, lambda path: read_plan(path, runways=RUNWAYS)), (ConfigError,)),
    "weather": (lambda data: read_report(text_of(data)), (ReportError,)),
    "settings": (lambda data: read_in_file(data, read_settings), (ConfigError,)),
    "message": (lambda data: decode(b"state.own", data), (MessageError,)),
    "recording": (recording, (RecordingError,)),
}


@cache
def samples(name: str) -> list[bytes]:
    """Return what is right, to be damaged."""
    files = {
        "plan file": ROOT / "config" / "plans" / "demo.toml",
        "settings": ROOT / "config" / "default.toml",
        "recording": ROOT / "tests" / "flights" / "high-final.mcap",
        "layout file": ROOT / "config" / "layouts" / f"{packaged()[0]}.toml",
    }
    words = {
        "nmea": [NMEA],
        "layout": [ROW, LABELS],
        "plan line": [b"ZZKN/07 DCT ZZPS/27L", b"ZZKN ZZPS/09L 3.5deg", b"to ZZPS"],
        "weather": [
            b"METAR ZZPS 251420Z 24015G25KT 9999 BKN012 12/08 Q1009",
            b"KZZZ 251420Z 00000KT 1/2SM FG OVC001 M01/M02 A2992",
        ],
    }
    return [files[name].read_bytes()] if name in files else words.get(name, [b""])


def damaged(name: str, seed: int, noise: bytes) -> bytes:
    """Return a sample with some damage, or noise alone."""
    dice = random.Random(seed)
    sample = bytearray(dice.choice(samples(name)))
    if not sample or dice.random() < 0.1:
        return noise
    for _ in range(dice.randint(0, 6)):
        place = dice.randrange(len(sample) + 1)
        match dice.randrange(4):
            case 0:
                sample[place : place + dice.randrange(40)] = noise[:40]
            case 1:
                sample[place:place] = bytes(sample[: dice.randrange(40)])
            case 2 if place < len(sample):
                sample[place] = dice.randrange(256)
            case _:
                del sample[dice.randrange(len(sample) + 1) :]
    return bytes(sample)


def attack(name: str, seed: int, noise: bytes) -> None:
    """Have a target read something damaged."""
    target, documented = TARGETS[name]
    with contextlib.suppress(documented):
        target(damaged(name, seed, noise))


@pytest.mark.parametrize("name", TARGETS)
@settings(max_examples=SHORT, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(min_value=0, max_value=2**32), noise=st.binary(max_size=300))
def test_short(name: str, seed: int, noise: bytes) -> None:
    """A result or its one documented error."""
    attack(name, seed, noise)


@pytest.mark.long
@pytest.mark.timeout(7_200)
@pytest.mark.parametrize("name", TARGETS)
@settings(max_examples=LONG, derandomize=False, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(min_value=0, max_value=2**32), noise=st.binary(max_size=2_000))
def test_long(name: str, seed: int, noise: bytes) -> None:
    """The same, for long, with new chance every time."""
    attack(name, seed, noise)
