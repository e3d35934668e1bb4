"""The latch over time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories.latch import Latch


@pytest.mark.parametrize(
    ("timeline", "expected"),
    [
        pytest.param([(0.0, 1.5), (1.9, 1.5)], [False, False], id="too-short"),
        pytest.param([(0.0, 1.5), (2.0, 1.0)], [False, True], id="held-at-the-limit-exactly"),
        pytest.param([(0.0, 1.5), (1.0, 0.99), (2.0, 1.5), (3.9, 1.5)], [False] * 4, id="a-dip-starts-the-hold-again"),
        pytest.param(
            [(0.0, 1.5), (2.0, 1.5), (3.0, 0.85), (9.0, 0.85)], [False, True, True, True], id="inside-the-margin-stays"
        ),
        pytest.param(
            [(0.0, 1.5), (2.0, 1.5), (3.0, 0.7), (4.0, 0.7), (6.0, 0.7)],
            [False, True, True, True, False],
            id="falls-after-clear-time",
        ),
        pytest.param([(0.0, 1.5), (100.0, 1.5)], [False, True], id="two-steps-far-apart-are-enough"),
    ],
)
def test_timeline(timeline: list[tuple[float, float]], expected: list[bool]) -> None:
    """It needs the whole hold to rise, and the whole margin and clear time to fall."""
    latch = Latch(hold_s=2.0, clear_s=3.0, margin=0.2)

    assert expected == [latch.step(time_s=time_s, amount=amount) for time_s, amount in timeline]


def test_no_hold_rises_at_once() -> None:
    """With no hold the first step at the limit is enough."""
    assert Latch(hold_s=0.0, clear_s=1.0, margin=0.0).step(time_s=5.0, amount=1.0)


def test_reset_forgets() -> None:
    """After a reset nothing stands and the hold starts anew."""
    latch = Latch(hold_s=1.0, clear_s=1.0, margin=0.1)
    latch.step(time_s=0.0, amount=2.0)
    latch.reset()

    assert not latch.step(time_s=1.0, amount=2.0)


@given(rate_hz=st.integers(1, 60), hold_s=st.floats(0.5, 5.0))
def test_the_rate_of_steps_does_not_matter(rate_hz: int, hold_s: float) -> None:
    """Whatever the rate, it rises at the first step at or after the hold, never before."""
    latch = Latch(hold_s=hold_s, clear_s=1.0, margin=0.2)
    times = [count / rate_hz for count in range(rate_hz * 7)]
    raised = next(time_s for time_s in times if latch.step(time_s=time_s, amount=1.2))

    assert hold_s <= raised < hold_s + 1.0 / rate_hz + 1e-9
