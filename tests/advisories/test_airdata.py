"""True airspeed with its source, and what is not known is left out."""

import pytest

from otherseat.advisories import airdata
from otherseat.advisories.picture import Source
from otherseat.advisories.state import State


@pytest.mark.parametrize(
    ("told", "expected_kt", "source"),
    [
        pytest.param({"true_airspeed_kt": 133.0, "indicated_airspeed_kt": 100.0}, 133.0, Source.REPORTED, id="told"),
        pytest.param(
            {
                "indicated_airspeed_kt": 250.0,
                "pressure_altitude_ft": 10_000.0,
                "outside_air_temperature_c": -6.72,
            },
            287.7,
            Source.COMPUTED,
            id="worked-out",
        ),
        pytest.param(
            {"indicated_airspeed_kt": 120.0, "pressure_altitude_ft": 10_000.0}, 144.0, Source.RULE_OF_THUMB, id="low"
        ),
        pytest.param({"indicated_airspeed_kt": 280.0, "altitude_ft": 35_000.0}, 455.0, Source.RULE_OF_THUMB, id="high"),
    ],
)
def test_the_best_there_is(told: dict[str, float], expected_kt: float, source: Source) -> None:
    """Reported first, then computed (287.7 kt: Aviation Formulary v1.47), then the pilot's rule for the height."""
    found_kt, found_source = airdata.true_airspeed_kt(State(time_s=0.0, **told))

    assert expected_kt == pytest.approx(found_kt, abs=0.06)
    assert source == found_source


@pytest.mark.parametrize(
    "told",
    [
        pytest.param({}, id="nothing"),
        pytest.param({"indicated_airspeed_kt": 120.0}, id="no-height"),
        pytest.param(
            {"indicated_airspeed_kt": 900.0, "pressure_altitude_ft": 0.0, "outside_air_temperature_c": 15.0},
            id="supersonic",
        ),
        pytest.param(
            {"indicated_airspeed_kt": 150.0, "pressure_altitude_ft": 70_000.0, "outside_air_temperature_c": -55.0},
            id="above-the-atmosphere",
        ),
    ],
)
def test_what_cannot_be_known_is_none(told: dict[str, float]) -> None:
    """Without enough, or where the formulas end, there is no true airspeed and nothing breaks."""
    assert (None, None) == airdata.true_airspeed_kt(State(time_s=0.0, **told))
