"""A flood does not drown the daemon."""

import pytest

from tests.adapters.flood import run


@pytest.mark.parametrize(
    "seconds", [pytest.param(1.0, id="short"), pytest.param(10.0, id="ten", marks=pytest.mark.long)]
)
def test_flood(seconds: float) -> None:
    """Of 20,000 datagrams a second every one is accounted for, the newest gets through, and memory stays flat."""
    outcome = run(20_000.0, seconds)

    assert outcome.offered == outcome.received + outcome.lost_in_the_system
    assert 0 <= outcome.lost_in_the_system < outcome.offered
    assert outcome.states == outcome.received - outcome.dropped_as_old - 1
    assert outcome.memory_after_kb - outcome.memory_before_kb < 40_000
