"""Rule bands: how far each rule of thumb is off its exact twin, over the range where pilots use it.

A band is measured when it is first asked for, on a grid over the range, so no second copy of a number can go stale.
error = rule less exact; the band is the lowest and the highest error on the grid.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from otherseat.advisories import air, cold, path, turns, wind
from otherseat.advisories import rules_of_thumb as rules
from otherseat.advisories.real import Array
from otherseat.advisories.units import HPA_PER_INHG


@dataclass(frozen=True, slots=True)
class Band:
    """One rule over one range."""

    rule: str
    """The function of rules_of_thumb."""
    says: str
    over: str
    unit: str
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True)
class _Measured:
    rule: str
    says: str
    over: str
    unit: str
    errors: Callable[[], Array]


@lru_cache(maxsize=1)
def bands() -> tuple[Band, ...]:
    """Return every rule's band, in the order of flight."""
    return tuple(_band(measured) for measured in _MEASURED)


def table(of: Iterable[Band]) -> str:
    """Return the bands as lines of text, for a docstring, a guide or a briefing."""
    rows = [(band.says, band.over, f"{band.lowest:+.4g} to {band.highest:+.4g} {band.unit}") for band in of]
    widths = [max(len(row[column]) for row in rows) for column in range(2)]
    return "\n".join(f"{says:<{widths[0]}}  {over:<{widths[1]}}  {off}" for says, over, off in rows)


def _band(measured: _Measured) -> Band:
    errors = measured.errors()
    return Band(
        rule=measured.rule,
        says=measured.says,
        over=measured.over,
        unit=measured.unit,
        lowest=_round(errors.min()),
        highest=_round(errors.max()),
    )


def _round(error: float) -> float:
    """Three figures are what a rule of thumb is worth; what is smaller than a millionth is rounding."""
    return float(f"{round(error, 6) + 0.0:.3g}")


def _grid(first: tuple[float, float], second: tuple[float, float]) -> tuple[Array, Array]:
    one, two = np.meshgrid(np.linspace(*first, 101), np.linspace(*second, 101))
    return one, two


def _jet(low_ft: float, high_ft: float) -> Array:
    altitude_ft, mach = _grid((low_ft, high_ft), (0.70, 0.86))
    calibrated_kt = air.calibrated_airspeed_of_mach_kt(mach=mach, pressure_altitude_ft=altitude_ft)
    exact_kt = air.true_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft)
    return rules.jet_true_airspeed_kt(indicated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft) - exact_kt


def _propeller() -> Array:
    altitude_ft, calibrated_kt = _grid((0.0, 12_000.0), (80.0, 180.0))
    exact_kt = air.true_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft)
    rule_kt = rules.propeller_true_airspeed_kt(indicated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft)
    return rule_kt - exact_kt


def _isa_temperature() -> Array:
    altitude_ft = np.linspace(0.0, 36_000.0, 361)
    exact_c = air.isa_temperature_c(pressure_altitude_ft=altitude_ft)
    return rules.isa_temperature_c(pressure_altitude_ft=altitude_ft) - exact_c


def _pressure_altitude() -> Array:
    altitude_ft, setting_hpa = _grid((0.0, 10_000.0), (28.5 * HPA_PER_INHG, 31.0 * HPA_PER_INHG))
    exact_ft = air.pressure_altitude_ft(indicated_altitude_ft=altitude_ft, altimeter_hpa=setting_hpa)
    return rules.pressure_altitude_ft(indicated_altitude_ft=altitude_ft, altimeter_hpa=setting_hpa) - exact_ft


def _density_altitude() -> Array:
    altitude_ft, above_isa_c = _grid((0.0, 10_000.0), (-20.0, 30.0))
    temperature_c = air.isa_temperature_c(pressure_altitude_ft=altitude_ft) + above_isa_c
    exact_ft = air.density_altitude_ft(pressure_altitude_ft=altitude_ft, temperature_c=temperature_c)
    return rules.density_altitude_ft(pressure_altitude_ft=altitude_ft, temperature_c=temperature_c) - exact_ft


def _cold() -> Array:
    height_ft, temperature_c = _grid((200.0, 5_000.0), (-30.0, 10.0))
    exact_ft = cold.correction_ft(
        height_ft=height_ft, station_temperature_c=temperature_c, station_elevation_ft=np.zeros_like(height_ft)
    )
    return rules.cold_correction_ft(height_ft=height_ft, degrees_below_isa_c=15.0 - temperature_c) - exact_ft


def _path_height() -> Array:
    distance_nm = np.linspace(1.0, 10.0, 91)
    exact_ft = path.path_height_ft(
        distance_nm=distance_nm,
        angle_deg=np.full_like(distance_nm, 3.0),
        threshold_crossing_height_ft=np.full_like(distance_nm, 50.0),
    )
    return rules.path_height_ft(distance_nm=distance_nm) - exact_ft


def _path_distance() -> Array:
    height_ft = np.linspace(250.0, 1_000.0, 76)
    exact_nm = path.gate_distance_nm(
        gate_height_ft=height_ft,
        angle_deg=np.full_like(height_ft, 3.0),
        threshold_crossing_height_ft=np.full_like(height_ft, 50.0),
    )
    return rules.path_distance_nm(height_ft=height_ft) - exact_nm


def _sink_rate() -> Array:
    speed_kt = np.linspace(60.0, 180.0, 121)
    exact_fpm = path.sink_rate_to_hold_fpm(groundspeed_kt=speed_kt, angle_deg=np.full_like(speed_kt, 3.0))
    return rules.sink_rate_fpm(groundspeed_kt=speed_kt) - exact_fpm


def _descent_distance() -> Array:
    height_ft = np.linspace(1_000.0, 40_000.0, 391)
    exact_nm = path.descent_distance_nm(height_to_lose_ft=height_ft, angle_deg=np.full_like(height_ft, 3.0))
    return rules.descent_distance_nm(height_to_lose_ft=height_ft) - exact_nm


def _deceleration() -> Array:
    from_kt, rate = _grid((200.0, 300.0), (0.6, 1.0))
    exact_nm = path.deceleration_distance_nm(
        from_groundspeed_kt=from_kt, to_groundspeed_kt=from_kt - 50.0, deceleration_kt_per_s=rate
    )
    return rules.deceleration_distance_nm(speed_to_lose_kt=np.full_like(from_kt, 50.0)) - exact_nm


def _offset() -> Array:
    distance_nm, angle_deg = _grid((1.0, 10.0), (1.0, 6.0))
    exact_ft = distance_nm * path.gradient_ft_per_nm(angle_deg=angle_deg)
    return 100.0 * (rules.offset_ft(distance_nm=distance_nm, angle_deg=angle_deg) / exact_ft - 1.0)


def _crosswind() -> Array:
    angle_deg, speed_kt = _grid((0.0, 90.0), (0.0, 40.0))
    _, exact_kt = wind.components_kt(
        wind_from_true_deg=angle_deg, wind_speed_kt=speed_kt, course_true_deg=np.zeros_like(angle_deg)
    )
    return rules.crosswind_kt(wind_speed_kt=speed_kt, angle_deg=angle_deg) - exact_kt


def _drift() -> Array:
    cross_kt, speed_kt = _grid((0.0, 40.0), (90.0, 250.0))
    heading_deg, _ = wind.heading_and_groundspeed(
        course_deg=np.full_like(cross_kt, 180.0),
        true_airspeed_kt=speed_kt,
        wind_from_deg=np.full_like(cross_kt, 270.0),
        wind_speed_kt=cross_kt,
    )
    return rules.drift_deg(crosswind_kt=cross_kt, true_airspeed_kt=speed_kt) - (heading_deg - 180.0)


def _standard_rate_bank() -> Array:
    speed_kt = np.linspace(80.0, 200.0, 121)
    exact_deg = turns.bank_for_rate_deg(true_airspeed_kt=speed_kt, rate_deg_per_s=np.full_like(speed_kt, 3.0))
    return rules.standard_rate_bank_deg(true_airspeed_kt=speed_kt) - exact_deg


_MEASURED = (
    _Measured("isa_temperature_c", "15 - 2 C per 1,000 ft", "0 to 36,000 ft", "C", _isa_temperature),
    _Measured("pressure_altitude_ft", "1,000 ft per inHg", "28.5 to 31.0 inHg", "ft", _pressure_altitude),
    _Measured("density_altitude_ft", "120 ft per C above ISA", "to 10,000 ft, ISA -20 to +30", "ft", _density_altitude),
    _Measured("cold_correction_ft", "4 % per 10 C below ISA", "to 5,000 ft, +10 to -30 C", "ft", _cold),
    _Measured("jet_true_airspeed_kt", "IAS + FL/2", "FL250 to FL350, Mach .70 to .86", "kt", lambda: _jet(25e3, 35e3)),
    _Measured("jet_true_airspeed_kt", "IAS + FL/2", "FL350 to FL450, Mach .70 to .86", "kt", lambda: _jet(35e3, 45e3)),
    _Measured("propeller_true_airspeed_kt", "IAS + 2 % per 1,000 ft", "to 12,000 ft, 80 to 180 kt", "kt", _propeller),
    _Measured("descent_distance_nm", "3 NM per 1,000 ft", "1,000 to 40,000 ft, 3 deg", "NM", _descent_distance),
    _Measured("deceleration_distance_nm", "1 NM per 10 kt", "50 kt off 200 to 300, .6 to 1 kt/s", "NM", _deceleration),
    _Measured("path_height_ft", "300 ft per NM", "1 to 10 NM, 3 deg, TCH 50 ft", "ft", _path_height),
    _Measured("path_distance_nm", "1 NM per 300 ft", "250 to 1,000 ft, 3 deg, TCH 50 ft", "NM", _path_distance),
    _Measured("sink_rate_fpm", "5 x groundspeed", "60 to 180 kt, 3 deg", "fpm", _sink_rate),
    _Measured("offset_ft", "100 ft per deg per NM", "1 to 6 deg", "%", _offset),
    _Measured("crosswind_kt", "clock code", "0 to 90 deg, up to 40 kt", "kt", _crosswind),
    _Measured("drift_deg", "60 x crosswind / TAS", "up to 40 kt, TAS 90 to 250", "deg", _drift),
    _Measured("standard_rate_bank_deg", "10 % of TAS + 7", "80 to 200 kt", "deg", _standard_rate_bank),
)
