"""What the device's callback is given."""

import numpy as np
import pytest

from otherseat.daemon.voice.strip import FADE, Strip
from otherseat.daemon.voice.voice import Samples


def ones(count: int, size: float = 0.5) -> Samples:
    """Return a clip of one value."""
    return np.full(count, size, dtype=np.float32)


def strip() -> tuple[Strip, list[int]]:
    """Return a strip and the turns that it reports as done."""
    turns: list[int] = []
    return Strip(done=turns.append), turns


@pytest.mark.parametrize("period", [1, 7, 220, 5_000])
def test_every_sample_once(period: int) -> None:
    """Whatever the device's period, every sample leaves once, in order, and the end is reported once."""
    lane, turns = strip()
    clip = np.linspace(-0.9, 0.9, 1_000, dtype=np.float32)
    lane.play(samples=clip, turn=7)
    pulled = np.concatenate([lane.pull(period) for _ in range(1_000 // period + 2)])

    assert np.array_equal(clip, pulled[:1_000, 0])
    assert 0.0 == np.abs(pulled[1_000:]).max()
    assert [7] == turns


def test_cut() -> None:
    """A cut sentence fades out in 10 ms without a step, and its end is not reported."""
    lane, turns = strip()
    lane.play(samples=ones(20_000), turn=1)
    before = lane.pull(100)
    lane.cut()
    after = lane.pull(1_000)
    steps = np.abs(np.diff(np.concatenate([before, after])[:, 0]))

    assert steps.max() < 0.5 / FADE * 1.5
    assert 0.0 == np.abs(after[FADE:]).max()
    assert [] == turns


def test_a_warning_begins_beneath_the_fade() -> None:
    """What follows a cut begins at once, and the sum of both never leaves full scale."""
    lane, _ = strip()
    lane.play(samples=ones(20_000, 0.9), turn=1)
    lane.pull(100)
    lane.cut()
    lane.play(samples=ones(5_000, 0.8), turn=2)
    pulled = lane.pull(2_000)[:, 0]

    assert pulled.max() <= 1.0
    assert pytest.approx(0.8) == pulled[FADE + 1]
    assert pulled[:FADE].min() >= 0.8 - 1e-6


def test_two_pieces_of_one_turn() -> None:
    """While the words are still to come the end of the tone is not the end."""
    lane, turns = strip()
    lane.play(samples=ones(100), turn=1, more=True)
    lane.pull(300)
    assert [] == turns

    lane.extend(samples=ones(50), turn=1)
    lane.pull(300)
    assert [1] == turns


def test_words_of_a_cut_warning() -> None:
    """Words that come after their tone was cut, or after another turn began, are not played."""
    lane, _ = strip()
    lane.play(samples=ones(100), turn=1, more=True)
    lane.cut()
    lane.extend(samples=ones(50), turn=1)
    lane.pull(FADE)

    assert 0.0 == np.abs(lane.pull(300)).max()


@pytest.mark.parametrize(("ear", "expected"), [("both", [0.25, 0.25]), ("left", [0.25, 0.0]), ("right", [0.0, 0.25])])
def test_ears_and_volume(ear: str, expected: list[float]) -> None:
    """One ear or both, at a volume."""
    lane, _ = strip()
    lane.balance(volume=0.5, ear=ear)  # type: ignore[arg-type]  # pytest's parameters are text
    lane.play(samples=ones(10), turn=1)

    assert expected == lane.pull(10)[3].tolist()
