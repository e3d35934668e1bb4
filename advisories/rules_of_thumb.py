"""Rules of thumb: what a pilot works out in the head, each beside the exact formula that it stands for.

Common practice, no source, unless a function names one. The exact twin is what the engine uses; the rule is shown
beside it, because this tool also teaches. Every function takes floats or arrays.
"""

from otherseat.advisories.real import Real


def jet_true_airspeed_kt(*, indicated_airspeed_kt: Real, pressure_altitude_ft: Real) -> Real:
    """Return indicated airspeed + flight level / 2, for jets high up. Exact: air.true_airspeed_kt."""
    return indicated_airspeed_kt + pressure_altitude_ft / 200.0


def propeller_true_airspeed_kt(*, indicated_airspeed_kt: Real, pressure_altitude_ft: Real) -> Real:
    """Return indicated airspeed + 2 % per 1,000 ft, for propellers low down. Exact: air.true_airspeed_kt."""
    return indicated_airspeed_kt * (1.0 + 0.02 * pressure_altitude_ft / 1_000.0)


def path_height_ft(*, distance_nm: Real) -> Real:
    """Return 300 ft for every NM to go. Exact: path.path_height_ft."""
    return 300.0 * distance_nm


def sink_rate_fpm(*, groundspeed_kt: Real) -> Real:
    """Return 5 x groundspeed, for a 3 degree path. Exact: path.sink_rate_to_hold_fpm."""
    return 5.0 * groundspeed_kt


def descent_distance_nm(*, height_to_lose_ft: Real) -> Real:
    """Return 3 NM for every 1,000 ft to lose. Exact: path.descent_distance_nm."""
    return 3.0 * height_to_lose_ft / 1_000.0


def deceleration_distance_nm(*, speed_to_lose_kt: Real) -> Real:
    """Return 1 NM for every 10 kt to lose in level flight. Exact: path.deceleration_distance_nm."""
    return speed_to_lose_kt / 10.0


def standard_rate_bank_deg(*, true_airspeed_kt: Real) -> Real:
    """Return 10 % of the true airspeed + 7, for a turn of 3 deg/s. Exact: turns.bank_for_rate_deg."""
    return true_airspeed_kt / 10.0 + 7.0


def offset_ft(*, distance_nm: Real, angle_deg: Real) -> Real:
    """Return 100 ft for every degree at every NM (60-to-1). Exact: distance x tan(angle)."""
    return 100.0 * distance_nm * angle_deg
