"""Loudness, limiting, trimming, rates."""

import math

import numpy as np
import pytest
from scipy.signal import resample_poly

from otherseat.daemon.voice import sound
from otherseat.daemon.voice.tone import GAP_S, two_tone
from otherseat.daemon.voice.voice import Audio, Samples

RATE_HZ = 22_050


def sine(*, pitch_hz: float, seconds: float, size: float = 1.0, rate_hz: int = RATE_HZ) -> Samples:
    """Return a sine."""
    return np.asarray(
        size * np.sin(2 * np.pi * pitch_hz * np.arange(round(seconds * rate_hz)) / rate_hz), dtype=np.float32
    )


def speechlike(seed: int, seconds: float = 2.0) -> Samples:
    """Return noise in syllables, with peaks."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    syllables = np.clip(np.sin(2 * np.pi * 3.0 * time_s), 0.0, 1.0)
    return np.asarray(rng.laplace(size=len(time_s)) * syllables * 0.02, dtype=np.float32)


def test_filters_are_the_standards() -> None:
    """At 48 kHz the two filters have the coefficients printed in ITU-R BS.1770-4, tables 1 and 2."""
    shelf = ([1.53512485958697, -2.69169618940638, 1.19839281085285], [1.0, -1.69065929318241, 0.73248077421585])
    high_pass = ([1.0, -2.0, 1.0], [1.0, -1.99004745483398, 0.99007225036621])

    for expected, filter_ in ((shelf, sound._shelf(48_000)), (high_pass, sound._high_pass(48_000))):
        assert pytest.approx(expected[0], abs=1e-8) == filter_[0]
        assert pytest.approx(expected[1], abs=1e-8) == filter_[1]


@pytest.mark.parametrize("rate_hz", [16_000, 22_050, 44_100, 48_000])
def test_a_full_sine(rate_hz: int) -> None:
    """A sine of 997 Hz at full scale in one channel reads -3.01 LUFS (ITU-R BS.1770-4, annex 1)."""
    full = sine(pitch_hz=997.0, seconds=3.0, rate_hz=rate_hz)

    assert pytest.approx(-3.01, abs=0.05) == sound.loudness(samples=full, rate_hz=rate_hz)


@pytest.mark.parametrize("seed", range(5))
def test_loudness_agrees_with_a_reference(seed: int) -> None:
    """Gated loudness is what the library pyloudnorm says."""
    import pyloudnorm  # noqa: PLC0415 - a second to import, which is not spent where this is not run

    samples = speechlike(seed, seconds=3.0)
    expected = pyloudnorm.Meter(RATE_HZ, filter_class="DeMan").integrated_loudness(samples.astype(float))

    assert pytest.approx(expected, abs=0.1) == sound.loudness(samples=samples, rate_hz=RATE_HZ)


@pytest.mark.parametrize("seconds", [0.15, 0.4, 1.0, 4.0])
@pytest.mark.parametrize("size", [0.1, 1.0, 30.0])
def test_levelled(seconds: float, size: float) -> None:
    """Every clip comes to the target within 0.5 LU and its peaks, between samples too, stay below -1 dB."""
    samples = speechlike(3, seconds=seconds) * np.float32(size)
    levelled = sound.levelled(samples=samples, rate_hz=RATE_HZ)
    between = resample_poly(levelled.astype(float), 4, 1)

    assert pytest.approx(sound.TARGET_LUFS, abs=0.5) == sound.loudness(samples=levelled, rate_hz=RATE_HZ)
    assert np.abs(between).max() < 10.0 ** (-1.0 / 20.0)


def test_silence_stays_silent() -> None:
    """Nothing is made louder than it can be."""
    silence = np.zeros(RATE_HZ, dtype=np.float32)

    assert 0.0 == np.abs(sound.levelled(samples=silence, rate_hz=RATE_HZ)).max()
    assert -math.inf == sound.loudness(samples=silence[:0], rate_hz=RATE_HZ)
    assert 0 == len(sound.prepared(audio=Audio(samples=silence, rate_hz=16_000), rate_hz=RATE_HZ))


def test_limiter_leaves_the_rest_alone() -> None:
    """A peak is eased down and samples farther away than the look-ahead keep their size."""
    samples = sine(pitch_hz=300.0, seconds=0.5, size=0.4)
    samples[RATE_HZ // 4] = 2.0
    limited = sound.limited(samples=samples, rate_hz=RATE_HZ)
    reach = 2 * round(sound.LOOK_S * RATE_HZ) + 2

    assert np.abs(limited).max() <= sound.CEILING + 1e-6
    assert np.array_equal(samples[: RATE_HZ // 4 - reach], limited[: RATE_HZ // 4 - reach])
    assert np.array_equal(samples[RATE_HZ // 4 + reach :], limited[RATE_HZ // 4 + reach :])


def test_trimmed() -> None:
    """Silence at the ends goes, silence inside stays."""
    tone = sine(pitch_hz=500.0, seconds=0.1) + np.float32(0.001)
    gap = np.zeros(1_000, dtype=np.float32)
    trimmed = sound.trimmed(np.concatenate([gap, tone, gap, tone, gap]))

    assert abs(len(trimmed) - (2 * len(tone) + 1_000)) <= 4


@pytest.mark.parametrize("rate_hz", [16_000, 24_000, 44_100])
def test_another_rate(rate_hz: int) -> None:
    """A sine keeps its pitch, size and length at another rate."""
    audio = Audio(samples=sine(pitch_hz=1_000.0, seconds=0.5, rate_hz=rate_hz), rate_hz=rate_hz)
    resampled = sound.at_rate(audio=audio, rate_hz=RATE_HZ)
    expected = sine(pitch_hz=1_000.0, seconds=0.5)

    assert abs(len(expected) - len(resampled)) <= 1
    assert np.abs(resampled[500:10_000] - expected[500:10_000]).max() < 0.01


def test_two_tone() -> None:
    """Two pitches, the higher last, as loud as speech, then a gap."""
    tones = two_tone(rate_hz=RATE_HZ, loudness_lufs=sound.TARGET_LUFS)
    sounding = tones[: len(tones) - round(GAP_S * RATE_HZ)]
    halves = np.array_split(sounding, 2)
    pitches = [np.argmax(np.abs(np.fft.rfft(half, 8 * RATE_HZ))) / 8 for half in halves]

    assert pytest.approx([620.0, 1_040.0], abs=8.0) == pitches
    assert pytest.approx(sound.TARGET_LUFS, abs=0.2) == sound.loudness(samples=sounding, rate_hz=RATE_HZ)
    assert 0.0 == np.abs(tones[len(sounding) + 1 :]).max()
