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
