"""Departure runway: what is seen before take-off. Common practice, no source."""

from dataclasses import replace

import pytest

from otherseat.advisories.departure_runway import DepartureRunway, DepartureRunwayParams
from otherseat.advisories.picture import Phase
from otherseat.advisories.runway import Runway, RunwayTable
from tests.scripted import make_table

TABLE = make_table()


def look(
    advisory: DepartureRunway, *, knots: float, surface: str | None, planned: str | None = "ZZAA/09", **changes: object
) -> list[tuple[str, str]]:
    """Return (alert, level) of what is seen on a surface at a speed."""
    surface_end = None if surface is None else TABLE.end(surface)
    values: dict[str, object] = {
        "phase": Phase.TAXI,
        "groundspeed_kt": knots,
        "latitude_deg": 10.0,
        "longitude_deg": 20.0,
        "runways": TABLE,
        "departure_end": None if planned is None else TABLE.end(planned),
        "surface_end": surface_end,
        "surface_runway": surface,
        "heading_true_deg": 90.0,
    }
    findings = advisory.look(**{**values, **changes})  # type: ignore[arg-type]  # a test's table
    return [(finding.alert, finding.level.word) for finding in findings]


@pytest.mark.parametrize(
    ("surface", "knots", "expected"),
    [
        pytest.param("ZZAA/09", 0.0, [], id="the-right-one"),
        pytest.param("ZZAA/18", 0.0, [("wrong-runway-departure", "caution")], id="another-standing"),
        pytest.param("ZZAA/18", 12.0, [("wrong-runway-departure", "advice")], id="another-taxiing-along"),
        pytest.param("ZZAA/18", 27.0, [("wrong-runway-departure", "warning")], id="another-rolling"),
        pytest.param("ZZAA/27", 0.0, [("wrong-end-departure", "caution")], id="other-end-standing"),
        pytest.param("ZZAA/27", 15.0, [("wrong-end-departure", "advice")], id="backtracking"),
        pytest.param("ZZAA/27", 30.0, [("wrong-end-departure", "warning")], id="other-end-rolling"),
        pytest.param("ZZBB/09L", 0.0, [], id="another-airfield-altogether"),
    ],
)
def test_the_surface_beneath(surface: str, knots: float, expected: list[tuple[str, str]]) -> None:
    """The wrong surface is advice while taxiing, a caution when standing lined up, a warning before 40 kt."""
    assert expected == look(DepartureRunway(DepartureRunwayParams()), knots=knots, surface=surface)


def test_without_a_plan_any_runway_will_do() -> None:
    """Nobody said which runway was meant."""
    assert [] == look(DepartureRunway(DepartureRunwayParams()), knots=30.0, surface="ZZAA/18", planned=None)


def test_rolling_where_there_is_no_runway() -> None:
    """A take-off roll on a taxiway is a warning before 40 kt; taxiing on it is nothing."""
    advisory = DepartureRunway(DepartureRunwayParams())
    seen = [look(advisory, knots=knots, surface=None) for knots in (5.0, 15.0, 24.0, 26.0, 32.0)]

    assert [[], [], [], [("not-a-runway", "warning")], [("not-a-runway", "warning")]] == seen


def test_rolling_where_a_runway_may_be() -> None:
    """Where the place of a runway is only estimated nobody can say that this is none."""
    advisory = DepartureRunway(DepartureRunwayParams())
    field = TABLE.airfield("ZZAA")
    low, high = (replace(end, estimated=True) for end in field.runways[0].ends)
    table = RunwayTable([replace(field, runways=(Runway(ends=(low, high)),))])

    assert [] == look(advisory, knots=32.0, surface=None, runways=table)


def test_slowing_down_on_a_taxiway_is_nothing() -> None:
    """Leaving the runway fast is no take-off."""
    advisory = DepartureRunway(DepartureRunwayParams())
    look(advisory, knots=50.0, surface=None, phase=Phase.LANDED)
    look(advisory, knots=45.0, surface="ZZAA/09")

    assert [] == look(advisory, knots=29.0, surface=None)


@pytest.mark.parametrize("phase", [Phase.LANDED, Phase.CLIMB, Phase.FINAL])
def test_silent(phase: Phase) -> None:
    """After landing and in the air it sees nothing."""
    assert [] == look(DepartureRunway(DepartureRunwayParams()), knots=30.0, surface="ZZAA/18", phase=phase)


def test_where_no_runway_is_known_nothing_is_said() -> None:
    """Away from every known airfield the table can't tell a runway from a field."""
    advisory = DepartureRunway(DepartureRunwayParams())

    assert [] == look(advisory, knots=30.0, surface=None, latitude_deg=-40.0)


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"heading_true_deg": None}, id="no-heading-to-tell-a-surface-by"),
        pytest.param({"on_ground": False, "phase": Phase.TAKE_OFF}, id="climbing-away-beyond-the-end"),
    ],
)
def test_what_cannot_be_told_is_no_taxiway(changes: dict[str, object]) -> None:
    """Without a heading no surface can be named, and in the air there is none: neither is a roll on a taxiway."""
    assert [("not-a-runway", "warning")] == look(DepartureRunway(DepartureRunwayParams()), knots=30.0, surface=None)
    assert [] == look(DepartureRunway(DepartureRunwayParams()), knots=30.0, surface=None, **changes)


def test_a_roll_that_begins_slowly() -> None:
    """Having stood lined up, it stays a caution until the roll makes it a warning; another surface begins anew."""
    advisory = DepartureRunway(DepartureRunwayParams())
    seen = [look(advisory, knots=knots, surface="ZZAA/18") for knots in (0.0, 8.0, 20.0, 26.0)]
    elsewhere = look(advisory, knots=12.0, surface="ZZAA/36")

    assert ["caution", "caution", "caution", "warning"] == [level for ((_, level),) in seen]
    assert [("wrong-runway-departure", "advice")] == elsewhere
