"""Departure runway: what is seen before take-off. Common practice, no source."""

from dataclasses import replace

import pytest

from otherseat.advisories.departure_runway import DepartureRunway, DepartureRunwayParams
from otherseat.advisories.engine import Engine
from otherseat.advisories.geodesic import destination_point
from otherseat.advisories.picture import Phase
from otherseat.advisories.runway import Runway, RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from tests.scripted import make_plan, make_table

TABLE = make_table()


def look(
    advisory: DepartureRunway,
    *,
    knots: float,
    surface: str | None,
    planned: str | None = "ZZAA/09",
    time_s: float = 0.0,
    **changes: object,
) -> list[tuple[str, str]]:
    """Return (alert, level) of what is seen on a surface at a speed."""
    surface_end = None if surface is None else TABLE.end(surface)
    values: dict[str, object] = {
        "time_s": time_s,
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


def roll(*knots: float, **changes: object) -> list[list[tuple[str, str]]]:
    """Return what is seen at one speed after the other, a second apart, where there is no runway."""
    advisory = DepartureRunway(DepartureRunwayParams())
    speeds = enumerate(knots)
    return [look(advisory, knots=kt, surface=None, time_s=float(s), **changes) for s, kt in speeds]  # type: ignore[arg-type]  # a test's table


NONE = [("not-a-runway", "warning")]


def test_rolling_where_there_is_no_runway() -> None:
    """A take-off roll on a taxiway is a warning before 40 kt; taxiing on it is nothing."""
    assert [[], [], [], NONE, NONE] == roll(5.0, 15.0, 24.0, 26.0, 32.0)


def test_a_brisk_taxi_is_no_take_off() -> None:
    """A taxi at 28 kt on a surface that the table does not know is fast, and not getting faster."""
    assert [[]] * 9 == roll(22.0, 22.8, 23.6, 24.4, 25.2, 26.0, 26.8, 27.6, 28.0)


def test_rolling_where_a_runway_may_be() -> None:
    """Where the place of a runway is only estimated nobody can say that this is none."""
    field = TABLE.airfield("ZZAA")
    low, high = (replace(end, estimated=True) for end in field.runways[0].ends)
    table = RunwayTable([replace(field, runways=(Runway(ends=(low, high)),))])

    assert [[], []] == roll(24.0, 32.0, runways=table)


def test_slowing_down_on_a_taxiway_is_nothing() -> None:
    """Leaving the runway fast is no take-off."""
    advisory = DepartureRunway(DepartureRunwayParams())
    look(advisory, knots=50.0, surface=None, phase=Phase.LANDED)
    look(advisory, knots=45.0, surface="ZZAA/09")

    assert [] == look(advisory, knots=29.0, surface=None)


@pytest.mark.parametrize("drift_deg", [0.0, 12.0], ids=["along the runway", "beside it"])
def test_a_take_off_that_nobody_tells_from_the_ground(drift_deg: float) -> None:
    """With neither ground contact nor height above ground in the stream, climbing away is no roll off the runway."""
    engine = Engine(
        aircraft="own",
        runways=TABLE,
        plan=make_plan(TABLE),
        advisories=plugins.advisories(),
        attention=read_settings().attention,
    )
    end = TABLE.end("ZZAA/09")
    here, raised = (end.latitude_deg, end.longitude_deg), []
    for second in range(90):
        climbing_s = max(second - 26, 0)
        speed_kt, climb_fpm = min(2.5 * second, 100.0), 700.0 if climbing_s else 0.0
        course_deg = end.course_true_deg + (drift_deg if climbing_s else 0.0)
        here = destination_point(
            latitude_deg=here[0], longitude_deg=here[1], course_true_deg=course_deg, distance_nm=speed_kt / 3_600.0
        )
        outcome = engine.step(
            State(
                time_s=float(second),
                latitude_deg=here[0],
                longitude_deg=here[1],
                altitude_ft=end.elevation_ft + 700.0 / 60.0 * climbing_s,
                groundspeed_kt=speed_kt,
                track_true_deg=course_deg,
                heading_true_deg=end.course_true_deg,
                vertical_speed_fpm=climb_fpm,
            )
        )
        raised += [alert.alert for alert in outcome.alerts]
        if second == 24:
            assert Phase.TAKE_OFF is outcome.picture.phase

    assert [] == [alert for alert in raised if alert == "not-a-runway"]


@pytest.mark.parametrize("phase", [Phase.LANDED, Phase.CLIMB, Phase.FINAL])
def test_silent(phase: Phase) -> None:
    """After landing and in the air it sees nothing."""
    assert [] == look(DepartureRunway(DepartureRunwayParams()), knots=30.0, surface="ZZAA/18", phase=phase)


def test_where_no_runway_is_known_nothing_is_said() -> None:
    """Away from every known airfield the table can't tell a runway from a field."""
    assert [[], []] == roll(24.0, 30.0, latitude_deg=-40.0)


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"heading_true_deg": None}, id="no-heading-to-tell-a-surface-by"),
        pytest.param({"on_ground": False, "phase": Phase.TAKE_OFF}, id="climbing-away-beyond-the-end"),
        pytest.param({"vertical_speed_fpm": 500.0, "phase": Phase.TAKE_OFF}, id="climbing-away-and-nobody-tells"),
    ],
)
def test_what_cannot_be_told_is_no_taxiway(changes: dict[str, object]) -> None:
    """Without a heading no surface can be named, and in the air there is none: neither is a roll on a taxiway."""
    assert [[], NONE] == roll(24.0, 30.0)
    assert [[], []] == roll(24.0, 30.0, **changes)


def test_a_roll_that_begins_slowly() -> None:
    """Having stood lined up, it stays a caution until the roll makes it a warning; another surface begins anew."""
    advisory = DepartureRunway(DepartureRunwayParams())
    seen = [look(advisory, knots=knots, surface="ZZAA/18") for knots in (0.0, 8.0, 20.0, 26.0)]
    elsewhere = look(advisory, knots=12.0, surface="ZZAA/36")

    assert ["caution", "caution", "caution", "warning"] == [level for ((_, level),) in seen]
    assert [("wrong-runway-departure", "advice")] == elsewhere
