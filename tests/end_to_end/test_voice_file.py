"""The demo's arrival as a file: real daemon, real flight model, real voice; measured from the samples."""

import importlib.resources
import wave

import numpy as np
import pytest
from rich.console import Console

from otherseat.advisories.levels import Level
from otherseat.daemon.children import start_daemon
from otherseat.daemon.demo_run import watch
from otherseat.daemon.messages import CallMessage
from otherseat.daemon.voice.sound import TARGET_LUFS, loudness
from otherseat.daemon.voice.voice import Samples

RATE_HZ = 22_050
GAP_S = 0.25
"""Longer than the breath between two clauses."""
NEAR_S = 0.1


@pytest.fixture(scope="module")
def flown(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[CallMessage], Samples]:
    """Fly the arrival as fast as it goes; return every call from the bus, and the file's samples."""
    pytest.importorskip("jsbsim")
    from otherseat.daemon.flight_model.world import demo_plan  # noqa: PLC0415 - needs the flight model

    file = tmp_path_factory.mktemp("voice") / "flight.wav"
    anywhere = "tcp://127.0.0.1:*"
    options = ["--port", "0", "--feed", anywhere, "--desk", anywhere, "--quiet", "--voice-to", str(file)]
    with importlib.resources.as_file(demo_plan()) as plan:
        daemon, where = start_daemon("--plan", str(plan), *options)
    with daemon:
        log = watch(Console(quiet=True), where=where, fast=True, scene=3)
    with wave.open(str(file), "rb") as heard:
        content = np.frombuffer(heard.readframes(heard.getnframes()), dtype="<i2")
    return log.calls, np.asarray(content / 32_767.0, dtype=np.float32)


def spans(samples: Samples) -> list[tuple[float, float]]:
    """Return (begin, end) in seconds of each thing said."""
    audible = np.flatnonzero(np.abs(samples) > 0.002)
    breaks = np.flatnonzero(np.diff(audible) > GAP_S * RATE_HZ)
    begins = np.concatenate([audible[:1], audible[breaks + 1]])
    ends = np.concatenate([audible[breaks], audible[-1:]])
    return [(begin / RATE_HZ, end / RATE_HZ) for begin, end in zip(begins, ends, strict=True)]


def test_calls_stand_at_their_times(flown: tuple[list[CallMessage], Samples]) -> None:
    """Every call begins within 0.1 s of its time, unless another is just being said; and nothing else is heard."""
    calls, samples = flown
    times = [call.time_s - calls[0].time_s for call in calls]
    heard = spans(samples)
    unheard = [
        time_s
        for time_s in times
        if not any(abs(begin - time_s) <= NEAR_S or begin < time_s <= end + NEAR_S for begin, end in heard)
    ]
    uncalled = [begin for begin, _ in heard if not any(abs(begin - time_s) <= NEAR_S for time_s in times)]

    assert len(calls) >= 10
    assert [] == unheard
    assert [] == uncalled


def test_calls_are_alike(flown: tuple[list[CallMessage], Samples]) -> None:
    """Each thing said is within 1 LU of every other, so that no two overlap, and nothing clips.

    A warning that was said in vain is meant to be louder, up to 6 LU.
    """
    calls, samples = flown
    again = [call.time_s - calls[0].time_s for call in calls if call.level is Level.WARNING and call.repeat]
    levels, raised = [], []
    for begin, end in spans(samples):
        level = loudness(samples=samples[round(begin * RATE_HZ) : round(end * RATE_HZ)], rate_hz=RATE_HZ)
        (raised if any(abs(begin - time_s) <= NEAR_S for time_s in again) else levels).append(level)

    assert max(levels) - min(levels) <= 1.0
    assert all(1.0 < level - TARGET_LUFS < 7.0 for level in raised)
    assert pytest.approx(TARGET_LUFS, abs=1.0) == float(np.mean(levels))
    assert np.abs(samples).max() < 10.0 ** (-1.0 / 20.0)
