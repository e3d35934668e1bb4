"""Phase of flight: which altitude tells that a descent has begun. The phases themselves: test_sight.py, and flights."""

import pytest

from otherseat.advisories.phase import PhaseTracker, Whereabouts
from otherseat.advisories.picture import Phase
from otherseat.advisories.state import State


@pytest.mark.parametrize("told", ["altitude_ft", "indicated_altitude_ft", "pressure_altitude_ft"])
@pytest.mark.parametrize(("down_ft", "expected"), [(0.0, Phase.CRUISE), (600.0, Phase.APPROACH)])
def test_a_low_cruise_is_no_arrival_whatever_altitude_is_told(told: str, down_ft: float, expected: Phase) -> None:
    """Level near the destination is a cruise until the flight has come down, by any altitude that is told."""
    tracker, where = PhaseTracker(), Whereabouts(height_above_field_ft=2_000.0, distance_to_field_nm=4.0)
    for time_s, altitude_ft in ((0.0, 2_600.0), (60.0, 2_600.0 - down_ft)):
        state = State(time_s=time_s, on_ground=False, **{told: altitude_ft})
        phase = tracker.step(state=state, groundspeed_kt=100.0, sink_fpm=0.0, where=where)

    assert expected is phase


@pytest.mark.parametrize(("told", "expected"), [({}, Phase.TAKE_OFF), ({"on_ground": False}, Phase.CRUISE)])
def test_a_roll_is_a_take_off_though_nobody_tells_the_ground(told: dict[str, bool], expected: Phase) -> None:
    """Faster than 35 kt at the height at which it stood it still rolls, and 60 ft above that it flies."""
    tracker, phases = PhaseTracker(), []
    for time_s, groundspeed_kt, altitude_ft in ((0.0, 0.0, 100.0), (8.0, 45.0, 110.0), (15.0, 65.0, 120.0)):
        state = State(time_s=time_s, altitude_ft=altitude_ft, **told)  # type: ignore[arg-type]  # a table of values
        phases.append(tracker.step(state=state, groundspeed_kt=groundspeed_kt, sink_fpm=0.0, where=Whereabouts()))
    assert [expected, expected] == phases[1:]

    up = State(time_s=20.0, altitude_ft=170.0)
    tracker.step(state=up, groundspeed_kt=70.0, sink_fpm=-600.0, where=Whereabouts())
    high = State(time_s=60.0, altitude_ft=600.0)
    assert Phase.TAKE_OFF is not tracker.step(state=high, groundspeed_kt=70.0, sink_fpm=0.0, where=Whereabouts())


def phase_at(*, distance_nm: float, nearest_nm: float | None, height_ft: float = 1_400.0) -> Phase:
    """Return the phase of level flight, never higher, near a field."""
    where = Whereabouts(
        height_above_field_ft=height_ft, distance_to_field_nm=distance_nm, nearest_to_field_nm=nearest_nm
    )
    state = State(time_s=0.0, on_ground=False, altitude_ft=height_ft)
    return PhaseTracker().step(state=state, groundspeed_kt=100.0, sink_fpm=0.0, where=where)


def test_a_field_that_is_passed_is_not_approached() -> None:
    """Level 9 NM abeam of a field that no plan names is en route; in its circuit, or on the way to it, it is not.

    CAST/ICAO: by eye an approach begins with the entry of the circuit, or 1,000 ft above the runway (from memory).
    """
    assert Phase.CRUISE is phase_at(distance_nm=9.0, nearest_nm=9.0)
    assert Phase.CRUISE is phase_at(distance_nm=9.0, nearest_nm=1.0)
    assert Phase.APPROACH is phase_at(distance_nm=4.0, nearest_nm=4.0)
    assert Phase.APPROACH is phase_at(distance_nm=9.0, nearest_nm=None)


@pytest.mark.parametrize(("nearest_nm", "expected"), [(9.0, Phase.DESCENT), (1.0, Phase.APPROACH)])
def test_a_descent_past_a_field_is_a_descent(nearest_nm: float, expected: Phase) -> None:
    """Sinking within 12 NM and 3,000 ft of a field that no plan names is an approach when it leads there."""
    tracker = PhaseTracker()
    where = Whereabouts(height_above_field_ft=2_500.0, distance_to_field_nm=9.0, nearest_to_field_nm=nearest_nm)
    for time_s in (0.0, 15.0):
        state = State(time_s=time_s, on_ground=False, altitude_ft=2_500.0)
        phase = tracker.step(state=state, groundspeed_kt=100.0, sink_fpm=500.0, where=where)

    assert expected is phase


@pytest.mark.parametrize(("level_s", "expected"), [(15, Phase.DESCENT), (25, Phase.CRUISE)])
def test_a_step_on_the_way_down_is_no_end_of_the_descent(level_s: int, expected: Phase) -> None:
    """Who levels off for a quarter of a minute still descends: recorded arrivals do. Common practice, no source."""
    tracker = PhaseTracker()
    for time_s in range(15 + level_s):
        state = State(time_s=float(time_s), on_ground=False, altitude_ft=9_000.0)
        sink_fpm = 500.0 if time_s < 15 else 0.0
        phase = tracker.step(state=state, groundspeed_kt=200.0, sink_fpm=sink_fpm, where=Whereabouts())

    assert expected is phase
