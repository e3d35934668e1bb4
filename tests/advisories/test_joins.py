"""Joining the centreline, held against turns that are integrated step by step."""

import math
from dataclasses import astuple

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from otherseat.advisories import joins
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.turns import radius_nm, rate_deg_per_s
from otherseat.advisories.wind import heading_and_groundspeed, track_and_groundspeed

STEP_S = 0.05


def integrate(
    *,
    heading_deg: float,
    course_deg: float,
    true_airspeed_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_speed_kt: float,
    roll_s: float,
) -> tuple[float, float, float]:
    """Return along, right of the course, and seconds, of a turn in small steps with half of the roll at either end."""
    air = {
        "true_airspeed_kt": true_airspeed_kt,
        "wind_from_deg": wind_from_deg,
        "wind_speed_kt": wind_speed_kt,
    }
    out_deg, _ = heading_and_groundspeed(course_deg=course_deg, **air)
    left_deg = difference_deg(out_deg, heading_deg)
    turn_s = abs(left_deg) / rate_deg_per_s(true_airspeed_kt=true_airspeed_kt, bank_deg=bank_deg)
    steps = max(1, round(turn_s / STEP_S))
    pieces = [(heading_deg + left_deg * (step + 0.5) / steps, turn_s / steps) for step in range(steps)]
    along = across = whole_s = 0.0
    for now_deg, seconds in [(heading_deg, roll_s / 2.0), *pieces, (out_deg, roll_s / 2.0)]:
        track_deg, groundspeed_kt = track_and_groundspeed(heading_deg=now_deg, **air)
        angle = math.radians(track_deg - course_deg)
        along += groundspeed_kt * math.cos(angle) * seconds / 3_600.0
        across += groundspeed_kt * math.sin(angle) * seconds / 3_600.0
        whole_s += seconds
    return along, across, whole_s


@given(
    heading_deg=st.floats(0.0, 360.0),
    true_airspeed_kt=st.floats(70.0, 250.0),
    bank_deg=st.floats(10.0, 30.0),
    wind_from_deg=st.floats(0.0, 360.0),
    wind_speed_kt=st.floats(0.0, 45.0),
    roll_s=st.floats(0.0, 8.0),
)
def test_a_turn_in_wind(**flown: float) -> None:
    """The closed form is what a turn integrated step by step comes to, within 10 m, roll and all."""
    turn = joins.turn_in_wind(course_deg=70.0, **flown)
    along_nm, across_nm, seconds = integrate(course_deg=70.0, **flown)

    assert (along_nm, across_nm) == pytest.approx((turn.along_nm, turn.across_nm), abs=0.005)
    assert seconds == pytest.approx(turn.time_s, abs=1e-6)


@pytest.mark.parametrize("angle_deg", [20.0, 30.0, 45.0, 90.0, 120.0])
def test_in_still_air_it_is_the_textbook(angle_deg: float) -> None:
    """R sin(angle) along and R (1 - cos(angle)) across."""
    turn = joins.turn_in_still_air(course_difference_deg=-angle_deg, groundspeed_kt=120.0, bank_deg=20.0)
    radius = radius_nm(true_airspeed_kt=120.0, bank_deg=20.0)
    angle = math.radians(angle_deg)

    assert (radius * math.sin(angle), -radius * (1.0 - math.cos(angle))) == pytest.approx(
        (turn.along_nm, turn.across_nm)
    )


@given(
    angle_deg=st.floats(10.0, 120.0),
    offset_nm=st.floats(0.2, 6.0),
    speed_kt=st.floats(70.0, 200.0),
    bank_deg=st.floats(12.0, 30.0),
    side=st.sampled_from([1.0, -1.0]),
)
def test_starting_at_the_lead_ends_on_the_centreline(
    angle_deg: float, offset_nm: float, speed_kt: float, bank_deg: float, side: float
) -> None:
    """Flown on until time_to_turn_s and then turned, the aircraft is on the centreline at established_distance_nm."""
    turn = joins.turn_in_still_air(
        course_difference_deg=-side * angle_deg, groundspeed_kt=speed_kt, bank_deg=bank_deg, roll_s=4.0
    )
    found = joins.join(
        distance_to_threshold_nm=12.0,
        offset_nm=side * offset_nm,
        course_difference_deg=-side * angle_deg,
        groundspeed_kt=speed_kt,
        turn=turn,
    )
    assert found is not None
    assume(found.time_to_turn_s >= 0.0)
    on_nm = found.time_to_turn_s * speed_kt / 3_600.0
    angle = math.radians(angle_deg)

    offset_left_nm = side * offset_nm - side * on_nm * math.sin(angle) + turn.across_nm
    distance_left_nm = 12.0 - on_nm * math.cos(angle) - turn.along_nm

    assert 0.0 == pytest.approx(offset_left_nm, abs=1e-9)
    assert distance_left_nm == pytest.approx(found.established_distance_nm)
    assert found.lead_nm == pytest.approx((found.time_to_centreline_s - found.time_to_turn_s) * speed_kt / 3_600.0)
    assert found.overshoot_nm <= 0.0


@given(
    angle_deg=st.floats(10.0, 120.0),
    offset_nm=st.floats(0.01, 6.0),
    speed_kt=st.floats(70.0, 200.0),
)
def test_left_and_right_are_alike(angle_deg: float, offset_nm: float, speed_kt: float) -> None:
    """A join from the other side is its mirror."""
    found = [
        joins.join(
            distance_to_threshold_nm=9.0,
            offset_nm=side * offset_nm,
            course_difference_deg=-side * angle_deg,
            groundspeed_kt=speed_kt,
            turn=joins.turn_in_still_air(
                course_difference_deg=-side * angle_deg, groundspeed_kt=speed_kt, bank_deg=25.0
            ),
        )
        for side in (1.0, -1.0)
    ]

    assert found[0] is not None
    assert found[1] is not None
    assert astuple(found[0]) == pytest.approx(astuple(found[1]), abs=1e-6)


def test_too_late_goes_through() -> None:
    """At 90 degrees, 0.2 NM out with a radius of 0.58 NM, a turn that starts now ends 0.38 NM beyond the centreline."""
    found = joins.join(
        distance_to_threshold_nm=6.0,
        offset_nm=0.2,
        course_difference_deg=-90.0,
        groundspeed_kt=120.0,
        turn=joins.turn_in_still_air(course_difference_deg=-90.0, groundspeed_kt=120.0, bank_deg=20.0),
    )

    assert found is not None
    # R = 120^2 / (11.294 x tan 20 x 6076.1) = 0.5766 NM
    assert 0.3766 == pytest.approx(found.overshoot_nm, abs=0.001)
    assert found.time_to_turn_s < 0.0
    assert (6.0, 6.0, 90.0) == pytest.approx(
        (found.crossing_distance_nm, found.time_to_centreline_s, found.angle_deg), abs=1e-9
    )


@pytest.mark.parametrize(
    ("offset_nm", "difference_deg_", "groundspeed_kt"),
    [
        pytest.param(1.0, 30.0, 100.0, id="away-right"),
        pytest.param(-1.0, -30.0, 100.0, id="away-left"),
        pytest.param(1.0, -0.1, 100.0, id="parallel"),
        pytest.param(1.0, -179.9, 100.0, id="opposite"),
        pytest.param(0.0, -30.0, 100.0, id="on-it"),
        pytest.param(1.0, -30.0, 0.0, id="standing"),
    ],
)
def test_what_leads_nowhere(offset_nm: float, difference_deg_: float, groundspeed_kt: float) -> None:
    """Away from the centreline, along it, on it or standing there is no join."""
    turn = joins.Turn(along_nm=0.5, across_nm=-0.1, time_s=10.0)

    assert None is joins.join(
        distance_to_threshold_nm=5.0,
        offset_nm=offset_nm,
        course_difference_deg=difference_deg_,
        groundspeed_kt=groundspeed_kt,
        turn=turn,
    )
