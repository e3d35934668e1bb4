"""Turns: level, coordinated, steady.

radius = V^2 / (g tan(bank))      rate = g tan(bank) / V      load factor = 1 / cos(bank)
Speeds are true airspeeds in knots; radii in nautical miles of air; rates in degrees per second; no wind unless a
function says so. Bank is taken without its sign. Every function takes floats or arrays.
Source: balance of forces in a level turn; FAA-H-8083-25, ch. 5, radius and rate of turn; g as in ICAO Doc 7488.
"""

from otherseat.advisories.air import GRAVITY_MPS2
from otherseat.advisories.real import Real, arctan, cos, degrees, radians, require, sqrt, tan
from otherseat.advisories.units import M_PER_FT, M_PER_NM, MPS_PER_KT

STANDARD_RATE_DEG_PER_S = 3.0
"""Half a minute for a right angle; AIM 5-3-8."""

_NM_PER_KT2 = MPS_PER_KT * MPS_PER_KT / (GRAVITY_MPS2 * M_PER_NM)
_PER_S_PER_KT = GRAVITY_MPS2 / MPS_PER_KT


def radius_nm(*, true_airspeed_kt: Real, bank_deg: Real) -> Real:
    """Return the radius of a turn; with the groundspeed instead, that over the ground at this moment."""
    return true_airspeed_kt * true_airspeed_kt * _NM_PER_KT2 / _tan_bank(bank_deg)


def rate_deg_per_s(*, true_airspeed_kt: Real, bank_deg: Real) -> Real:
    """Return the rate of turn."""
    return degrees(_tan_bank(bank_deg) * _PER_S_PER_KT / true_airspeed_kt)


def bank_for_rate_deg(*, true_airspeed_kt: Real, rate_deg_per_s: Real) -> Real:
    """Return the bank that turns at a rate."""
    return degrees(arctan(radians(rate_deg_per_s) * true_airspeed_kt / _PER_S_PER_KT))


def bank_for_radius_deg(*, true_airspeed_kt: Real, radius_nm: Real) -> Real:
    """Return the bank that turns with a radius."""
    return degrees(arctan(true_airspeed_kt * true_airspeed_kt * _NM_PER_KT2 / radius_nm))


def load_factor(*, bank_deg: Real) -> Real:
    """Return the load factor in g."""
    require(name="bank_deg", value=bank_deg, low=-89.0, high=89.0)
    return 1.0 / cos(radians(bank_deg))


def stall_speed_factor(*, bank_deg: Real) -> Real:
    """Return the stalling speed over that with wings level."""
    return sqrt(load_factor(bank_deg=bank_deg))


def pivotal_altitude_ft(*, groundspeed_kt: Real) -> Real:
    """Return the height at which the wing tip stays on a point of the ground, whatever the bank."""
    speed_mps = groundspeed_kt * MPS_PER_KT
    return speed_mps * speed_mps / (GRAVITY_MPS2 * M_PER_FT)


def _tan_bank(bank_deg: Real) -> Real:
    bank_deg = abs(bank_deg)
    require(name="bank_deg", value=bank_deg, low=0.01, high=89.0)
    return tan(radians(bank_deg))
