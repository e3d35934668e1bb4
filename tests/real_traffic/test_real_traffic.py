"""The engine over every recorded landing: the runway it names, and how little it says.

Long; needs the recordings of the package `traffic`: pip install -e ".[test,traffic]", then
pytest -m long tests/real_traffic. The figures stand in DEVELOPERS.md; python -m tests.real_traffic.table prints them.
"""

import pytest

from otherseat.advisories.levels import Level
from tests.real_traffic import table
from tests.real_traffic.samples import folder

pytestmark = [
    pytest.mark.long,
    pytest.mark.timeout(1_800),
    pytest.mark.skipif(folder() is None, reason=f"no recorded flights here: {table.INSTALL}"),
]


def test_there_are_enough() -> None:
    """The recordings hold at least 60 ordinary arrivals; fewer would prove little."""
    assert len(table.ordinary("end")) >= 60


def test_nothing_breaks() -> None:
    """No advisory raises on a real flight."""
    assert [] == [fault for mode in ("end", "none", "wrong") for one in table.heard(mode) for fault in one.faults]


@pytest.mark.parametrize("mark_nm", [5.0, 3.0, 2.0, 1.0])
def test_the_runway_is_named(mark_nm: float) -> None:
    """Lined up within 5 NM no other end is ever named, and the right one is for 95 of 100.

    The truth is plain geometry on open runway data (landings.py), which shares nothing with the engine's.
    """
    count = table.named("none")[mark_nm]

    assert 0 == count["wrong"]
    assert count["right"] >= 0.95 * count.total()


@pytest.mark.parametrize("mode", ["end", "none"])
def test_ordinary_arrivals_are_left_in_peace(mode: str) -> None:
    """No warning; fewer cautions than one in five arrivals, each of them an approach that was not stable."""
    flights = table.ordinary(mode)

    assert 0.0 == table.per_hundred_at(flights, Level.WARNING)
    assert table.per_hundred_at(flights, Level.CAUTION) <= 20.0
    assert table.per_hundred_at(flights, Level.ADVICE) <= 40.0


def test_a_plan_for_another_end_is_found_out() -> None:
    """With the nearest other end in the plan every arrival is told of it, as a caution at the least."""
    silent = [one.name for one in table.ordinary("wrong") if not any(a == "wrong-runway-arrival" for a, _ in one.worst)]

    assert [] == silent


def test_the_runway_beneath_is_named() -> None:
    """On the take-off and landing rolls of a recorded day at an airport the surface beneath is the one named."""
    moving = [one for one in table.rolled() if one.surface]
    right = sum(one.surface["right"] for one in moving)

    assert len(moving) >= 5
    assert right >= 0.98 * sum(one.surface.total() for one in moving)
