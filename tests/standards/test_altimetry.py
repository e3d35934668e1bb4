"""Pressure and density altitude against the FAA's tables and the altimeter equation."""

import pytest

from otherseat.advisories import air, rules_of_thumb
from otherseat.advisories.units import HPA_PER_INHG, KELVIN_AT_0_C
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(
    name="altimetry",
    left_out={
        "alt-036": "118.6 ft per C; our rule of thumb is the rounder 120 ft",
        "alt-066": "the formulary's straight-line approximation; ours is the virtual temperature, tested beside it",
    },
)


def celsius(fahrenheit: float) -> float:
    """Return degrees Celsius."""
    return (fahrenheit - 32.0) / 1.8


@TOPIC.answer
def setting(*, altimeter_setting_inhg: float) -> Answers:
    """Answer what a setting adds to an elevation, and what it is in hPa."""
    hpa = altimeter_setting_inhg * HPA_PER_INHG
    return {
        "correction_ft": air.pressure_altitude_ft(indicated_altitude_ft=0.0, altimeter_hpa=hpa),
        "qnh_hpa": hpa,
    }


@TOPIC.answer
def by_elevation(*, elevation_ft: float, altimeter_setting_inhg: float, oat_f: float = 15.0) -> Answers:
    """Answer pressure and density altitude at an airfield."""
    pressure_ft = air.pressure_altitude_ft(
        indicated_altitude_ft=elevation_ft, altimeter_hpa=altimeter_setting_inhg * HPA_PER_INHG
    )
    density_ft = air.density_altitude_ft(pressure_altitude_ft=pressure_ft, temperature_c=celsius(oat_f))
    return {"pressure_altitude_ft": pressure_ft, "density_altitude_ft": density_ft}


@TOPIC.answer
def by_qnh(*, elevation_ft: float, qnh_hpa: float) -> Answers:
    """Answer pressure altitude in hPa."""
    return {"pressure_altitude_ft": air.pressure_altitude_ft(indicated_altitude_ft=elevation_ft, altimeter_hpa=qnh_hpa)}


def density_altitude(*, pressure_altitude_ft: float, oat_c: float) -> Answers:
    """Answer density altitude exactly."""
    return {
        "density_altitude_ft": air.density_altitude_ft(pressure_altitude_ft=pressure_altitude_ft, temperature_c=oat_c)
    }


def density_altitude_by_rule(*, pressure_altitude_ft: float, oat_c: float) -> Answers:
    """Answer density altitude by 120 ft for a degree."""
    return {
        "density_altitude_ft": rules_of_thumb.density_altitude_ft(
            pressure_altitude_ft=pressure_altitude_ft, temperature_c=oat_c
        ),
        "isa_temperature_c": rules_of_thumb.isa_temperature_c(pressure_altitude_ft=pressure_altitude_ft),
    }


def indicated(*, calibrated_altitude_ft: float, altimeter_setting_inhg: float) -> Answers:
    """Answer pressure altitude exactly."""
    return by_elevation(elevation_ft=calibrated_altitude_ft, altimeter_setting_inhg=altimeter_setting_inhg)


def indicated_by_rule(*, calibrated_altitude_ft: float, altimeter_setting_inhg: float) -> Answers:
    """Answer pressure altitude by 1,000 ft for an inch."""
    return {
        "pressure_altitude_ft": rules_of_thumb.pressure_altitude_ft(
            indicated_altitude_ft=calibrated_altitude_ft, altimeter_hpa=altimeter_setting_inhg * HPA_PER_INHG
        )
    }


TOPIC.answer_by_method(rule=density_altitude_by_rule, exact=density_altitude)
TOPIC.answer_by_method(rule=indicated_by_rule, exact=indicated)


@TOPIC.answer
def standard(*, pressure_altitude_ft: float) -> Answers:
    """Answer the standard temperature."""
    celsius_ = air.isa_temperature_c(pressure_altitude_ft=pressure_altitude_ft)
    return {"isa_temperature_c": celsius_, "isa_temperature_k": celsius_ + KELVIN_AT_0_C}


@TOPIC.answer
def lapse(*, altitude_ft: float) -> Answers:
    """Answer the standard temperature by rule."""
    return {"isa_temperature_c": rules_of_thumb.isa_temperature_c(pressure_altitude_ft=altitude_ft)}


@TOPIC.answer
def warming(*, pressure_altitude_ft: float, oat_from_f: float, oat_to_f: float) -> Answers:
    """Answer what a change of temperature does to density altitude."""
    before_ft, after_ft = (
        air.density_altitude_ft(pressure_altitude_ft=pressure_altitude_ft, temperature_c=celsius(fahrenheit))
        for fahrenheit in (oat_from_f, oat_to_f)
    )
    return {"density_altitude_change_ft": after_ft - before_ft}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Altitudes are as published."""
    assert [] == TOPIC.misses(case)


def test_moist_air_is_lighter() -> None:
    """At 10,000 ft, 5 C and 80 % humidity the formulary's approximation gives 124 ft more density altitude."""
    # Dew point of 80 % at 5 C, from the same saturation curve: 1.82 C.
    dry_ft = air.density_altitude_ft(pressure_altitude_ft=10_000.0, temperature_c=5.0)
    moist_ft = air.density_altitude_ft(pressure_altitude_ft=10_000.0, temperature_c=5.0, dew_point_c=1.82)

    assert 124.0 == pytest.approx(moist_ft - dry_ft, abs=15.0)


@pytest.mark.parametrize(
    ("temperature_c", "vapour_hpa"),
    [(0.0, 6.11), (10.0, 12.28), (20.0, 23.39), (30.0, 42.47)],
)
def test_virtual_temperature(temperature_c: float, vapour_hpa: float) -> None:
    """T (1 + 0.608 w) with the printed saturation pressures (Goff-Gratch in the Smithsonian tables, from memory)."""
    mixing_ratio = 0.622 * vapour_hpa / (1000.0 - vapour_hpa)
    printed_k = (temperature_c + KELVIN_AT_0_C) * (1.0 + mixing_ratio / 0.622) / (1.0 + mixing_ratio)

    ours_c = air.virtual_temperature_c(temperature_c=temperature_c, dew_point_c=temperature_c, pressure_hpa=1000.0)

    assert printed_k - KELVIN_AT_0_C == pytest.approx(ours_c, abs=0.02)
