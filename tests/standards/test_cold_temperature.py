"""Cold-temperature corrections against the ICAO table, formula and the FAA's worked example."""

import numpy as np
import pytest

from otherseat.advisories import air, cold, rules_of_thumb
from tests.standards.topic import Answers, Case, Topic

PROCEDURE = "how a correction is applied to a chart's altitudes, not what it is"
TOPIC = Topic(
    name="cold_temperature",
    left_out={f"cold-{number}": PROCEDURE for number in (100, 101, 103, 105, 106)},
)


def by_table(*, reported_temperature_c: float, height_above_airport_ft: float) -> Answers:
    """Answer from the printed table."""
    correction_ft = cold.table_correction_ft(
        height_ft=height_above_airport_ft, station_temperature_c=reported_temperature_c
    )
    return {"correction_ft": correction_ft, "corrected_height_ft": height_above_airport_ft + correction_ft}


def by_rule(*, reported_temperature_c: float, height_above_airport_ft: float) -> Answers:
    """Answer by 4 % for 10 degrees."""
    return {
        "correction_ft": rules_of_thumb.cold_correction_ft(
            height_ft=height_above_airport_ft, degrees_below_isa_c=15.0 - reported_temperature_c
        )
    }


@TOPIC.answer
def by_formula(
    *, temperature_at_sea_level_c: float, height_above_airport_ft: float, source_elevation_ft: float
) -> Answers:
    """Answer by the PANS-OPS formula, whose temperature is that of the station brought to sea level."""
    return {
        "correction_ft": cold.correction_ft(
            height_ft=height_above_airport_ft,
            station_temperature_c=temperature_at_sea_level_c - cold.LAPSE_C_PER_FT * source_elevation_ft,
            station_elevation_ft=source_elevation_ft,
        )
    }


def on_chart(
    published_altitude_ft: float, airport_elevation_ft: float, temperature_c: float, round_ft: float
) -> Answers:
    """Return a chart's altitude with the table's correction, rounded as the procedure allows."""
    height_ft = published_altitude_ft - airport_elevation_ft
    table_ft = cold.table_correction_ft(height_ft=height_ft, station_temperature_c=temperature_c)
    correction_ft = round(table_ft / round_ft) * round_ft
    return {
        "height_above_airport_ft": height_ft,
        "table_height_used_ft": min(height_ft, cold.TABLE_TOP_FT),
        "correction_ft": correction_ft,
        "corrected_altitude_ft": published_altitude_ft + correction_ft,
    }


def on_chart_by_hundreds(
    *, published_altitude_ft: float, airport_elevation_ft: float, reported_temperature_c: float
) -> Answers:
    """Answer outside the final segment."""
    return on_chart(published_altitude_ft, airport_elevation_ft, reported_temperature_c, 100.0)


def on_chart_by_tens(
    *, published_altitude_ft: float, airport_elevation_ft: float, reported_temperature_c: float
) -> Answers:
    """Answer in the final segment."""
    return on_chart(published_altitude_ft, airport_elevation_ft, reported_temperature_c, 10.0)


TOPIC.answer_by_method(table=by_table, rule_4_percent=by_rule)
TOPIC.answer_by_method(table_rounded_100=on_chart_by_hundreds, table_approximate=on_chart_by_tens)


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Corrections are as published."""
    assert [] == TOPIC.misses(case)


@pytest.mark.parametrize("elevation_ft", [0.0, 2_000.0, 5_000.0])
@pytest.mark.parametrize("temperature_c", [-45.0, -25.0, -5.0, 15.0, 30.0])
def test_exact_and_formula_agree(temperature_c: float, elevation_ft: float) -> None:
    """The exact correction and ICAO's formula differ by less than 3 %: it takes its mean from sea level up."""
    height_ft = 3_000.0
    shown_ft = cold.indicated_altitude_ft(
        true_altitude_ft=elevation_ft + height_ft,
        station_temperature_c=temperature_c,
        station_elevation_ft=elevation_ft,
    )
    formula_ft = cold.correction_ft(
        height_ft=height_ft, station_temperature_c=temperature_c, station_elevation_ft=elevation_ft
    )

    assert formula_ft == pytest.approx(shown_ft - elevation_ft - height_ft, rel=0.03)


def test_true_altitude_is_the_weight_of_the_air() -> None:
    """Integrating dz = R T / (g p) dp through air 20 degrees colder than ISA gives the true altitude."""
    setting_hpa, station_ft, shown_ft, deviation_k = 1003.0, 1_500.0, 9_500.0, -20.0
    low_ft, high_ft = (
        air.pressure_altitude_ft(indicated_altitude_ft=indicated_ft, altimeter_hpa=setting_hpa)
        for indicated_ft in (station_ft, shown_ft)
    )
    pressure_hpa = np.geomspace(
        air.pressure_hpa(pressure_altitude_ft=low_ft), air.pressure_hpa(pressure_altitude_ft=high_ft), 20_001
    )
    level_ft = air.altitude_of_pressure_ft(pressure_hpa=pressure_hpa)
    kelvin = air.isa_temperature_k(pressure_altitude_ft=level_ft) + deviation_k
    climb_m = 287.05287 / 9.80665 * float(np.sum((kelvin[1:] + kelvin[:-1]) / 2.0 * -np.diff(np.log(pressure_hpa))))

    true_ft = air.true_altitude_ft(
        indicated_altitude_ft=shown_ft,
        altimeter_hpa=setting_hpa,
        temperature_c=air.isa_temperature_c(pressure_altitude_ft=high_ft) + deviation_k,
        station_elevation_ft=station_ft,
    )

    assert station_ft + climb_m / 0.3048 == pytest.approx(true_ft, abs=0.1)
