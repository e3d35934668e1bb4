"""Two aircraft under one name are told from one that is moved about."""

from collections.abc import Sequence

import pytest

from otherseat.advisories.state import State
from otherseat.daemon.muddle import RETURNS, Muddle, is_leap

Row = tuple[float, float, float]


def noticed(rows: Sequence[Row]) -> list[int]:
    """Return at which of these (time, latitude, longitude) it is noticed."""
    muddle = Muddle()
    states = [State(time_s=time_s, latitude_deg=lat, longitude_deg=lon) for time_s, lat, lon in rows]
    return [number for number, state in enumerate(states) if muddle.noticed(state)]


def flight(count: int, *, time_s: float = 0.0, latitude_deg: float = 10.0, step_s: float = 0.1) -> list[Row]:
    """Return the rows of an aircraft that flies east at 480 kt."""
    return [(time_s + n * step_s, latitude_deg, 20.0 + n * step_s * 480.0 / 3_600.0 / 60.0) for n in range(count)]


def turns(one: Sequence[Row], two: Sequence[Row]) -> list[Row]:
    """Return two flights whose states take turns."""
    return [row for pair in zip(one, two, strict=True) for row in pair]


@pytest.mark.parametrize(
    "other",
    [flight(50, latitude_deg=40.0), flight(50, time_s=500.0), flight(50, latitude_deg=10.05)],
    ids=["far-away", "another-clock", "same-airfield"],
)
def test_two_that_take_turns(other: list[Row]) -> None:
    """Two aircraft that differ in place or clock are noticed within a few states, and once."""
    (at,) = noticed(turns(flight(50), other))

    assert at <= 2 * RETURNS


@pytest.mark.parametrize(
    "rows",
    [
        flight(200),
        flight(200, step_s=16.0),
        [row for n in range(10) for row in flight(30, time_s=3.0 * n, latitude_deg=4.0 * n)],
        [row for _ in range(5) for row in flight(30)],
        [(n * 0.1, 0.0, 359.99 if n % 2 else -0.001) for n in range(50)],
        flight(60, step_s=1.5)[::-1],
        [*flight(60, step_s=1.5), *flight(60, step_s=1.5)[:20:-1], *flight(99, step_s=1.5)[60:]],
    ],
    ids=[
        "one",
        "sixteen-times-the-time",
        "moved-now-and-then",
        "begun-again",
        "over-the-meridian",
        "backwards",
        "a-part-again-backwards",
    ],
)
def test_one_alone(rows: list[Row]) -> None:
    """An aircraft that flies fast in time, is moved about by hand or begins again is one aircraft."""
    assert [] == noticed(rows)


def test_places_that_are_not_told() -> None:
    """Without a place there is only the clock to go by, and near a pole longitudes mean little."""
    bare = State(time_s=1.0)
    north = State(time_s=1.0, latitude_deg=89.0, longitude_deg=0.0)

    assert not is_leap(before=bare, after=north)
    assert not is_leap(before=north, after=bare)
    assert not is_leap(before=north, after=State(time_s=1.1, latitude_deg=89.0, longitude_deg=170.0))
    assert is_leap(before=bare, after=State(time_s=-1.0))
