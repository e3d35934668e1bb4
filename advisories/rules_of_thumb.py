"""Rules of thumb: what a pilot works out in the head, each with the exact function that it stands for.

Common practice, no source, unless a function names one. The exact twin is what the checks use; the rule is shown
beside it, because this tool also teaches. How far each rule is off where pilots use it (rule less exact; measured by
rule_bands, and a test keeps this table true):

15 - 2 C per 1,000 ft   0 to 36,000 ft                      -0.677 to +0 C
1,000 ft per inHg       28.5 to 31.0 inHg                   -96.6 to +79.5 ft
120 ft per C above ISA  to 10,000 ft, ISA -20 to +30        -1.9 to +291 ft
4 % per 10 C below ISA  to 5,000 ft, +10 to -30 C           -45.2 to +20.5 ft
IAS + FL/2              FL250 to FL350, Mach .70 to .86     -27.8 to +6.4 kt
IAS + FL/2              FL350 to FL450, Mach .70 to .86     -34.3 to +9.33 kt
IAS + 2 % per 1,000 ft  to 12,000 ft, 80 to 180 kt          +0 to +8.11 kt
3 NM per 1,000 ft       1,000 to 40,000 ft, 3 deg           -5.61 to -0.14 NM
1 NM per 10 kt          50 kt off 200 to 300, .6 to 1 kt/s  -1.37 to +2.57 NM
300 ft per NM           1 to 10 NM, 3 deg, TCH 50 ft        -234 to -68.4 ft
1 NM per 300 ft         250 to 1,000 ft, 3 deg, TCH 50 ft   +0.205 to +0.35 NM
5 x groundspeed         60 to 180 kt, 3 deg                 -55.3 to -18.4 fpm
100 ft per deg per NM   1 to 6 deg                          -6.05 to -5.71 %
clock code              0 to 90 deg, up to 40 kt            -0.362 to +5.25 kt
60 x crosswind / TAS    up to 40 kt, TAS 90 to 250          +0 to +0.542 deg
10 % of TAS + 7         80 to 200 kt                        -1.78 to +2.61 deg

Every function takes floats or arrays.
"""

from otherseat.advisories.real import Real, lesser
from otherseat.advisories.units import HPA_PER_INHG


def isa_temperature_c(*, pressure_altitude_ft: Real) -> Real:
    """Return 15 less 2 for every 1,000 ft. Exact: air.isa_temperature_c."""
    return 15.0 - pressure_altitude_ft / 500.0


def pressure_altitude_ft(*, indicated_altitude_ft: Real, altimeter_hpa: Real) -> Real:
    """Return 1,000 ft for every inch of mercury off 29.92. Exact: air.pressure_altitude_ft."""
    return indicated_altitude_ft + 1_000.0 * (29.92 - altimeter_hpa / HPA_PER_INHG)


def density_altitude_ft(*, pressure_altitude_ft: Real, temperature_c: Real) -> Real:
    """Return 120 ft for every degree above ISA. Exact: air.density_altitude_ft."""
    return pressure_altitude_ft + 120.0 * (temperature_c - isa_temperature_c(pressure_altitude_ft=pressure_altitude_ft))


def cold_correction_ft(*, height_ft: Real, degrees_below_isa_c: Real) -> Real:
    """Return 4 % of the height for every 10 degrees below ISA. Exact: cold.correction_ft. ICAO Doc 8168, III-1-4."""
    return height_ft * 0.004 * degrees_below_isa_c


def jet_true_airspeed_kt(*, indicated_airspeed_kt: Real, pressure_altitude_ft: Real) -> Real:
    """Return indicated airspeed + flight level / 2, for jets high up. Exact: air.true_airspeed_kt."""
    return indicated_airspeed_kt + pressure_altitude_ft / 200.0


def propeller_true_airspeed_kt(*, indicated_airspeed_kt: Real, pressure_altitude_ft: Real) -> Real:
    """Return indicated airspeed + 2 % for every 1,000 ft, for propellers low down. Exact: air.true_airspeed_kt."""
    return indicated_airspeed_kt * (1.0 + 0.02 * pressure_altitude_ft / 1_000.0)


def path_height_ft(*, distance_nm: Real) -> Real:
    """Return 300 ft for every NM to go. Exact: path.path_height_ft."""
    return 300.0 * distance_nm


def path_distance_nm(*, height_ft: Real) -> Real:
    """Return 1 NM for every 300 ft: where to leave a minimum for the runway. Exact: path.gate_distance_nm."""
    return height_ft / 300.0


def sink_rate_fpm(*, groundspeed_kt: Real) -> Real:
    """Return 5 x groundspeed, for a 3 degree path. Exact: path.sink_rate_to_hold_fpm."""
    return 5.0 * groundspeed_kt


def descent_distance_nm(*, height_to_lose_ft: Real) -> Real:
    """Return 3 NM for every 1,000 ft to lose. Exact: path.descent_distance_nm."""
    return 3.0 * height_to_lose_ft / 1_000.0


def deceleration_distance_nm(*, speed_to_lose_kt: Real) -> Real:
    """Return 1 NM for every 10 kt to lose in level flight. Exact: path.deceleration_distance_nm."""
    return speed_to_lose_kt / 10.0


def offset_ft(*, distance_nm: Real, angle_deg: Real) -> Real:
    """Return 100 ft for every degree at every NM (60-to-1). Exact: distance x path.gradient_ft_per_nm."""
    return 100.0 * distance_nm * angle_deg


def crosswind_kt(*, wind_speed_kt: Real, angle_deg: Real) -> Real:
    """Return the clock code: the wind's angle off the runway as minutes of an hour is the share that blows across.

    15 degrees a quarter, 30 half, 45 three quarters, 60 and more all of it; angles 0 to 90. Exact: wind.components_kt.
    """
    return wind_speed_kt * lesser(angle_deg / 60.0, 1.0)


def drift_deg(*, crosswind_kt: Real, true_airspeed_kt: Real) -> Real:
    """Return 60 x crosswind / true airspeed (1 in 60). Exact: wind.heading_and_groundspeed."""
    return 60.0 * crosswind_kt / true_airspeed_kt


def standard_rate_bank_deg(*, true_airspeed_kt: Real) -> Real:
    """Return 10 % of the true airspeed + 7, for a turn of 3 deg/s. Exact: turns.bank_for_rate_deg."""
    return true_airspeed_kt / 10.0 + 7.0


def outbound_correction_deg(*, inbound_correction_deg: Real) -> Real:
    """Return three times the inbound correction on the other side: AIM 5-3-8 j 8. Exact: holding.hold."""
    return -3.0 * inbound_correction_deg
