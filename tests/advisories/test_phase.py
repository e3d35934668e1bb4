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
