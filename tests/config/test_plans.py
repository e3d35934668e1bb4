"""Plans in TOML: both forms, everything looked up, and errors in one line."""

from importlib.resources import as_file, files
from pathlib import Path

import pytest

from otherseat.advisories.magnetic import magnetic_field
from otherseat.advisories.plan import Plan, PlanError
from otherseat.advisories.runway import Place, RunwayTable
from otherseat.config.airfields import demo_airfields
from otherseat.config.errors import ConfigError
from otherseat.config.plans import read_plan, resolve_plan

RUNWAYS = RunwayTable(demo_airfields(), fixes=[Place("FIX1", -6.1, -9.4)])
WHOLE = """
departure = "ZZKN/13"
destination = "ZZPS/27L"
cruise_altitude_ft = 7500
aircraft = "glider"
weather = "METAR ZZPS 121755Z 21016KT 9999 Q1013"
[[route]]
name = "SHOAL"
latitude_deg = -6.2
longitude_deg = -9.4
[hold]
at = "SHOAL"
inbound_magnetic_deg = 350
"""


def write(folder: Path, text: str) -> Path:
    """Write a plan file."""
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_whole(tmp_path: Path) -> None:
    """Every place, the hold's true course and the weather are found."""
    resolved = resolve_plan(plan=read_plan(write(tmp_path, WHOLE)), runways=RUNWAYS)
    variation_deg = magnetic_field(latitude_deg=-6.2, longitude_deg=-9.4, decimal_year=2025.0).variation_deg

    assert resolved.departure == RUNWAYS.end("ZZKN/13")
    assert resolved.arrival == RUNWAYS.end("ZZPS/27L")
    assert (resolved.departure_airfield, resolved.destination) == (RUNWAYS.airfield("ZZKN"), RUNWAYS.airfield("ZZPS"))
    assert resolved.hold is not None
    assert (resolved.hold.latitude_deg, resolved.hold.longitude_deg) == (-6.2, -9.4)
    assert resolved.hold.inbound_true_deg == pytest.approx(350.0 + variation_deg)
    assert resolved.weather is not None
    assert resolved.weather.altimeter_hpa == 1_013.0


def test_airfields_alone() -> None:
    """A plan may name airfields and leave the runways open."""
    resolved = resolve_plan(plan=Plan(departure="ZZKN", destination="ZZPS"), runways=RUNWAYS)

    assert (resolved.departure, resolved.arrival) == (None, None)
    assert ("ZZKN", "ZZPS") == (
        resolved.departure_airfield.ident if resolved.departure_airfield else None,
        resolved.destination.ident if resolved.destination else None,
    )


def test_line(tmp_path: Path) -> None:
    """A file may hold one line in place of the keys."""
    path = write(tmp_path, 'line = "ZZKN/13 > FIX1 > ZZPS/27L alt 7500"')

    assert read_plan(path, runways=RUNWAYS).cruise_altitude_ft == 7_500


@pytest.mark.parametrize("name", ["crossing.toml", "out-and-back.toml"])
def test_packaged(name: str) -> None:
    """The packaged plans fit the packaged airfields."""
    with as_file(files("otherseat.config") / "plans" / name) as path:
        plan = read_plan(path, runways=RUNWAYS)

    assert resolve_plan(plan=plan, runways=RUNWAYS).arrival is not None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param('destinaton = "ZZPS"', "destinaton: no such key; did you mean destination?", id="key"),
        pytest.param('path_angle_deg = "3"', 'path_angle_deg: must be a number, was "3"', id="kind"),
        pytest.param("path_angle_deg = 9", "path_angle_deg: must be at most 7.5, was 9", id="range"),
        pytest.param("[hold]\nat = 'X'", "hold.inbound_magnetic_deg: is missing", id="missing"),
        pytest.param(
            "[hold]\nat='X'\ninbound_magnetic_deg=1\nturns='up'",
            "hold.turns: must be 'right' or 'left', was \"up\"",
            id="choice",
        ),
        pytest.param("[[route]]\nname = 'X'", "route[1].latitude_deg: is missing (and 1 more)", id="route"),
        pytest.param(
            "[[route]]\nname = 'X'\nlatitude = 1",
            "route[1].latitude: no such key; did you mean latitude_deg? (and 2 more)",
            id="misspelt-before-missing",
        ),
        pytest.param("line = 'ZZPS'\napp = 70", "app: a file with a line has nothing else", id="line-and-more"),
        pytest.param("line = 3", "line: must be a plan in quotes", id="line-kind"),
        pytest.param(
            "line = 'ZZPS/28'",
            "line: ZZPS has no runway 28; it has 09L, 09R, 18, 27L, 27R, 36\n  ZZPS/28\n       ^^",
            id="line-error",
        ),
    ],
)
def test_errors(tmp_path: Path, text: str, expected: str) -> None:
    """One line names the file, the key and what is wrong."""
    path = write(tmp_path, text)

    with pytest.raises(ConfigError) as caught:
        read_plan(path, runways=RUNWAYS)

    assert f"{path}: {expected}" == str(caught.value)


@pytest.mark.parametrize(
    ("plan", "expected"),
    [
        pytest.param({"departure": "ZZKX/13"}, "departure: no such place: ZZKX; nearest: ZZKN", id="airfield"),
        pytest.param(
            {"destination": "ZZPS/27"}, "destination: no such place: ZZPS/27; nearest: ZZPS/27R, ZZPS/27L", id="runway"
        ),
        pytest.param(
            {"hold": {"at": "FIX2", "inbound_magnetic_deg": 1}},
            "hold.at: no such place: FIX2; nearest: FIX1",
            id="hold",
        ),
        pytest.param(
            {"aircraft": "glyder"},
            "aircraft: no aircraft profile is called glyder; did you mean glider?",
            id="aircraft",
        ),
        pytest.param(
            {"weather": "sunny"}, "weather: a report begins with its station's four letters, such as ZZPS", id="weather"
        ),
    ],
)
def test_places_that_are_not_there(plan: dict[str, object], expected: str) -> None:
    """What a plan names and nobody knows is told with its key and the nearest that is known."""
    with pytest.raises(PlanError) as caught:
        resolve_plan(plan=Plan.model_validate(plan), runways=RUNWAYS)

    assert str(caught.value).startswith(expected)
