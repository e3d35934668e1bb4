"""Air: the standard atmosphere, altimetry and airspeeds, exactly.

Atmosphere  ICAO standard atmosphere (Doc 7488/3; the same as US Standard Atmosphere 1976 in these layers), from
            -16,404 ft to 65,617 ft: 15 C and 1013.25 hPa at sea level, 6.5 K less per km up to 11 km, then 216.65 K
            up to 20 km. With H the geopotential altitude, and H11 that of the tropopause:
              below   p = p0 (1 - L H / T0)^(g / (R L))        above   p = p11 exp(-g (H - H11) / (R T11))
Altimeter   an altimeter set to a pressure shows the pressure altitude less that of the setting (Doc 7488, and NOAA's
            altimeter setting equation); so pressure altitude = indicated + H(setting).
Airspeed    compressible, subsonic (Saint-Venant): qc / p = (1 + 0.2 M^2)^3.5 - 1, and calibrated airspeed is what
            this gives at sea level: qc / p0 = (1 + 0.2 (CAS / a0)^2)^3.5 - 1. Anderson, Introduction to Flight, ch. 4.
True height pressure and height hang together by dz = (T / T_isa) dH; with one deviation from ISA through the whole
            layer this is ICAO Doc 8168 vol. III (formerly vol. I), "the accurate correction".

Altitudes in feet are geopotential, pressures in hPa, temperatures in C and static (outside air temperature), speeds in
knots. Where a function takes `temperature_c`, None means ISA. Every function takes floats, or arrays that
broadcast, and returns the same. Outside the atmosphere above, or past Mach 1, it raises DomainError.
"""

import math

from otherseat.advisories.real import Real, exp, greater, lesser, log, power, require, sqrt
from otherseat.advisories.units import FT_PER_M, KELVIN_AT_0_C, KT_PER_MPS, M_PER_FT

SEA_LEVEL_HPA = 1013.25
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
LAPSE_K_PER_FT = LAPSE_K_PER_M * M_PER_FT
GRAVITY_MPS2 = 9.80665
GAS_CONSTANT = 287.05287
"""J / (kg K), dry air."""
TROPOPAUSE_FT = 11_000.0 * FT_PER_M
STRATOSPHERE_K = 216.65
EARTH_RADIUS_FT = 6_356_766.0 * FT_PER_M
"""The nominal radius by which Doc 7488 turns geometric altitudes into geopotential ones."""
LOWEST_FT, HIGHEST_FT = -5_000.0 * FT_PER_M, 20_000.0 * FT_PER_M

_POWER = GRAVITY_MPS2 / (GAS_CONSTANT * LAPSE_K_PER_M)
_RATIO_AT_TROPOPAUSE = math.pow(STRATOSPHERE_K / SEA_LEVEL_K, _POWER)
_SCALE_FT = GAS_CONSTANT * STRATOSPHERE_K / GRAVITY_MPS2 * FT_PER_M
_HIGHEST_HPA = SEA_LEVEL_HPA * math.pow(1.0 - LAPSE_K_PER_FT * LOWEST_FT / SEA_LEVEL_K, _POWER)
_LOWEST_HPA = SEA_LEVEL_HPA * _RATIO_AT_TROPOPAUSE * math.exp((TROPOPAUSE_FT - HIGHEST_FT) / _SCALE_FT)
_SOUND_KT_PER_ROOT_K = math.sqrt(1.4 * GAS_CONSTANT) * KT_PER_MPS
SEA_LEVEL_SOUND_KT = _SOUND_KT_PER_ROOT_K * math.sqrt(SEA_LEVEL_K)
JUST_SONIC = 1.0 + 1e-9
"""Mach 1 with room for rounding."""


def isa_temperature_c(*, pressure_altitude_ft: Real) -> Real:
    """Return the standard temperature."""
    return isa_temperature_k(pressure_altitude_ft=pressure_altitude_ft) - KELVIN_AT_0_C


def isa_temperature_k(*, pressure_altitude_ft: Real) -> Real:
    """Return the standard temperature in kelvin."""
    require(name="pressure_altitude_ft", value=pressure_altitude_ft, low=LOWEST_FT, high=HIGHEST_FT)
    return greater(SEA_LEVEL_K - LAPSE_K_PER_FT * pressure_altitude_ft, STRATOSPHERE_K)


def pressure_ratio(*, pressure_altitude_ft: Real) -> Real:
    """Return the pressure over that at sea level."""
    standard_k = isa_temperature_k(pressure_altitude_ft=pressure_altitude_ft)
    above_ft = greater(pressure_altitude_ft, TROPOPAUSE_FT) - TROPOPAUSE_FT
    return power(standard_k / SEA_LEVEL_K, _POWER) * exp(-above_ft / _SCALE_FT)


def pressure_hpa(*, pressure_altitude_ft: Real) -> Real:
    """Return the pressure at a pressure altitude."""
    return SEA_LEVEL_HPA * pressure_ratio(pressure_altitude_ft=pressure_altitude_ft)


def altitude_of_pressure_ft(*, pressure_hpa: Real) -> Real:
    """Return the pressure altitude of a pressure."""
    require(name="pressure_hpa", value=pressure_hpa, low=_LOWEST_HPA, high=_HIGHEST_HPA)
    ratio = pressure_hpa / SEA_LEVEL_HPA
    below_ft = (1.0 - power(greater(ratio, _RATIO_AT_TROPOPAUSE), 1.0 / _POWER)) * (SEA_LEVEL_K / LAPSE_K_PER_FT)
    return below_ft - _SCALE_FT * log(lesser(ratio / _RATIO_AT_TROPOPAUSE, 1.0))


def pressure_altitude_ft(*, indicated_altitude_ft: Real, altimeter_hpa: Real) -> Real:
    """Return the pressure altitude behind what an altimeter shows with that setting."""
    return indicated_altitude_ft + altitude_of_pressure_ft(pressure_hpa=altimeter_hpa)


def indicated_altitude_ft(*, pressure_altitude_ft: Real, altimeter_hpa: Real) -> Real:
    """Return what an altimeter with that setting shows."""
    return pressure_altitude_ft - altitude_of_pressure_ft(pressure_hpa=altimeter_hpa)


def density_altitude_ft(*, pressure_altitude_ft: Real, temperature_c: Real, dew_point_c: Real | None = None) -> Real:
    """Return the altitude at which the standard atmosphere has this density; without a dew point the air is dry."""
    if dew_point_c is not None:
        pressure = pressure_hpa(pressure_altitude_ft=pressure_altitude_ft)
        temperature_c = virtual_temperature_c(
            temperature_c=temperature_c, dew_point_c=dew_point_c, pressure_hpa=pressure
        )
    ratio = density_ratio(pressure_altitude_ft=pressure_altitude_ft, temperature_c=temperature_c)
    at_tropopause = _RATIO_AT_TROPOPAUSE * SEA_LEVEL_K / STRATOSPHERE_K
    base_ft = SEA_LEVEL_K / LAPSE_K_PER_FT
    below_ft = base_ft * (1.0 - power(greater(ratio, at_tropopause), 1.0 / (_POWER - 1.0)))
    return below_ft - _SCALE_FT * log(lesser(ratio / at_tropopause, 1.0))


def density_ratio(*, pressure_altitude_ft: Real, temperature_c: Real | None = None) -> Real:
    """Return the density over the standard one at sea level."""
    pressure = pressure_ratio(pressure_altitude_ft=pressure_altitude_ft)
    return pressure * SEA_LEVEL_K / _temperature_k(pressure_altitude_ft, temperature_c)


def virtual_temperature_c(*, temperature_c: Real, dew_point_c: Real, pressure_hpa: Real) -> Real:
    """Return the temperature at which dry air is as light as this moist air.

    Vapour pressure over water by the Magnus formula of WMO-No. 8 (2018), annex 4.B: 6.112 exp(17.62 t / (243.12 + t)).
    """
    require(name="dew_point_c", value=dew_point_c, low=-100.0, high=100.0)
    vapour_hpa = 6.112 * exp(17.62 * dew_point_c / (243.12 + dew_point_c))
    dry_share = 1.0 - (1.0 - 0.62198) * vapour_hpa / pressure_hpa
    return (temperature_c + KELVIN_AT_0_C) / dry_share - KELVIN_AT_0_C


def static_temperature_c(*, total_temperature_c: Real, mach: Real, recovery_factor: float = 1.0) -> Real:
    """Return the outside air temperature behind what a probe in the stream shows."""
    warmed = 1.0 + 0.2 * recovery_factor * mach * mach
    return (total_temperature_c + KELVIN_AT_0_C) / warmed - KELVIN_AT_0_C


def geopotential_ft(*, geometric_ft: Real) -> Real:
    """Return the geopotential altitude, which the atmosphere knows, of a height that a tape would measure."""
    return EARTH_RADIUS_FT * geometric_ft / (EARTH_RADIUS_FT + geometric_ft)


def speed_of_sound_kt(*, temperature_c: Real) -> Real:
    """Return the speed of sound."""
    require(name="temperature_c", value=temperature_c, low=-150.0, high=100.0)
    return _SOUND_KT_PER_ROOT_K * sqrt(temperature_c + KELVIN_AT_0_C)


def mach(*, calibrated_airspeed_kt: Real, pressure_altitude_ft: Real) -> Real:
    """Return the Mach number; temperature plays no part in it."""
    require(name="calibrated_airspeed_kt", value=calibrated_airspeed_kt, low=0.0, high=SEA_LEVEL_SOUND_KT)
    impact = _impact(calibrated_airspeed_kt / SEA_LEVEL_SOUND_KT)
    number = _mach_of_impact(impact / pressure_ratio(pressure_altitude_ft=pressure_altitude_ft))
    require(name="mach", value=number, low=0.0, high=JUST_SONIC)
    return number


def calibrated_airspeed_of_mach_kt(*, mach: Real, pressure_altitude_ft: Real) -> Real:
    """Return the calibrated airspeed at a Mach number."""
    require(name="mach", value=mach, low=0.0, high=JUST_SONIC)
    impact = _impact(mach) * pressure_ratio(pressure_altitude_ft=pressure_altitude_ft)
    return SEA_LEVEL_SOUND_KT * _mach_of_impact(impact)


def crossover_altitude_ft(*, calibrated_airspeed_kt: Real, mach: Real) -> Real:
    """Return the pressure altitude at which a calibrated airspeed and a Mach number are the same true airspeed."""
    require(name="mach", value=mach, low=0.0, high=JUST_SONIC)
    require(name="calibrated_airspeed_kt", value=calibrated_airspeed_kt, low=0.0, high=SEA_LEVEL_SOUND_KT)
    ratio = _impact(calibrated_airspeed_kt / SEA_LEVEL_SOUND_KT) / _impact(mach)
    return altitude_of_pressure_ft(pressure_hpa=SEA_LEVEL_HPA * ratio)


def true_airspeed_kt(
    *, calibrated_airspeed_kt: Real, pressure_altitude_ft: Real, temperature_c: Real | None = None
) -> Real:
    """Return the true airspeed."""
    number = mach(calibrated_airspeed_kt=calibrated_airspeed_kt, pressure_altitude_ft=pressure_altitude_ft)
    return number * _SOUND_KT_PER_ROOT_K * sqrt(_temperature_k(pressure_altitude_ft, temperature_c))


def calibrated_airspeed_kt(
    *, true_airspeed_kt: Real, pressure_altitude_ft: Real, temperature_c: Real | None = None
) -> Real:
    """Return the calibrated airspeed."""
    sound_kt = _SOUND_KT_PER_ROOT_K * sqrt(_temperature_k(pressure_altitude_ft, temperature_c))
    return calibrated_airspeed_of_mach_kt(mach=true_airspeed_kt / sound_kt, pressure_altitude_ft=pressure_altitude_ft)


def equivalent_airspeed_kt(*, calibrated_airspeed_kt: Real, pressure_altitude_ft: Real) -> Real:
    """Return the equivalent airspeed: true airspeed x the root of the density ratio, whatever the temperature."""
    number = mach(calibrated_airspeed_kt=calibrated_airspeed_kt, pressure_altitude_ft=pressure_altitude_ft)
    return number * SEA_LEVEL_SOUND_KT * sqrt(pressure_ratio(pressure_altitude_ft=pressure_altitude_ft))


def true_altitude_ft(
    *,
    indicated_altitude_ft: Real,
    altimeter_hpa: Real,
    temperature_c: Real,
    station_elevation_ft: float = 0.0,
) -> Real:
    """Return the true altitude in air that is colder or warmer than ISA.

    The setting is one that makes an altimeter at the station show the station's elevation; temperature_c is that
    outside the aircraft. The deviation from ISA is taken as the same all the way down to the station.
    """
    setting_ft = altitude_of_pressure_ft(pressure_hpa=altimeter_hpa)
    aircraft_ft, station_ft = indicated_altitude_ft + setting_ft, station_elevation_ft + setting_ft
    deviation_k = temperature_c - isa_temperature_c(pressure_altitude_ft=aircraft_ft)
    return indicated_altitude_ft + deviation_k * (_feet_per_kelvin(aircraft_ft) - _feet_per_kelvin(station_ft))


def _feet_per_kelvin(altitude_ft: Real) -> Real:
    """Return the integral of dH / T_isa from sea level: how much an altitude stretches per kelvin above ISA."""
    standard_k = isa_temperature_k(pressure_altitude_ft=altitude_ft)
    above_ft = greater(altitude_ft, TROPOPAUSE_FT) - TROPOPAUSE_FT
    return log(SEA_LEVEL_K / standard_k) / LAPSE_K_PER_FT + above_ft / STRATOSPHERE_K


def _temperature_k(altitude_ft: Real, temperature_c: Real | None) -> Real:
    if temperature_c is None:
        return isa_temperature_k(pressure_altitude_ft=altitude_ft)
    require(name="temperature_c", value=temperature_c, low=-150.0, high=100.0)
    return temperature_c + KELVIN_AT_0_C


def _impact(mach: Real) -> Real:
    """Return the impact pressure over the static one."""
    return power(1.0 + 0.2 * mach * mach, 3.5) - 1.0


def _mach_of_impact(impact: Real) -> Real:
    return sqrt(5.0 * (power(1.0 + impact, 1.0 / 3.5) - 1.0))
