"""The field's report, and an altimeter that is set to something else."""

import random
from dataclasses import replace

import pytest

from otherseat.config.weather import read_report
from otherseat.daemon.evaluation.conditions import draw_conditions
from otherseat.daemon.evaluation.faults import setting
from otherseat.daemon.evaluation.normal import draw_pattern
from otherseat.daemon.evaluation.setting import report, set_wrong
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE
from otherseat.daemon.flight_model.world import World

END = World.make().landing
DICE = random.Random(5)
SORTIE = setting(dice=DICE, pattern=draw_pattern(dice=DICE, end=END, handling=LIGHT_SINGLE), size=2.0)
CONDITIONS = draw_conditions(dice=DICE, course_true_deg=END.course_true_deg, handling=LIGHT_SINGLE)


@pytest.mark.parametrize(("from_deg", "wind_kt", "told"), [(3.0, 7.6, (360.0, 8.0)), (247.0, 12.2, (250.0, 12.0))])
def test_report(from_deg: float, wind_kt: float, told: tuple[float, float]) -> None:
    """The report is read as it was meant: wind in tens of degrees, setting rounded down, cold with its letter."""
    weather = replace(
        CONDITIONS.weather, wind_from_true_deg=from_deg, wind_kt=wind_kt, sea_level_hpa=998.9, warmer_c=-20.0
    )
    read = read_report(report(SORTIE, replace(CONDITIONS, weather=weather)))

    assert (END.airfield, told, 998.0) == (
        read.station, (read.wind_from_true_deg, read.wind_speed_kt), read.altimeter_hpa
    )  # fmt: skip
    assert () == read.unread


def test_an_altimeter_set_too_high_shows_too_much() -> None:
    """3 hPa too much are some 82 ft too high: 27.3 ft for each near sea level (ICAO Doc 7488)."""
    weather = replace(CONDITIONS.weather, sea_level_hpa=1_000.0)
    told, conditions = set_wrong(SORTIE, replace(CONDITIONS, weather=weather), off_hpa=3.0)

    assert 82.0 == pytest.approx(conditions.altimeter_error_ft, abs=0.5)
    assert {"altimeter_hpa": 1_003.0} == told.told
    assert "Q1000" in str(told.plan.weather)
