"""Directions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories.angles import difference_deg, normal_deg, to_magnetic_deg

DIRECTION = st.floats(-1_080.0, 1_080.0)


@pytest.mark.parametrize(
    ("direction_deg", "expected_deg"), [(0.0, 0.0), (360.0, 0.0), (-10.0, 350.0), (730.0, 10.0), (-1e-15, 0.0)]
)
def test_normal(direction_deg: float, expected_deg: float) -> None:
    """A direction is from 0 to below 360, also a hair below a full turn."""
    assert expected_deg == normal_deg(direction_deg)


@pytest.mark.parametrize(
    ("to_deg", "from_deg", "expected_deg"),
    [(10.0, 350.0, 20.0), (350.0, 10.0, -20.0), (180.0, 0.0, -180.0), (0.0, 180.0, -180.0), (90.0, 90.0, 0.0)],
)
def test_difference(to_deg: float, from_deg: float, expected_deg: float) -> None:
    """The short way round, right positive."""
    assert expected_deg == difference_deg(to_deg, from_deg)


@given(to_deg=DIRECTION, from_deg=DIRECTION)
def test_a_difference_leads_there(to_deg: float, from_deg: float) -> None:
    """Turning by the difference leads from one to the other, by no more than half a turn."""
    turn_deg = difference_deg(to_deg, from_deg)

    assert -180.0 <= turn_deg < 180.0
    assert 0.0 <= normal_deg(from_deg + turn_deg) < 360.0
    assert difference_deg(from_deg + turn_deg, to_deg) == pytest.approx(0.0, abs=1e-9)


def test_arrays() -> None:
    """Arrays are taken as well."""
    assert [10.0, 350.0] == list(normal_deg(np.array([370.0, -10.0])))
    assert [20.0, -20.0] == list(difference_deg(np.array([10.0, 350.0]), np.array([350.0, 10.0])))


def test_to_magnetic() -> None:
    """East variation makes the magnetic direction the smaller one; without variation the true one stands."""
    assert (355.0, 5.0) == (to_magnetic_deg(5.0, 10.0), to_magnetic_deg(5.0, None))
