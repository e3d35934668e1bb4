"""A clock's evenness in words."""

import numpy as np
import pytest

from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.timebase import real_time


@pytest.mark.parametrize(("late_s", "expected"), [(0.0, "1 ms"), (0.0004, "1 ms"), (0.0033, "3 ms")])
def test_no_clock_is_better_than_the_reading_of_it(late_s: float, expected: str) -> None:
    """Words never promise "within 0 ms": a clock that runs with the receipt to the last bit gets a millisecond."""
    received_s = np.arange(600) / 10.0
    swinging = np.where(np.arange(600) % 2 == 0, late_s, -late_s)
    clock = real_time([Column({"key": "t"}, 0, 50.0 + received_s + swinging, whole=False)], received_s).clock

    assert clock is not None
    assert f"runs with the time of receipt, within {expected}" == clock.why
