"""Arrival runway: what is seen on the way down to another runway. Common practice, no source."""

import pytest

from otherseat.advisories.arrival_runway import ArrivalRunway, ArrivalRunwayParams
from otherseat.advisories.picture import Phase
from tests.scripted import make_plan, make_table

TABLE = make_table()


def look(tracked: str, *, height_ft: float = 900.0, nm: float = 3.0, **changes: object) -> list[tuple[str, str]]:
    """Return (alert, level) of what is seen on the way to an end; the plan is ZZBB/09L."""
    end = TABLE.end(tracked)
    values: dict[str, object] = {
        "phase": Phase.FINAL,
        "altitude_ft": end.elevation_ft + height_ft,
        "plan": make_plan(TABLE),
        "tracked_end": end,
        "tracked_distance_nm": nm,
    }
    findings = ArrivalRunway(ArrivalRunwayParams()).look(**{**values, **changes})  # type: ignore[arg-type]  # a table
    return [(finding.alert, finding.level.word) for finding in findings]


@pytest.mark.parametrize(
    ("tracked", "height_ft", "nm", "expected"),
    [
        pytest.param("ZZBB/09L", 900.0, 3.0, [], id="the-planned-one"),
        pytest.param("ZZBB/09R", 900.0, 3.0, [("wrong-runway-arrival", "caution")], id="the-parallel"),
        pytest.param("ZZBB/09R", 400.0, 1.2, [("wrong-runway-arrival", "warning")], id="the-parallel-low"),
        pytest.param("ZZBB/27R", 900.0, 3.0, [("wrong-runway-arrival", "caution")], id="the-other-end"),
        pytest.param("ZZAA/09", 900.0, 3.0, [("wrong-airfield", "caution")], id="another-airfield"),
        pytest.param("ZZAA/09", 300.0, 1.0, [("wrong-airfield", "warning")], id="another-airfield-low"),
        pytest.param("ZZBB/09R", 900.0, 7.0, [], id="too-far-out-to-matter"),
        pytest.param("ZZBB/09R", 2_500.0, 4.0, [], id="too-high-to-matter"),
        pytest.param("ZZBB/09R", 20.0, -0.1, [], id="the-parallel-and-down-on-it"),
    ],
)
def test_where_the_track_leads(tracked: str, height_ft: float, nm: float, expected: list[tuple[str, str]]) -> None:
    """Another end than the planned one is a caution, and a warning below 500 ft."""
    assert expected == look(tracked, height_ft=height_ft, nm=nm)


def test_who_crosses_to_join_is_not_landing() -> None:
    """Away from the planned final a runway's line may be followed overhead, 1,500 ft up; 1,000 ft up it may not."""
    assert [] == look("ZZBB/09R", height_ft=1_500.0, phase=Phase.APPROACH)
    assert [] != look("ZZBB/09R", height_ft=1_000.0, phase=Phase.APPROACH)
    assert [] != look("ZZBB/09R", height_ft=1_500.0, phase=Phase.FINAL)


def test_an_airfield_without_a_runway_in_the_plan() -> None:
    """When the plan names only the airfield, any of its ends will do."""
    assert [] == look("ZZBB/09R", plan=make_plan(TABLE, destination="ZZBB"))


def test_no_plan_no_wrong_runway() -> None:
    """Without a destination there is nothing to be wrong about."""
    assert [] == look("ZZBB/09R", plan=make_plan(TABLE, destination=None))


@pytest.mark.parametrize("phase", [Phase.CLIMB, Phase.CRUISE, Phase.TAXI, Phase.LANDED])
def test_silent(phase: Phase) -> None:
    """Only on the way down."""
    assert [] == look("ZZBB/09R", phase=phase)
