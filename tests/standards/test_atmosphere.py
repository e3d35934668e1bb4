"""The standard atmosphere against ICAO Doc 7488, US Standard Atmosphere 1976 and the ambiance library."""

import ambiance
import numpy as np
import pytest

from otherseat.advisories import air
from otherseat.advisories.units import FT_PER_M, HPA_PER_INHG, KELVIN_AT_0_C, MPS_PER_KT
from tests.standards.topic import Answers, Case, Topic

PSF_PER_HPA = 100.0 * 0.3048**2 / (0.45359237 * 9.80665)
SLUG_FT3_PER_KG_M3 = 0.3048**4 / (0.45359237 * 9.80665)
DENSITY_KG_M3 = 1.225

ABOVE = "above 20 km, where no aircraft of ours flies"
TOPIC = Topic(
    name="atmosphere",
    left_out={"atm-007": ABOVE, "atm-008": ABOVE, "atm-009": ABOVE, "atm-010": ABOVE},
)


def at(altitude_ft: float) -> Answers:
    """Return everything that the atmosphere says at a geopotential altitude."""
    kelvin = air.isa_temperature_k(pressure_altitude_ft=altitude_ft)
    pressure_hpa = air.pressure_hpa(pressure_altitude_ft=altitude_ft)
    density = air.density_ratio(pressure_altitude_ft=altitude_ft)
    sound_kt = air.speed_of_sound_kt(temperature_c=kelvin - KELVIN_AT_0_C)
    return {
        "temperature_k": kelvin,
        "temperature_c": air.isa_temperature_c(pressure_altitude_ft=altitude_ft),
        "temperature_f": (kelvin - KELVIN_AT_0_C) * 1.8 + 32.0,
        "pressure_pa": pressure_hpa * 100.0,
        "pressure_hpa": pressure_hpa,
        "pressure_inhg": pressure_hpa / HPA_PER_INHG,
        "pressure_psf": pressure_hpa * PSF_PER_HPA,
        "pressure_psi": pressure_hpa * PSF_PER_HPA / 144.0,
        "pressure_ratio": air.pressure_ratio(pressure_altitude_ft=altitude_ft),
        "density_ratio": density,
        "density_kg_m3": density * DENSITY_KG_M3,
        "density_slug_ft3": density * DENSITY_KG_M3 * SLUG_FT3_PER_KG_M3,
        "speed_of_sound_kt": sound_kt,
        "speed_of_sound_m_s": sound_kt * MPS_PER_KT,
        "altitude_geopotential_m": altitude_ft / FT_PER_M,
    }


@TOPIC.answer
def at_feet(*, altitude_geopotential_ft: float) -> Answers:
    """Answer by geopotential feet."""
    return at(altitude_geopotential_ft)


@TOPIC.answer
def at_metres(*, altitude_geopotential_m: float) -> Answers:
    """Answer by geopotential metres."""
    return at(altitude_geopotential_m * FT_PER_M)


@TOPIC.answer
def at_geometric_feet(*, altitude_geometric_ft: float) -> Answers:
    """Answer by feet of a tape."""
    return at(air.geopotential_ft(geometric_ft=altitude_geometric_ft))


@TOPIC.answer
def at_geometric_metres(*, altitude_geometric_m: float) -> Answers:
    """Answer by metres of a tape."""
    return at(air.geopotential_ft(geometric_ft=altitude_geometric_m * FT_PER_M))


@TOPIC.answer
def sound(*, temperature_c: float) -> Answers:
    """Answer the speed of sound."""
    knots = air.speed_of_sound_kt(temperature_c=temperature_c)
    return {"speed_of_sound_kt": knots, "speed_of_sound_m_s": knots * MPS_PER_KT}


@TOPIC.answer
def level(*, pressure_hpa: float) -> Answers:
    """Answer the height of a pressure level."""
    return {"pressure_altitude_ft": air.altitude_of_pressure_ft(pressure_hpa=pressure_hpa)}


@TOPIC.answer
def gradient(*, layer_base_geopotential_km: float) -> Answers:
    """Answer the change of temperature with height above the base of a layer."""
    low_ft = layer_base_geopotential_km * 1_000.0 * FT_PER_M
    low_k, high_k = (air.isa_temperature_k(pressure_altitude_ft=low_ft + up_m * FT_PER_M) for up_m in (1.0, 1_001.0))
    return {"gradient_k_per_km": high_k - low_k}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """The atmosphere is as published."""
    assert [] == TOPIC.misses(case)


def test_ambiance_agrees_everywhere() -> None:
    """From 5 km below the sea to 20 km above, the ICAO tables as the ambiance library computes them agree."""
    altitude_ft = np.linspace(air.LOWEST_FT, air.HIGHEST_FT, 501)
    geopotential_m = altitude_ft / FT_PER_M
    reference = ambiance.Atmosphere(ambiance.CONST.r * geopotential_m / (ambiance.CONST.r - geopotential_m))

    kelvin = air.isa_temperature_k(pressure_altitude_ft=altitude_ft)
    pressure_hpa = air.pressure_hpa(pressure_altitude_ft=altitude_ft)
    density = air.density_ratio(pressure_altitude_ft=altitude_ft) * DENSITY_KG_M3
    sound_mps = air.speed_of_sound_kt(temperature_c=kelvin - KELVIN_AT_0_C) * MPS_PER_KT

    assert reference.temperature == pytest.approx(kelvin, rel=1e-7)
    assert reference.pressure == pytest.approx(pressure_hpa * 100.0, rel=5e-6)  # its layers start at printed figures
    assert reference.density == pytest.approx(density, rel=1e-5)
    assert reference.speed_of_sound == pytest.approx(sound_mps, rel=1e-6)
