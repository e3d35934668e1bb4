"""Pacing, against a clock and a receiver that the test moves."""

from collections.abc import Iterator

import pytest

from otherseat.daemon.flight_model import pacing
from otherseat.daemon.flight_model.pacing import RealTime, Window


class Clock:
    """A clock that only sleeping moves."""

    def __init__(self) -> None:
        self.now_s = 100.0
        self.slept: list[float] = []

    def monotonic(self) -> float:
        """Return the time."""
        return self.now_s

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        self.slept.append(seconds)
        self.now_s += seconds


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[Clock]:
    """Put the clock in place of the real one."""
    clock = Clock()
    monkeypatch.setattr(pacing, "time", clock)
    return clock


def test_real_time(clock: Clock) -> None:
    """A simulated second takes a second, wherever simulated time begins."""
    pace = RealTime()
    for time_s in (50.0, 51.0, 53.0):
        pace.wait(time_s=time_s, sent=0)

    assert [1.0, 2.0] == pytest.approx(clock.slept)


def test_real_time_does_not_race_after_a_stall(clock: Clock) -> None:
    """After five lost seconds it goes on from now, at the pace of the clock."""
    pace = RealTime()
    pace.wait(time_s=0.0, sent=0)
    clock.now_s += 5.0
    for time_s in (0.1, 0.2):
        pace.wait(time_s=time_s, sent=0)

    assert [0.1] == pytest.approx(clock.slept)


def test_window_waits_for_the_receiver(clock: Clock) -> None:
    """With eight on their way it waits until two are left, and counts from what the receiver had before."""
    taken = iter([1_000, 1_000, 1_003, 1_006])
    pace = Window(count=lambda: next(taken), ahead=8)
    for sent in range(9):
        pace.wait(time_s=0.0, sent=sent)

    assert 2 == len(clock.slept)
    assert 0 == pace.lost


def test_window_gives_up_on_the_lost(clock: Clock) -> None:
    """A count that stands still for a second means that the rest is lost, and the flight goes on."""
    pace = Window(count=lambda: 0, ahead=8, patience_s=1.0, pause_s=0.1)
    pace.wait(time_s=0.0, sent=8)

    assert 8 == pace.lost
    assert 1.1 == pytest.approx(sum(clock.slept), abs=0.11)


def test_settle(clock: Clock) -> None:
    """Settling waits until nothing is on its way."""
    taken = iter([0, 3, 4, 5])
    pace = Window(count=lambda: next(taken))
    pace.settle(sent=5)

    assert 2 == len(clock.slept)
