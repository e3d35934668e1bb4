"""Cold: how far an altimeter overreads in cold air, and what to read for a height.

An altimeter knows pressure, not height; in air colder than ISA the same pressures lie closer together, so the
aircraft is lower than the altimeter says. Three figures, from exact to practical:
exact    heights stretch by T / T_isa all the way up from the station (air.true_altitude_ft)
formula  ICAO Doc 8168 vol. I (2006), part III, section 1, ch. 4, 4.3 (vol. III since 2018): H (15 - t0) /
         (273 + t0 - 0.5 L0 (H + Hss)), t0 the station's temperature brought to sea level, L0 = 0.00198 C/ft
table    the printed table (ICAO Doc 8168, table III-1-4-1 b; FAA AIM TBL 7-3-1): the formula for a station at sea
         level, rounded up to the next 10 ft
Heights in feet above the station whose altimeter setting is used, temperatures in C at that station. Corrections
are added to a height that is to be flown. Warm air gives negative ones (not in the table), which nobody applies.
"""

import math

from otherseat.advisories.air import LAPSE_K_PER_FT, SEA_LEVEL_K
from otherseat.advisories.real import Real, log, require
from otherseat.advisories.units import KELVIN_AT_0_C

LAPSE_C_PER_FT = 0.00198
TABLE_TOP_FT = 5_000.0
TABLE_TEMPERATURES_C = (-50.0, 10.0)


def correction_ft(*, height_ft: Real, station_temperature_c: Real, station_elevation_ft: Real) -> Real:
    """Return what to add to a true height above the station to have the height to read, by the ICAO formula."""
    at_sea_level_c = station_temperature_c + LAPSE_C_PER_FT * station_elevation_ft
    mean_k = 273.0 + at_sea_level_c - 0.5 * LAPSE_C_PER_FT * (height_ft + station_elevation_ft)
    return height_ft * (15.0 - at_sea_level_c) / mean_k


def table_correction_ft(*, height_ft: float, station_temperature_c: float) -> float:
    """Return the printed table's correction, also between its cells; above 5,000 ft that of 5,000 ft: AIM 7-3."""
    low_c, high_c = TABLE_TEMPERATURES_C
    require(name="station_temperature_c", value=station_temperature_c, low=low_c, high=high_c)
    require(name="height_ft", value=height_ft, low=0.0, high=math.inf)
    exact_ft = correction_ft(
        height_ft=min(height_ft, TABLE_TOP_FT),
        station_temperature_c=station_temperature_c,
        station_elevation_ft=0.0,
    )
    return math.ceil(exact_ft / 10.0) * 10.0


def indicated_altitude_ft(*, true_altitude_ft: Real, station_temperature_c: Real, station_elevation_ft: Real) -> Real:
    """Return what the altimeter, on the station's setting, shows at a true altitude in the troposphere. Exact.

    The inverse of air.true_altitude_ft with the deviation from ISA found at the station.
    """
    standard_k = SEA_LEVEL_K - LAPSE_K_PER_FT * station_elevation_ft
    deviation_k = station_temperature_c + KELVIN_AT_0_C - standard_k
    height_ft = true_altitude_ft - station_elevation_ft
    shown_ft = height_ft
    for _ in range(5):
        ahead_k = standard_k - LAPSE_K_PER_FT * shown_ft
        excess_ft = shown_ft + deviation_k / LAPSE_K_PER_FT * log(standard_k / ahead_k) - height_ft
        shown_ft = shown_ft - excess_ft * ahead_k / (ahead_k + deviation_k)
    return station_elevation_ft + shown_ft
