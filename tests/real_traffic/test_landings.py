"""The recordings' reader and the plain geometry, on an invented landing."""

import gzip
import json
from pathlib import Path

import pytest

from otherseat.advisories import geodesic
from tests.real_traffic.landings import flat_nm, landings
from tests.real_traffic.samples import Report, recordings
from tests.scripted import make_table

TABLE = make_table()
END = TABLE.end("ZZBB/09L")
SETTING_FT = -180.0


def rows() -> list[dict[str, object]]:
    """Return an approach to 09L at 120 kt, a second apart, as a recording has it."""
    made: list[dict[str, object]] = []
    for second in range(180):
        to_go_nm = 6.0 - second / 30.0
        latitude_deg, longitude_deg = geodesic.destination_point(
            latitude_deg=END.latitude_deg, longitude_deg=END.longitude_deg, course_true_deg=270.0, distance_nm=to_go_nm
        )
        made.append(
            {
                "timestamp": 1_000.0 * second,
                "icao24": "zz0001",
                "latitude": latitude_deg,
                "longitude": longitude_deg,
                "altitude": END.elevation_ft + 50.0 + 318.0 * to_go_nm + SETTING_FT,
                "groundspeed": 120.0,
                "track": 90.0,
                "vertical_rate": -640.0,
                "onground": False,
            }
        )
    return made


def write(folder: Path, content: object) -> Path:
    """Write a recording."""
    (folder / "collections").mkdir()
    with gzip.open(folder / "collections" / "zz.json.gz", "wt", encoding="utf-8") as file:
        json.dump(content, file)
    return folder


@pytest.mark.parametrize("by_column", [False, True])
def test_a_landing_is_found(tmp_path: Path, by_column: bool) -> None:  # noqa: FBT001 - a parametrised test's own
    """The end, the pressure of the day and the speed come out as flown, from rows or from columns."""
    content: object = rows()
    if by_column:
        content = {name: {str(n): row[name] for n, row in enumerate(rows())} for name in rows()[0]}
    (landing,) = landings(recordings(write(tmp_path, content)), runways=TABLE)

    assert END == landing.end
    assert SETTING_FT == pytest.approx(landing.pressure_ft, abs=2.0)
    assert 120.0 == landing.speed_kt
    assert not landing.recording.special


def test_repeated_positions_are_left_out(tmp_path: Path) -> None:
    """A receiver repeats the last position when it has no new one; that is no news."""
    told = [row for row in rows() for _ in range(2)]
    for second, row in enumerate(told):
        told[second] = {**row, "timestamp": 500.0 * second}
    (recording,) = recordings(write(tmp_path, told))

    assert 180 == len(recording.reports)


def test_an_overflight_is_no_landing(tmp_path: Path) -> None:
    """Level over the runway, or ending 3 NM before it, nothing has landed."""
    level = [{**row, "altitude": 3_000.0} for row in rows()]
    assert [] == landings(recordings(write(tmp_path, level)), runways=TABLE)


def test_the_flat_map() -> None:
    """A mile before the threshold and a tenth right of it, by geodesic: flat is off by less than 0.01 NM there."""
    before = geodesic.destination_point(
        latitude_deg=END.latitude_deg, longitude_deg=END.longitude_deg, course_true_deg=270.0, distance_nm=1.0
    )
    aside = geodesic.destination_point(
        latitude_deg=before[0], longitude_deg=before[1], course_true_deg=180.0, distance_nm=0.1
    )
    report = Report(0.0, aside[0], aside[1], None, None, None, None, None)

    assert (-1.0, 0.1) == pytest.approx(flat_nm(END, report), abs=0.01)
