"""Variation against the official test values of the World Magnetic Model 2025."""

import pytest

from otherseat.advisories import magnetic
from otherseat.advisories.real import DomainError
from otherseat.advisories.units import M_PER_FT
from tests.standards.topic import Answers, Case, Topic

UNUSED = "a part of the field that a compass does not show"
TOPIC = Topic(
    name="magnetic_wmm2025",
    unjudged=dict.fromkeys(
        ("inclination_deg", "north_nt", "east_nt", "down_nt", "total_nt", "grid_variation_deg"), UNUSED
    ),
)
YEAR = 1e-3


@TOPIC.answer
def field(
    *, decimal_year: float, height_above_ellipsoid_km: float, latitude_deg: float, longitude_deg: float
) -> Answers:
    """Answer the field, and by how much a year moves it."""

    def at(year: float) -> magnetic.MagneticField:
        return magnetic.magnetic_field(
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            altitude_ft=height_above_ellipsoid_km * 1_000.0 / M_PER_FT,
            decimal_year=year,
        )

    now = at(decimal_year)
    return {
        "declination_deg": now.variation_deg,
        "horizontal_nt": now.horizontal_nt,
        "declination_rate_deg_per_year": (at(decimal_year + YEAR).variation_deg - now.variation_deg) / YEAR,
    }


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """The field is as published."""
    assert [] == TOPIC.misses(case)


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "variation_deg"),
    [
        pytest.param(80.0, 0.0, -1.28, id="arctic"),
        pytest.param(0.0, 120.0, 0.16, id="equator"),
        pytest.param(-80.0, 240.0, 69.36, id="antarctic"),
    ],
)
def test_an_earlier_epoch(latitude_deg: float, longitude_deg: float, variation_deg: float) -> None:
    """The WMM2020 report's test values at 2020.0 (from memory): the model of the date is used, not the latest."""
    found = magnetic.magnetic_field(latitude_deg=latitude_deg, longitude_deg=longitude_deg, decimal_year=2020.0)

    assert variation_deg == pytest.approx(found.variation_deg, abs=0.006)


@pytest.mark.parametrize("year", [2009.99, 2030.01])
def test_no_model_for_the_date(year: float) -> None:
    """A date that no model covers is refused, not guessed."""
    with pytest.raises(DomainError, match="decimal_year"):
        magnetic.magnetic_field(latitude_deg=0.0, longitude_deg=0.0, decimal_year=year)


def test_a_compass_is_no_use_at_the_magnetic_pole() -> None:
    """Within the blackout zone around the north magnetic pole (86 N, 139 E in 2025, NOAA) the field says so."""
    at_pole = magnetic.magnetic_field(latitude_deg=86.0, longitude_deg=139.0, decimal_year=2025.0)
    elsewhere = magnetic.magnetic_field(latitude_deg=50.0, longitude_deg=8.0, decimal_year=2025.0)

    assert (False, True) == (at_pole.reliable, elsewhere.reliable)
