"""Units: conversions against NIST SP 811, appendix B, and the fields they may stand for."""

import pytest

from otherseat.adapters.units_table import UNITS, choices, converter, degrees_from_packed, house_unit
from otherseat.advisories.state import STATE_FIELDS


@pytest.mark.parametrize(
    ("unit", "field", "raw", "expected"),
    [
        ("m", "altitude_ft", 304.8, 1000.0),
        ("m/s", "groundspeed_kt", 1852.0 / 3600.0, 1.0),
        ("km/h", "groundspeed_kt", 185.2, 100.0),
        ("mph", "groundspeed_kt", 100.0, 86.8976),
        ("ft/s", "vertical_speed_fpm", 10.0, 600.0),
        ("m/s", "vertical_speed_fpm", 5.08, 1000.0),
        ("inHg", "altimeter_hpa", 29.92126, 1013.25),
        ("Pa", "altimeter_hpa", 101_325.0, 1013.25),
        ("psf", "static_pressure_hpa", 2116.2166, 1013.25),
        ("F", "outside_air_temperature_c", 59.0, 15.0),
        ("R", "outside_air_temperature_c", 518.67, 15.0),
        ("K", "outside_air_temperature_c", 288.15, 15.0),
        ("rad", "heading_true_deg", 3.14159265358979, 180.0),
        ("semicircles", "latitude_deg", 0.25, 45.0),
        ("lb", "fuel_kg", 100.0, 45.359237),
        ("lb/s", "fuel_flow_kg_per_h", 0.02, 32.658651),
        ("percent", "throttle_ratio", 65.0, 0.65),
        ("ms", "time_s", 1500.0, 1.5),
        ("ddmm", "latitude_deg", -4807.038, -48.1173),
    ],
)
def test_conversions(unit: str, field: str, raw: float, expected: float) -> None:
    """The factor of each unit is the published one."""
    assert pytest.approx(expected, rel=1e-6) == converter(unit=unit, field=field)(raw)


def test_every_field_has_a_unit_of_the_table() -> None:
    """The name of every field of a State tells its unit."""
    assert all(house_unit(field) in UNITS for field in STATE_FIELDS)


def test_choices_are_of_one_dimension() -> None:
    """A speed can't be sent in feet."""
    assert "ft" not in choices("groundspeed_kt")
    with pytest.raises(ValueError, match="takes one of: m/s, kt"):
        converter(unit="ft", field="groundspeed_kt")


def test_packed_angles_survive_what_is_no_number() -> None:
    """NaN and infinity stay what they are, for the bounds to refuse."""
    assert float("inf") == degrees_from_packed(float("inf"))
