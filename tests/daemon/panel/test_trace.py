"""Trace: which points are kept."""

from otherseat.daemon.panel.trace import LIMIT, STEP_FT, Point, Trace


def point(*, time_s: float, longitude_deg: float, altitude_ft: float = 1_000.0) -> Point:
    """Return a point on the equator, where a minute of longitude is about a nautical mile."""
    return Point(time_s=time_s, latitude_deg=0.0, longitude_deg=longitude_deg, altitude_ft=altitude_ft)


def test_standing_still_keeps_one_point() -> None:
    """A parked aircraft does not fill the trace."""
    trace = Trace()
    for second in range(100):
        trace.add(point(time_s=second, longitude_deg=0.0))

    assert 1 == len(trace.points)


def test_a_climb_on_the_spot_is_kept() -> None:
    """A change of height alone makes a point too, so that the side view shows it."""
    trace = Trace()
    trace.add(point(time_s=0, longitude_deg=0.0))
    trace.add(point(time_s=1, longitude_deg=0.0, altitude_ft=1_000.0 + STEP_FT))

    assert 2 == len(trace.points)


def test_a_long_flight_stays_bounded_and_keeps_both_ends() -> None:
    """However long the flight, there are LIMIT points at most, from its start to its latest place."""
    trace = Trace()
    for second in range(20_000):
        trace.add(point(time_s=second, longitude_deg=second / 1_500.0))

    assert LIMIT >= len(trace.points) >= LIMIT / 2
    assert 0 == trace.points[0].time_s
    assert 19_999 - trace.points[-1].time_s < 5
    assert sorted(trace.points, key=lambda each: each.time_s) == trace.points


def test_a_jump_begins_anew() -> None:
    """A reposition, or time running backwards, starts another trace."""
    trace = Trace()
    trace.add(point(time_s=0, longitude_deg=0.0))

    assert trace.add(point(time_s=1, longitude_deg=1.0))
    assert trace.add(point(time_s=0, longitude_deg=1.0))
    assert 1 == len(trace.points)
