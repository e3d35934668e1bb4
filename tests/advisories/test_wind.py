"""The wind triangle closes, and a runway's wind has its worst. Published values stand in tests/standards."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import wind
from otherseat.advisories.angles import difference_deg

DIRECTION = st.floats(0.0, 360.0)
WIND = st.floats(0.5, 80.0)
SPEED = st.floats(90.0, 500.0)


@given(heading_deg=DIRECTION, speed_kt=SPEED, from_deg=DIRECTION, wind_kt=WIND)
def test_the_triangle_closes(heading_deg: float, speed_kt: float, from_deg: float, wind_kt: float) -> None:
    """The wind found from heading, airspeed, track and groundspeed is the wind that made them."""
    track_deg, groundspeed_kt = wind.track_and_groundspeed(
        heading_deg=heading_deg, true_airspeed_kt=speed_kt, wind_from_deg=from_deg, wind_speed_kt=wind_kt
    )
    found_deg, found_kt = wind.wind_from_triangle(
        true_airspeed_kt=speed_kt,
        heading_true_deg=heading_deg,
        groundspeed_kt=groundspeed_kt,
        track_true_deg=track_deg,
    )

    assert wind_kt == pytest.approx(found_kt, abs=1e-6)
    assert 0.0 == pytest.approx(difference_deg(found_deg, from_deg), abs=1e-6)


@given(course_deg=DIRECTION, speed_kt=SPEED, from_deg=DIRECTION, wind_kt=WIND)
def test_the_heading_makes_the_course(course_deg: float, speed_kt: float, from_deg: float, wind_kt: float) -> None:
    """Flying the heading that is said to hold a course makes that course good, at the groundspeed said."""
    heading_deg, along_kt = wind.heading_and_groundspeed(
        course_deg=course_deg, true_airspeed_kt=speed_kt, wind_from_deg=from_deg, wind_speed_kt=wind_kt
    )
    track_deg, groundspeed_kt = wind.track_and_groundspeed(
        heading_deg=heading_deg, true_airspeed_kt=speed_kt, wind_from_deg=from_deg, wind_speed_kt=wind_kt
    )

    assert 0.0 <= heading_deg < 360.0
    assert along_kt == pytest.approx(groundspeed_kt, abs=1e-6)
    assert 0.0 == pytest.approx(difference_deg(track_deg, course_deg), abs=1e-6)


@given(angle_deg=st.floats(-180.0, 180.0), course_deg=DIRECTION, wind_kt=WIND)
def test_left_and_right_are_alike(angle_deg: float, course_deg: float, wind_kt: float) -> None:
    """The same wind from the other side has the same headwind and the opposite crosswind; both make up the wind."""
    (right_head, right_cross), (left_head, left_cross) = (
        wind.components_kt(
            wind_from_true_deg=course_deg + side * angle_deg, wind_speed_kt=wind_kt, course_true_deg=course_deg
        )
        for side in (1.0, -1.0)
    )

    assert right_head == pytest.approx(left_head, abs=1e-9)
    assert right_cross == pytest.approx(-left_cross, abs=1e-9)
    assert wind_kt == pytest.approx(math.hypot(right_head, right_cross))


@given(
    course_deg=DIRECTION, low_deg=DIRECTION, wide_deg=st.floats(0.0, 180.0), wind_kt=WIND, gust_kt=st.floats(0.0, 30.0)
)
def test_the_worst_of_a_variable_wind(
    course_deg: float, low_deg: float, wide_deg: float, wind_kt: float, gust_kt: float
) -> None:
    """No direction of the range and no gust blows harder across or from behind than the worst said, and one does."""
    seen = wind.runway_wind(
        wind_from_true_deg=low_deg + wide_deg / 2.0,
        wind_speed_kt=wind_kt,
        course_true_deg=course_deg,
        gust_kt=wind_kt + gust_kt,
        variable_deg=(low_deg, low_deg + wide_deg),
    )
    blows = [
        wind.components_kt(
            wind_from_true_deg=low_deg + wide_deg * part / 500.0,
            wind_speed_kt=wind_kt + gust_kt,
            course_true_deg=course_deg,
        )
        for part in range(501)
    ]
    tail_kt = max(0.0, *(-head for head, _ in blows))
    cross_kt = max(abs(cross) for _, cross in blows)

    assert tail_kt == pytest.approx(seen.worst_tailwind_kt, abs=0.01)
    assert cross_kt == pytest.approx(seen.worst_crosswind_kt, abs=0.01)


def test_a_steady_wind_is_its_own_worst() -> None:
    """Without gusts and range the worst is what is reported: 330 at 20 on runway 36 is 17.3 ahead, 10 from the left."""
    seen = wind.runway_wind(wind_from_true_deg=330.0, wind_speed_kt=20.0, course_true_deg=360.0)

    assert (17.32, -10.0, 0.0, 10.0) == pytest.approx(
        (seen.headwind_kt, seen.crosswind_kt, seen.worst_tailwind_kt, seen.worst_crosswind_kt), abs=0.005
    )


def test_drift() -> None:
    """A wind from the left drifts to the right."""
    assert 12.0 == wind.drift_deg(heading_deg=355.0, track_deg=7.0)
