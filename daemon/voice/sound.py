"""Making sounds alike: trimmed, of one loudness, limited, at one rate. All work on whole clips, before they are played.

Loudness   K-weighted, 400 ms blocks that overlap by 75 %, gated at -70 LUFS and 10 LU below the rest (ITU-R BS.1770-4,
           as EBU R 128 uses it); a clip shorter than a block is one block. The two filters are the standard's,
           moved to the clip's rate by the bilinear transform.
Target     -18 LUFS: speech is loud enough for a headset and its peaks still fit
Ceiling    -1.5 dB of full scale, so that the peaks between samples stay below -1 dB
Shapes     samples (n,) float32; loudness in LUFS; levels in dB
"""

import functools
import math

import numpy as np
from numpy.typing import NDArray

from otherseat.daemon.voice.voice import Audio, Samples

TARGET_LUFS = -18.0
CEILING = 10.0 ** (-1.5 / 20.0)
SILENCE_LUFS = -70.0
RELATIVE_GATE_LU = 10.0
BLOCK_S, HOP_S = 0.4, 0.1
OFFSET_DB = -0.691
"""Makes a sine of 997 Hz at full scale in one channel read -3.01 (BS.1770-4)."""
SHELF = (1_681.974_450_955_533, 3.999_843_853_973_347, 0.707_175_236_955_419_6)
"""Centre Hz, gain dB, Q that give the standard's first filter at 48 kHz."""
HIGH_PASS = (38.135_470_876_024_44, 0.500_327_037_323_877_3)
"""Corner Hz, Q that give its second."""
QUIET = 10.0 ** (-50.0 / 20.0)
"""Softer than this, relative to the clip's peak, counts as silence at the ends."""
LOOK_S = 0.004
PART = 1 << 15
"""Samples that are filtered at a time."""
TIMES, NEAR_LU = 6, 0.1
"""Limiting takes a little loudness away; so level and limit a few times, until it is near."""

Curve = NDArray[np.complex128]


def prepared(*, audio: Audio, rate_hz: int, loudness_lufs: float = TARGET_LUFS) -> Samples:
    """Return the clip at a rate, without silence at its ends, levelled and limited."""
    return levelled(
        samples=trimmed(at_rate(audio=audio, rate_hz=rate_hz)), rate_hz=rate_hz, loudness_lufs=loudness_lufs
    )


def at_rate(*, audio: Audio, rate_hz: int) -> Samples:
    """Return the samples at another rate, band-limited (by their spectrum)."""
    count = len(audio.samples)
    if audio.rate_hz == rate_hz or not count:
        return audio.samples
    wanted = round(count * rate_hz / audio.rate_hz)
    spectrum = np.fft.rfft(audio.samples)
    resampled = np.fft.irfft(spectrum[: wanted // 2 + 1], wanted) * (wanted / count)
    return np.asarray(resampled, dtype=np.float32)


def trimmed(samples: Samples) -> Samples:
    """Return the clip from its first to its last audible sample."""
    size = np.abs(samples)
    audible = np.flatnonzero(size > QUIET * size.max(initial=0.0))
    return samples[audible[0] : audible[-1] + 1] if len(audible) else samples[:0]


def levelled(*, samples: Samples, rate_hz: int, loudness_lufs: float = TARGET_LUFS) -> Samples:
    """Return the clip at a loudness, its peaks below the ceiling. Silence stays silence."""
    for _ in range(TIMES):
        now_lufs = loudness(samples=samples, rate_hz=rate_hz)
        if now_lufs <= SILENCE_LUFS:
            return samples
        if abs(loudness_lufs - now_lufs) < NEAR_LU and np.abs(samples).max() <= CEILING * 1.001:
            break
        gain = 10.0 ** ((loudness_lufs - now_lufs) / 20.0)
        samples = limited(samples=samples * np.float32(gain), rate_hz=rate_hz)
    return samples


def limited(*, samples: Samples, rate_hz: int) -> Samples:
    """Return the clip with its gain eased down around every peak above the ceiling."""
    size = np.abs(samples)
    if size.max(initial=0.0) <= CEILING:
        return samples
    look = round(LOOK_S * rate_hz)
    allowed = np.minimum(1.0, CEILING / np.maximum(size, CEILING))
    held = _least_around(np.pad(allowed, 2 * look, constant_values=1.0), look)
    window = np.hanning(2 * look + 3)[1:-1]
    gain = np.convolve(held, window / window.sum(), mode="same")[2 * look : 2 * look + len(samples)]
    return np.asarray(samples * gain, dtype=np.float32)


def _least_around(values: NDArray[np.float64], reach: int) -> NDArray[np.float64]:
    """Return the least value within reach on either side of each."""
    least = np.pad(values, reach, constant_values=1.0)
    width, wanted = 1, 2 * reach + 1
    while width < wanted:
        step = min(width, wanted - width)
        least = np.minimum(least[:-step], least[step:])
        width += step
    return least


def loudness(*, samples: Samples, rate_hz: int) -> float:
    """Return the gated loudness in LUFS; -inf for silence."""
    power = _block_powers(samples=samples, rate_hz=rate_hz)
    heard = power[_lufs(power) > SILENCE_LUFS]
    if not len(heard):
        return -math.inf
    kept = heard[_lufs(heard) > _lufs(heard.mean(keepdims=True)) - RELATIVE_GATE_LU]
    return float(_lufs(kept.mean(keepdims=True))[0])


def _lufs(power: NDArray[np.float64]) -> NDArray[np.float64]:
    lufs: NDArray[np.float64] = OFFSET_DB + 10.0 * np.log10(np.maximum(power, 1e-20))
    return lufs


def _block_powers(*, samples: Samples, rate_hz: int) -> NDArray[np.float64]:
    block, hop = round(BLOCK_S * rate_hz), round(HOP_S * rate_hz)
    if not len(samples):
        return np.zeros(0)
    weighted = _weighted(samples=samples, rate_hz=rate_hz)
    if len(samples) <= block:
        return np.array([np.mean(weighted**2)])
    total = np.concatenate([[0.0], np.cumsum(weighted**2)])
    starts = np.arange(0, len(samples) - block + 1, hop)
    return np.asarray((total[starts + block] - total[starts]) / block)


def _weighted(*, samples: Samples, rate_hz: int) -> NDArray[np.float64]:
    """Return the samples through the standard's two filters, part by part, so that a long clip takes no more room."""
    before = rate_hz // 4  # what came earlier is heard no more
    step = PART - before
    curve = _weighting(size=PART, rate_hz=rate_hz)
    behind_silence = np.concatenate([np.zeros(before, dtype=np.float32), samples])
    weighted = np.empty(len(samples))
    for start in range(0, len(samples), step):
        part = np.fft.irfft(np.fft.rfft(behind_silence[start : start + PART], PART) * curve, PART)
        weighted[start : start + step] = part[before : before + len(samples) - start]
    return weighted


@functools.lru_cache(maxsize=4)
def _weighting(*, size: int, rate_hz: int) -> Curve:
    turn = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    return np.asarray(_response(_shelf(rate_hz), turn) * _response(_high_pass(rate_hz), turn))


def _response(filter_: tuple[list[float], list[float]], turn: Curve) -> Curve:
    above, below = filter_
    return np.asarray(np.polyval(above[::-1], turn) / np.polyval(below[::-1], turn))


def _shelf(rate_hz: int) -> tuple[list[float], list[float]]:
    centre_hz, gain_db, quality = SHELF
    k = math.tan(math.pi * centre_hz / rate_hz)
    high = 10.0 ** (gain_db / 20.0)
    band = high**0.499_666_774_154_541_6
    below = 1.0 + k / quality + k * k
    above = [high + band * k / quality + k * k, 2.0 * (k * k - high), high - band * k / quality + k * k]
    return [b / below for b in above], [1.0, 2.0 * (k * k - 1.0) / below, (1.0 - k / quality + k * k) / below]


def _high_pass(rate_hz: int) -> tuple[list[float], list[float]]:
    corner_hz, quality = HIGH_PASS
    k = math.tan(math.pi * corner_hz / rate_hz)
    below = 1.0 + k / quality + k * k
    return [1.0, -2.0, 1.0], [1.0, 2.0 * (k * k - 1.0) / below, (1.0 - k / quality + k * k) / below]
