"""The hold as it is advised."""

import math

import pytest

from otherseat.advisories import hold_advice
from otherseat.advisories.plan import Hold, ResolvedHold


def flown(true_airspeed_kt: float) -> float:
    """Return the outbound heading with 40 kt of wind from the right of a hold inbound to the north."""
    hold = ResolvedHold(
        hold=Hold(at="ZZBB", inbound_magnetic_deg=360.0, leg_min=1.0),
        latitude_deg=0.0,
        longitude_deg=0.0,
        inbound_true_deg=0.0,
    )
    values = hold_advice.flown(
        hold,
        heading_true_deg=0.0,
        true_airspeed_kt=true_airspeed_kt,
        altitude_ft=5_000.0,
        wind=(90.0, 40.0),
        variation_deg=None,
    )
    assert values is not None
    return float(values["outbound_heading_deg"])


@pytest.mark.parametrize("true_airspeed_kt", [120.0, 250.0])
def test_the_way_closes(true_airspeed_kt: float) -> None:
    """Across the inbound course, drift in both turns and on both legs adds up to nothing.

    Turns are at 3 deg/s or at 30 degrees of bank, whichever is less (AIM 5-3-8 j): omega = g tan(bank) / V.
    """
    bank_rate = math.degrees(9.80665 * math.tan(math.radians(30.0)) / (true_airspeed_kt * 1_852.0 / 3_600.0))
    circle_s = 360.0 / min(3.0, bank_rate)
    outbound = math.radians(flown(true_airspeed_kt))
    drift_kt = -40.0
    ahead_kt = true_airspeed_kt * math.cos(math.asin(40.0 / true_airspeed_kt))
    outbound_s = -ahead_kt * 60.0 / (true_airspeed_kt * math.cos(outbound))
    across = circle_s * drift_kt + outbound_s * (true_airspeed_kt * math.sin(outbound) + drift_kt)

    assert pytest.approx(0.0, abs=0.02) == across / 3_600.0
