"""A report against runways, plan and altimeter."""

import pytest

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.report_check import Conflict, disagreements, ends_in_wind, favoured
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.weather_report import CloudLayer, Weather
from tests.advisories.places import parallels

FIELD = parallels()
TABLE = RunwayTable([FIELD])


def report(**said: object) -> Weather:
    """Make a report of the field."""
    return Weather(**{"text": "", "station": "ZZPS", **said})  # type: ignore[arg-type] # a table of any fields


def plan(**meant: object) -> ResolvedPlan:
    """Make a plan to land on 27L."""
    return ResolvedPlan(
        plan=Plan.model_validate({"destination": "ZZPS/27L", **meant}), destination=FIELD, arrival=TABLE.end("ZZPS/27L")
    )


@pytest.mark.parametrize(
    ("from_deg", "expected"),
    [(270.0, "27"), (275.0, "27"), (95.0, "09"), (10.0, "36"), (190.0, "18")],
)
def test_favoured(from_deg: float, expected: str) -> None:
    """The wind favours the end with the most headwind."""
    end = favoured(ends_in_wind(ends=FIELD.ends, weather=report(wind_from_true_deg=from_deg, wind_speed_kt=10.0)))

    assert end is not None
    assert expected == end.runway[:2]


@pytest.mark.parametrize("speed_kt", [0.0, 12.0])
def test_favours_none(speed_kt: float) -> None:
    """A calm and a variable wind favour no end, and a variable one may be all tail or all across."""
    seen = ends_in_wind(ends=FIELD.ends, weather=report(wind_speed_kt=speed_kt))

    assert favoured(seen) is None
    assert {(speed_kt, speed_kt)} == {(each.wind.worst_tailwind_kt, each.wind.worst_crosswind_kt) for each in seen}


def test_no_wind_said() -> None:
    """A report without a wind says nothing about ends."""
    assert ends_in_wind(ends=FIELD.ends, weather=report()) == []


@pytest.mark.parametrize(
    ("said", "meant", "against", "expected"),
    [
        pytest.param({"wind_from_true_deg": 270.0, "wind_speed_kt": 10.0}, {}, {}, {}, id="all-well"),
        pytest.param(
            {"wind_from_true_deg": 90.0, "wind_speed_kt": 8.0},
            {},
            {},
            {Conflict.TAILWIND: {"runway": "ZZPS/27L", "tailwind_kt": 8.0, "favoured": "ZZPS/09R"}},
            id="tailwind",
        ),
        pytest.param(
            {"wind_from_true_deg": 90.0, "wind_speed_kt": 8.0}, {}, {"most_tailwind_kt": 10.0}, {}, id="within"
        ),
        pytest.param(
            {"wind_from_true_deg": 0.0, "wind_speed_kt": 12.0, "gust_kt": 20.0},
            {},
            {"most_crosswind_kt": 15.0},
            {Conflict.CROSSWIND: {"runway": "ZZPS/27L", "crosswind_kt": 20.0, "most_crosswind_kt": 15.0}},
            id="crosswind-in-gusts",
        ),
        pytest.param(
            {"clouds": (CloudLayer("SCT", 100.0), CloudLayer("BKN", 300.0))},
            {"decision_altitude_ft": 420},
            {},
            {Conflict.CEILING: {"ceiling_ft": 300.0, "ceiling_altitude_ft": 300.0, "decision_ft": 420.0}},
            id="ceiling",
        ),
        pytest.param(
            {"altimeter_hpa": 1_013.0},
            {},
            {"altimeter_hpa": 1_023.0},
            {Conflict.ALTIMETER: {"altimeter_hpa": 1_023.0, "reported_hpa": 1_013.0, "shows_too_high_ft": 273.0}},
            id="altimeter",
        ),
        pytest.param({"altimeter_hpa": 1_013.2}, {}, {"altimeter_hpa": 1_013.0}, {}, id="altimeter-rounded"),
        pytest.param(
            {"station": "ZZKN", "wind_from_true_deg": 90.0, "wind_speed_kt": 30.0},
            {},
            {},
            {Conflict.STATION: {"station": "ZZKN", "destination": "ZZPS"}},
            id="another-station",
        ),
    ],
)
def test_disagreements(
    said: dict[str, object], meant: dict[str, object], against: dict[str, float], expected: dict[Conflict, object]
) -> None:
    """What the report has against plan and aircraft is told, with its numbers, and nothing else."""
    found = {
        each.conflict: dict(each.values)
        for each in disagreements(weather=report(**said), plan=plan(**meant), **against)
    }

    assert list(expected) == list(found)
    for conflict, values in expected.items():
        assert (
            values == pytest.approx(found[conflict])
            if conflict is Conflict.ALTIMETER
            else found[conflict]
            == {
                key: pytest.approx(value, abs=1e-6) if isinstance(value, float) else value
                for key, value in values.items()  # type: ignore[attr-defined] # a map
            }
        )


def test_without_a_plan() -> None:
    """Without a destination only the altimeter can disagree."""
    weather = report(wind_from_true_deg=90.0, wind_speed_kt=30.0, altimeter_hpa=990.0)
    found = disagreements(weather=weather, plan=ResolvedPlan(plan=Plan()), altimeter_hpa=1_013.0)

    assert [Conflict.ALTIMETER] == [each.conflict for each in found]
