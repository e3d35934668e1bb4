"""Conversions against their definitions, in the house's constants and in the adapters' table."""

import pytest

from otherseat.adapters.units_table import UNITS
from otherseat.advisories.turns import GRAVITY_MPS2
from otherseat.advisories.units import FT_PER_M, FT_PER_NM, HPA_PER_INHG, M_PER_NM, MPS_PER_KT
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(name="units")
MPS_PER_MPH = UNITS["mph"].factor


@TOPIC.answer
def knots(*, speed_kt: float) -> Answers:
    """Answer in other units of speed."""
    mps = speed_kt * MPS_PER_KT
    return {"speed_kmh": speed_kt * M_PER_NM / 1_000.0, "speed_fps": mps * FT_PER_M, "speed_mph": mps / MPS_PER_MPH}


@TOPIC.answer
def miles_an_hour(*, speed_mph: float) -> Answers:
    """Answer in other units of speed."""
    mps = speed_mph * MPS_PER_MPH
    return {"speed_kmh": mps * 3.6, "speed_fps": mps * FT_PER_M}


@TOPIC.answer
def kilometres_an_hour(*, speed_kmh: float) -> Answers:
    """Answer in other units of speed."""
    mps = speed_kmh * UNITS["km/h"].factor
    return {"speed_kt": mps / MPS_PER_KT, "speed_mph": mps / MPS_PER_MPH}


@TOPIC.answer
def nautical_miles(*, distance_nm: float) -> Answers:
    """Answer in feet and metres."""
    return {"distance_ft": distance_nm * FT_PER_NM, "distance_m": distance_nm * M_PER_NM}


@TOPIC.answer
def statute_miles(*, distance_sm: float) -> Answers:
    """Answer in metres and nautical miles."""
    metres = distance_sm * MPS_PER_MPH * 3_600.0
    return {"distance_m": metres, "distance_nm": metres / M_PER_NM}


@TOPIC.answer
def inches(*, pressure_inhg: float) -> Answers:
    """Answer in hectopascals."""
    return {"pressure_hpa": pressure_inhg * HPA_PER_INHG}


@TOPIC.answer
def hectopascals(*, pressure_hpa: float) -> Answers:
    """Answer in inches."""
    return {"pressure_inhg": pressure_hpa / HPA_PER_INHG}


@TOPIC.answer
def fahrenheit(*, temperature_f: float) -> Answers:
    """Answer in Celsius."""
    kelvin = temperature_f * UNITS["F"].factor + UNITS["F"].offset
    return {"temperature_c": kelvin - UNITS["C"].offset}


@TOPIC.answer
def flight_level(*, flight_level: float) -> Answers:
    """Answer in feet."""
    return {"pressure_altitude_ft": flight_level * UNITS["hundred ft"].factor / UNITS["ft"].factor}


@TOPIC.answer
def gravity(*, g_m_s2: float) -> Answers:
    """Answer in nautical miles and hours."""
    assert g_m_s2 == GRAVITY_MPS2
    return {"g_nm_h2": GRAVITY_MPS2 / M_PER_NM * 3_600.0**2}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Units convert as defined."""
    assert [] == TOPIC.misses(case)


def test_one_inch_of_mercury() -> None:
    """An inch of mercury at 0 C is 3386.38... Pa (NIST SP 811, appendix B.8: 3.386 389 E+03)."""
    assert 3386.389 == pytest.approx(HPA_PER_INHG * 100.0, abs=0.01)
