"""The two-tone that comes before a warning: ours, computed, never recorded.

A low tone, then one a sixth higher, 90 ms each with soft edges, each with a little of its octave; then 70 ms of
silence. Both lie where engine noise is weak and small headphones are good (common practice, no source).
"""

import functools

import numpy as np

from otherseat.daemon.voice.sound import levelled
from otherseat.daemon.voice.voice import Samples

TONES_HZ = (620.0, 1_040.0)
TONE_S, EDGE_S, GAP_S = 0.090, 0.012, 0.070
OCTAVE = 0.35


@functools.lru_cache(maxsize=4)
def two_tone(*, rate_hz: int, loudness_lufs: float) -> Samples:
    """Return the tones and the gap after them, shape (n,), at a loudness."""
    tones = np.concatenate([_tone(pitch_hz=pitch_hz, rate_hz=rate_hz) for pitch_hz in TONES_HZ])
    loud = levelled(samples=tones, rate_hz=rate_hz, loudness_lufs=loudness_lufs)
    return np.concatenate([loud, np.zeros(round(GAP_S * rate_hz), dtype=np.float32)])


def _tone(*, pitch_hz: float, rate_hz: int) -> Samples:
    time_s = np.arange(round(TONE_S * rate_hz)) / rate_hz
    wave = np.sin(2 * np.pi * pitch_hz * time_s) + OCTAVE * np.sin(4 * np.pi * pitch_hz * time_s)
    edge = np.clip(np.minimum(time_s, TONE_S - time_s) / EDGE_S, 0.0, 1.0)
    return np.asarray(wave * np.sin(edge * np.pi / 2.0) ** 2 * 0.5, dtype=np.float32)
