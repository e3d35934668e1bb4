"""Rules of thumb against examples that pilots give; common practice, no source, unless a row names one."""

from collections.abc import Callable
from typing import Any

import pytest

from otherseat.advisories import rules_of_thumb as rules
from otherseat.advisories.units import HPA_PER_INHG


@pytest.mark.parametrize(
    ("rule", "given", "expected"),
    [
        pytest.param(rules.isa_temperature_c, {"pressure_altitude_ft": 8_000.0}, -1.0, id="isa"),
        pytest.param(
            rules.pressure_altitude_ft,
            {"indicated_altitude_ft": 2_000.0, "altimeter_hpa": 29.42 * HPA_PER_INHG},
            2_500.0,
            id="half-an-inch-low",
        ),
        pytest.param(
            rules.density_altitude_ft, {"pressure_altitude_ft": 5_000.0, "temperature_c": 25.0}, 7_400.0, id="20-above"
        ),
        pytest.param(
            rules.cold_correction_ft, {"height_ft": 2_000.0, "degrees_below_isa_c": 30.0}, 240.0, id="three-times-4-%"
        ),
        pytest.param(
            rules.jet_true_airspeed_kt,
            {"indicated_airspeed_kt": 280.0, "pressure_altitude_ft": 35_000.0},
            455.0,
            id="280-at-FL350",
        ),
        pytest.param(
            rules.propeller_true_airspeed_kt,
            {"indicated_airspeed_kt": 120.0, "pressure_altitude_ft": 10_000.0},
            144.0,
            id="20-%-at-10000",
        ),
        pytest.param(rules.path_height_ft, {"distance_nm": 5.0}, 1_500.0, id="5-NM"),
        pytest.param(rules.path_distance_nm, {"height_ft": 600.0}, 2.0, id="600-ft"),
        pytest.param(rules.sink_rate_fpm, {"groundspeed_kt": 120.0}, 600.0, id="120-kt"),
        pytest.param(rules.descent_distance_nm, {"height_to_lose_ft": 20_000.0}, 60.0, id="20000-ft"),
        pytest.param(rules.deceleration_distance_nm, {"speed_to_lose_kt": 50.0}, 5.0, id="50-kt"),
        pytest.param(rules.offset_ft, {"distance_nm": 60.0, "angle_deg": 1.0}, 6_000.0, id="1-in-60"),
        pytest.param(rules.crosswind_kt, {"wind_speed_kt": 20.0, "angle_deg": 15.0}, 5.0, id="quarter"),
        pytest.param(rules.crosswind_kt, {"wind_speed_kt": 20.0, "angle_deg": 30.0}, 10.0, id="half"),
        pytest.param(rules.crosswind_kt, {"wind_speed_kt": 20.0, "angle_deg": 45.0}, 15.0, id="three-quarters"),
        pytest.param(rules.crosswind_kt, {"wind_speed_kt": 20.0, "angle_deg": 80.0}, 20.0, id="all"),
        pytest.param(rules.drift_deg, {"crosswind_kt": 20.0, "true_airspeed_kt": 120.0}, 10.0, id="drift"),
        pytest.param(rules.standard_rate_bank_deg, {"true_airspeed_kt": 120.0}, 19.0, id="12+7"),
        pytest.param(rules.outbound_correction_deg, {"inbound_correction_deg": -8.0}, 24.0, id="triple-AIM-5-3-8"),
    ],
)
def test_as_pilots_say(rule: Callable[..., Any], given: dict[str, float], expected: float) -> None:
    """A rule gives what a pilot gets in the head."""
    assert expected == pytest.approx(rule(**given))
