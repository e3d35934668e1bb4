"""A WAV file that is whole at any moment: read while it is open, and after the daemon that wrote it was killed."""

import socket
import time
import wave
from pathlib import Path

import numpy as np
import pytest

from otherseat.daemon.voice.growing_wave import GrowingWave
from otherseat.daemon.voice.render import RATE_HZ
from tests.running import PATIENCE_S, running

GREETING_S = 2.0
"""Shorter than the sentence that every session begins with."""
LOUD = 0.02
LABELS = b"<LABELS>Time, lat-geod-deg, long-gc-deg, h-sl-ft, v-north-fps, v-east-fps, psi-deg, wow\n"


def read(file: Path) -> bytes:
    """Return the samples of a file."""
    with wave.open(str(file), "rb") as heard:
        return heard.readframes(heard.getnframes())


def test_whole_after_every_piece(tmp_path: Path) -> None:
    """Header and samples agree, without closing: before the first piece, after each, and with silence between."""
    file = tmp_path / "a.wav"
    growing = GrowingWave(file)
    pieces = [np.full(count, 0.5, dtype=np.float32) for count in (1, 30_000, 7)]
    sizes = [len(read(file))]
    for piece in pieces:
        growing.append(piece)
        sizes.append(len(read(file)))
    growing.silence_to(700_000)
    open_content = read(file)
    growing.close()

    assert [0, 2, 60_002, 60_016] == sizes
    assert [16_383] * 30_008 + [0] * (700_000 - 30_008) == np.frombuffer(open_content, dtype="<i2").tolist()
    assert open_content == read(file)
    assert 44 + len(open_content) == file.stat().st_size


def test_a_killed_daemon_leaves_what_was_said(tmp_path: Path) -> None:
    """The real daemon with the real voice: the file grows while it runs, and is whole after a kill."""
    pytest.importorskip("espeakng_loader")
    file = tmp_path / "flight.wav"
    sizes = set()
    with running("--voice", "espeak", "--voice-to", str(file), "--no-recording", "--no-memory", "--no-world") as daemon:
        begun = read(file)
        end_s = time.monotonic() + PATIENCE_S
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            out.sendto(LABELS, daemon.udp)
            for tenth in range(100_000):
                out.sendto(f"{tenth / 10}, -6.2, -9.4, 2000, 0, 168.78, 90, 0\n".encode(), daemon.udp)
                time.sleep(0.005)
                sizes.add(len(read(file)))
                if max(sizes) > 2 * GREETING_S * RATE_HZ:
                    break
                assert time.monotonic() < end_s, "nothing was written"
        daemon.process.kill()
        daemon.process.wait()
    samples = np.frombuffer(read(file), dtype="<i2") / 32_767.0

    assert b"" == begun
    assert len(samples) > GREETING_S * RATE_HZ
    assert np.abs(samples).max() > LOUD
    assert np.mean(np.abs(samples) > LOUD) > 0.2
