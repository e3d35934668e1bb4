"""Turns. Published values stand in tests/standards."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import turns
from otherseat.advisories.real import DomainError

SPEED = st.floats(40.0, 500.0)
BANK = st.floats(1.0, 60.0)


@given(speed_kt=SPEED, bank_deg=BANK)
def test_a_full_circle(speed_kt: float, bank_deg: float) -> None:
    """The way round a circle is the speed times the time of it, whichever way it turns."""
    for side in (1.0, -1.0):
        around_nm = 2.0 * math.pi * turns.radius_nm(true_airspeed_kt=speed_kt, bank_deg=side * bank_deg)
        hours = 360.0 / turns.rate_deg_per_s(true_airspeed_kt=speed_kt, bank_deg=side * bank_deg) / 3_600.0

        assert around_nm == pytest.approx(speed_kt * hours)


@given(speed_kt=SPEED, bank_deg=BANK)
def test_bank_there_and_back(speed_kt: float, bank_deg: float) -> None:
    """The bank for the rate and for the radius that a bank gives is that bank."""
    rate = turns.rate_deg_per_s(true_airspeed_kt=speed_kt, bank_deg=bank_deg)
    radius_nm = turns.radius_nm(true_airspeed_kt=speed_kt, bank_deg=bank_deg)

    assert bank_deg == pytest.approx(turns.bank_for_rate_deg(true_airspeed_kt=speed_kt, rate_deg_per_s=rate))
    assert bank_deg == pytest.approx(turns.bank_for_radius_deg(true_airspeed_kt=speed_kt, radius_nm=radius_nm))


@given(speed_kt=SPEED, bank_deg=st.floats(1.0, 50.0), more_deg=st.floats(1.0, 30.0))
def test_steeper_is_tighter(speed_kt: float, bank_deg: float, more_deg: float) -> None:
    """More bank turns faster, in a smaller circle, with more load."""
    assert turns.radius_nm(true_airspeed_kt=speed_kt, bank_deg=bank_deg) > turns.radius_nm(
        true_airspeed_kt=speed_kt, bank_deg=bank_deg + more_deg
    )
    assert turns.load_factor(bank_deg=bank_deg) < turns.load_factor(bank_deg=bank_deg + more_deg)


@pytest.mark.parametrize("bank_deg", [0.0, 89.5, math.nan])
def test_no_turn(bank_deg: float) -> None:
    """Wings level do not turn, a vertical bank does not stay level."""
    with pytest.raises(DomainError, match="bank_deg"):
        turns.radius_nm(true_airspeed_kt=100.0, bank_deg=bank_deg)
