"""Airspeeds and altitude with their sources, and what is not known is left out."""

import pytest

from otherseat.advisories import air, airdata
from otherseat.advisories.picture import Source
from otherseat.advisories.state import State
from tests.standards.topic import Case, Topic


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
            {"indicated_airspeed_kt": 250.0, "altitude_ft": 10_000.0, "outside_air_temperature_c": -6.72},
            287.7,
            Source.COMPUTED,
            id="worked-out-without-a-setting",
        ),
        pytest.param(
            {
                "indicated_airspeed_kt": 250.0,
                "indicated_altitude_ft": 10_000.0,
                "altitude_ft": 8_000.0,
                "outside_air_temperature_c": -6.72,
            },
            287.7,
            Source.COMPUTED,
            id="by-what-the-altimeter-shows",
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


CALIBRATED = [
    case
    for case in Topic(name="airspeed").cases()
    if {"cas_kt", "pressure_altitude_ft", "isa_deviation_c"} == case.inputs.keys() - {"oat_c"}
]


@pytest.mark.parametrize("case", CALIBRATED, ids=[case.id for case in CALIBRATED])
def test_an_indicated_airspeed_out_of_the_true_one(case: Case) -> None:
    """The published true airspeeds, read the other way: sea level to the stratosphere, ISA - 30 to ISA + 25."""
    pressure_ft = case.inputs["pressure_altitude_ft"]
    state = State(
        time_s=0.0,
        true_airspeed_kt=case.expect["tas_kt"],
        pressure_altitude_ft=pressure_ft,
        outside_air_temperature_c=air.isa_temperature_c(pressure_altitude_ft=pressure_ft)
        + case.inputs["isa_deviation_c"],
    )
    found_kt, source = airdata.indicated_airspeed_kt(state)

    assert Source.COMPUTED == source
    assert case.inputs["cas_kt"] == pytest.approx(found_kt, abs=case.tolerance["tas_kt"])


WORKED_OUT = {"true_airspeed_kt": 287.7, "outside_air_temperature_c": -6.72, "pressure_altitude_ft": 10_000.0}
"""The example of Aviation Formulary v1.47: 250 kt calibrated."""


@pytest.mark.parametrize(
    ("told", "expected_kt", "source"),
    [
        pytest.param({"indicated_airspeed_kt": 246.0}, 246.0, Source.REPORTED, id="told"),
        pytest.param({}, 250.0, Source.COMPUTED, id="worked-out"),
        pytest.param({"pressure_altitude_ft": None, "altitude_ft": 1e4}, 250.0, Source.COMPUTED, id="by-the-altitude"),
        pytest.param(
            {"pressure_altitude_ft": None, "indicated_altitude_ft": 1e4, "altitude_ft": 8_000.0},
            250.0,
            Source.COMPUTED,
            id="by-what-the-altimeter-shows",
        ),
        pytest.param({"true_airspeed_kt": 0.0}, 0.0, Source.COMPUTED, id="standing"),
        pytest.param({"outside_air_temperature_c": None}, None, None, id="no-temperature"),
        pytest.param({"pressure_altitude_ft": None}, None, None, id="no-height"),
        pytest.param({"true_airspeed_kt": None}, None, None, id="no-airspeed"),
        pytest.param({"true_airspeed_kt": 900.0}, None, None, id="supersonic"),
        pytest.param({"pressure_altitude_ft": 70_000.0}, None, None, id="above-the-atmosphere"),
    ],
)
def test_an_indicated_airspeed_as_good_as_there_is(
    told: dict[str, float | None], expected_kt: float | None, source: Source | None
) -> None:
    """Reported first, then worked out; never without a temperature, and not where the formulas end."""
    found_kt, found_source = airdata.indicated_airspeed_kt(State(time_s=0.0, **{**WORKED_OUT, **told}))

    assert expected_kt == (None if found_kt is None else pytest.approx(found_kt, abs=0.06))
    assert source == found_source


@pytest.mark.parametrize(
    ("airspeed", "expected"),
    [
        pytest.param(Source.REPORTED, Source.COMPUTED, id="reported"),
        pytest.param(Source.COMPUTED, Source.COMPUTED, id="computed"),
        pytest.param(Source.RULE_OF_THUMB, Source.RULE_OF_THUMB, id="by-rule"),
    ],
)
def test_a_wind_is_no_better_than_its_airspeed(airspeed: Source, expected: Source) -> None:
    """Learnt with an airspeed by rule of thumb, the wind says so."""
    memory = airdata.WindMemory()
    for second in range(120):
        flown = State(time_s=float(second), groundspeed_kt=110.0, track_true_deg=90.0)
        found = memory.step(state=flown, true_airspeed_kt=120.0, airspeed_source=airspeed, heading_true_deg=90.0)

    assert (pytest.approx(90.0), pytest.approx(10.0), expected) == found


COLD = [case for case in Topic(name="cold_temperature").cases() if case.inputs.get("method") == "table"]


@pytest.mark.parametrize("case", COLD, ids=[case.id for case in COLD])
def test_cold_air_is_lower_than_the_altimeter_says(case: Case) -> None:
    """What an altimeter shows in cold air, less ICAO's correction, is the altitude (table III-1-4-1 b, AIM 7-3).

    The table rounds its corrections up to 10 ft and is made by the formula that is up to 3 % off the exact one.
    """
    height_ft, field_c = case.inputs["height_above_airport_ft"], case.inputs["reported_temperature_c"]
    correction_ft = case.expect["correction_ft"]
    shown_ft = height_ft + correction_ft
    state = State(
        time_s=0.0,
        indicated_altitude_ft=shown_ft,
        altimeter_hpa=1_013.25,
        outside_air_temperature_c=field_c - 0.00198 * shown_ft,
    )

    found_ft, source = airdata.altitude_ft(state, station_elevation_ft=0.0)

    assert Source.COMPUTED == source
    assert height_ft == pytest.approx(found_ft, abs=11.0 + 0.03 * correction_ft)


@pytest.mark.parametrize(
    ("told", "station_ft", "expected_ft", "source"),
    [
        pytest.param({"altitude_ft": 2_000.0, "indicated_altitude_ft": 2_200.0}, 0.0, 2_000.0, "reported", id="told"),
        pytest.param({"indicated_altitude_ft": 2_200.0}, 0.0, 2_200.0, "computed", id="no-temperature"),
        pytest.param({"outside_air_temperature_c": -40.0}, None, 2_200.0, "computed", id="no-station"),
        pytest.param({"outside_air_temperature_c": -40.0}, 2_200.0, 2_200.0, "computed", id="at-the-station"),
        pytest.param(
            {"indicated_altitude_ft": 9e4, "outside_air_temperature_c": -50.0},
            0.0,
            9e4,
            "computed",
            id="above-the-atmosphere",
        ),
    ],
)
def test_the_altitude_there_is(
    told: dict[str, float], station_ft: float | None, expected_ft: float, source: str
) -> None:
    """Reported first; the indicated one as it is where nothing is known to correct it by, and at the station itself."""
    state = State(time_s=0.0, **{"indicated_altitude_ft": 2_200.0, "altimeter_hpa": 1_013.25, **told})

    found_ft, found_source = airdata.altitude_ft(state, station_elevation_ft=station_ft)

    assert expected_ft == pytest.approx(found_ft)
    assert source == found_source
