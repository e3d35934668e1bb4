"""Magnetic directions and designators. The model's official values stand in tests/standards."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import magnetic
from otherseat.advisories.angles import difference_deg

DIRECTION = st.floats(0.0, 360.0)


@given(true_deg=DIRECTION, variation_deg=st.floats(-180.0, 180.0))
def test_there_and_back(true_deg: float, variation_deg: float) -> None:
    """True to magnetic to true comes back; east is least."""
    there_deg = magnetic.magnetic_deg(true_deg=true_deg, variation_deg=variation_deg)
    back_deg = magnetic.true_deg(magnetic_deg=there_deg, variation_deg=variation_deg)

    assert 0.0 == pytest.approx(difference_deg(back_deg, true_deg), abs=1e-9)


@given(course_deg=DIRECTION)
def test_a_designator_is_within_five_degrees(course_deg: float) -> None:
    """Ten times the number is no further than 5 degrees from the course, and numbers run from 01 to 36."""
    found = magnetic.designator(course_magnetic_deg=course_deg)

    assert 1 <= int(found) <= 36
    assert abs(difference_deg(int(found) * 10.0, course_deg)) <= 5.0 + 1e-9


@pytest.mark.parametrize("side", ["", "L", "C", "R"])
@pytest.mark.parametrize("number", range(1, 37))
def test_the_other_end_of_the_other_end(number: int, side: str) -> None:
    """Turning round twice comes back, and the ends lie 18 apart with left for right."""
    runway = f"{number:02d}{side}"
    other = magnetic.opposite_designator(runway)

    assert runway == magnetic.opposite_designator(other)
    assert 18 == abs(int(other[:2]) - number)
    assert {"": "", "L": "R", "C": "C", "R": "L"}[side] == other[2:]


def test_longitude_may_run_either_way() -> None:
    """358 east is 2 west."""
    east, west = (
        magnetic.magnetic_field(latitude_deg=50.0, longitude_deg=longitude_deg, decimal_year=2026.0)
        for longitude_deg in (358.0, -2.0)
    )

    assert east.variation_deg == pytest.approx(west.variation_deg)
