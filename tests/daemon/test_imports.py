"""Imports: tracks as others write them, read by the formats' own libraries; what is missing stays missing."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import gpxpy.gpx
import numpy as np
import pytest
from aerofiles.igc import Writer

from otherseat.advisories.runway import RunwayTable
from otherseat.config.airfields import demo_airfields
from otherseat.daemon.debrief.export import write_csv
from otherseat.daemon.debrief.flown import read_flown
from otherseat.daemon.debrief.open_flight import flown_of_states, open_flown
from otherseat.daemon.debrief.report import make_report
from otherseat.daemon.flight_model.recording import read_recording
from otherseat.daemon.imports import ImportTrackError, read_track, states_of_frame
from otherseat.daemon.recorder import Recorder
from tests.daemon.debrief.made import TABLE, Landing, states, write
from tests.flights.make import HERE

STARTED = datetime(2026, 3, 4, 5, 0, tzinfo=UTC)
LANDING = Landing(above_path_ft=30.0, offset_ft=25.0, rate_hz=1.0)


def gpx_file(folder: Path) -> Path:
    """Write a made flight as GPX, by the format's library."""
    segment = gpxpy.gpx.GPXTrackSegment()
    for state in states(LANDING):
        point = gpxpy.gpx.GPXTrackPoint(
            latitude=float(state["latitude_deg"]),
            longitude=float(state["longitude_deg"]),
            elevation=float(state["altitude_ft"]) * 0.3048,
            time=STARTED + timedelta(seconds=float(state["time_s"])),
        )
        segment.points.append(point)
    gpx, track = gpxpy.gpx.GPX(), gpxpy.gpx.GPXTrack()
    track.segments.append(segment)
    gpx.tracks.append(track)
    path = folder / "track.gpx"
    path.write_text(gpx.to_xml(), encoding="utf-8")
    return path


def igc_file(folder: Path) -> Path:
    """Write a made flight as IGC, by the format's library."""
    path = folder / "track.igc"
    with path.open("wb") as stream:
        writer = Writer(stream)
        writer.write_headers(
            {
                "manufacturer_code": "XXX",
                "logger_id": "TBX",
                "date": STARTED.date(),
                "fix_accuracy": 50,
                "pilot": "A. Person",
                "copilot": "",
                "glider_type": "test",
                "glider_id": "ZZ-1",
                "firmware_version": "1",
                "hardware_version": "1",
                "logger_type": "test",
                "gps_receiver": "test",
                "pressure_sensor": "test",
                "competition_id": "",
                "competition_class": "",
            }
        )
        for state in states(LANDING):
            altitude_m = round(float(state["altitude_ft"]) * 0.3048)
            writer.write_fix(
                (STARTED + timedelta(seconds=int(float(state["time_s"])))).time(),
                latitude=float(state["latitude_deg"]),
                longitude=float(state["longitude_deg"]),
                valid=True,
                pressure_alt=altitude_m,
                gps_alt=altitude_m,
            )
    return path


@pytest.mark.parametrize(("make", "within_ft"), [(gpx_file, 1.5), (igc_file, 6.0)], ids=["gpx", "igc"])
def test_track_is_debriefed(make: Any, within_ft: float, tmp_path: Path) -> None:
    """A bare track has an approach with path and centreline; the rest is named as not known."""
    report = make_report(open_flown(make(tmp_path), runways=TABLE))
    three = next(mile for mile in report.miles if mile.distance_nm == 3.0)

    assert report.approach is not None
    assert "ZZBB/09L" == report.approach.end.name
    assert 1005.3 + 30.0 == pytest.approx(three.height_ft, abs=within_ft)
    assert 25.0 == pytest.approx(report.approach.seen.offset_ft[100], abs=within_ft)
    assert 382.1 == pytest.approx(three.sink_fpm, abs=100.0)
    told = " ".join(report.unknown)
    for words in (
        "no touchdown can be told",
        "groundspeed was worked out",
        "no indicated airspeed",
        "nobody was listening",
    ):
        assert words in told


def test_csv_round_trip(tmp_path: Path) -> None:
    """The series that a debrief exports can be read back as a flight, with the same landing."""
    report = make_report(read_flown(write(tmp_path / "a.mcap", LANDING)))
    write_csv(report, tmp_path / "a.csv")
    again = make_report(open_flown(tmp_path / "a.csv", runways=TABLE))
    assert report.approach is not None
    assert again.approach is not None

    assert report.approach.touchdown == again.approach.touchdown


def test_csv_by_a_layout(tmp_path: Path) -> None:
    """A track log in any line format is read by the layout that describes its lines."""
    layout = tmp_path / "log.toml"
    layout.write_text(LAYOUT, encoding="utf-8")
    log = tmp_path / "log.csv"
    lines = [f"{s['time_s']},{s['latitude_deg']},{s['longitude_deg']},{s['altitude_ft']}" for s in states(LANDING)]
    log.write_text("\n".join(lines), encoding="utf-8")
    report = make_report(open_flown(log, runways=TABLE, layout=str(layout)))

    assert report.approach is not None
    assert "ZZBB/09L" == report.approach.end.name


def test_capture_of_datagrams(tmp_path: Path) -> None:
    """A recording that holds raw datagrams and nothing else is debriefed by their layout: the demo's own landing."""
    recorder = Recorder(tmp_path / "raw.mcap")
    for number, datagram in enumerate(read_recording(HERE / "demo.txt.gz")):
        recorder.datagram(source="sim", received_s=number / 4.0, data=datagram)
    recorder.close()
    runways = RunwayTable(demo_airfields())
    report = make_report(open_flown(tmp_path / "raw.mcap", runways=runways, layout="jsbsim"))

    assert recorder.dropped == 0
    assert report.approach is not None
    assert report.approach.touchdown is not None
    assert "ZZPS/27L" == report.approach.end.name


LAYOUT = """
name = "log"
summary = "time, latitude, longitude, altitude"
kind = "text"

[text]
delimiter = ","
columns = ["time", "lat", "lon", "alt"]

[[message]]
[message.fields]
time_s = { column = "time" }
latitude_deg = { column = "lat" }
longitude_deg = { column = "lon" }
altitude_ft = { column = "alt" }
"""


def ads_b_frame(*, error_ft: float = 0.0, ground: bool = False) -> "Frame":
    """Return a made flight as a receiver's data frame: pressure altitude, no vertical rate."""
    made = list(states(LANDING))
    count = len(made)
    seconds = np.array([int(float(state["time_s"]) * 1e9) for state in made], dtype="timedelta64[ns]")
    columns = {
        "timestamp": np.array([STARTED.replace(tzinfo=None)] * count, dtype="datetime64[ns]") + seconds,
        "latitude": np.array([state["latitude_deg"] for state in made]),
        "longitude": np.array([state["longitude_deg"] for state in made]),
        "altitude": np.array([float(state["altitude_ft"]) + error_ft for state in made]),
        "groundspeed": np.array([state["groundspeed_kt"] for state in made]),
        "track": np.array([state["track_true_deg"] for state in made]),
        "vertical_rate": np.array([np.nan] * count),
        "callsign": np.array(["ZZ123  "] * count),
    }
    if ground:
        columns["onground"] = np.array([state["on_ground"] for state in made])
    return Frame(**columns)


def test_ads_b_frame() -> None:
    """Rows of a data frame become one aircraft each; an error of pressure that nobody knows judges no path."""
    flown = flown_of_states(list(states_of_frame(ads_b_frame(error_ft=230.0))), path=Path("frame"), runways=TABLE)
    report = make_report(flown)
    told = " ".join(report.unknown)

    assert "ZZ123" == flown.aircraft
    assert [None, None] == [verdict.items[0].inside for verdict in report.verdicts]
    assert "heights are by pressure altitude, wrong by an error that nobody knows" in told
    assert "vertical speed was worked out" in told


def test_pressure_is_set_by_the_runway() -> None:
    """What pressure altitude shows on the runway corrects the whole approach, and the debrief says by how much."""
    frame = ads_b_frame(error_ft=230.0, ground=True)
    report = make_report(flown_of_states(list(states_of_frame(frame)), path=Path("frame"), runways=TABLE))
    three = next(mile for mile in report.miles if mile.distance_nm == 3.0)

    assert 1005.3 + 30.0 == pytest.approx(three.height_ft, abs=1.5)
    assert ["stable, speed unknown"] * 2 == [verdict.word for verdict in report.verdicts]
    assert any("less the 230 ft that it showed on the runway" in words for words in report.unknown)


class Frame(SimpleNamespace):
    """As much of a data frame as is used: columns by name, and a length."""

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.timestamp)

    @property
    def columns(self) -> list[str]:
        """Return the names."""
        return list(vars(self))

    def __getitem__(self, name: str) -> Any:
        """Return a column."""
        return getattr(self, name)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.gpx", "hello", "no GPX"),
        ("a.gpx", "<gpx></gpx>", "no track in it"),
        ("a.igc", "hello", "track"),
        ("a.csv", "a,b\n1,2\n", "no column is called time_s"),
        ("a.csv", "time_s,latitude_deg\nnow,1\n", "could not convert"),
        ("a.xyz", "", "there are: .mcap .csv .gpx .igc"),
    ],
)
def test_what_is_no_track(name: str, content: str, words: str, tmp_path: Path) -> None:
    """A file that is no track is refused by name and reason, and nothing else escapes."""
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")

    with pytest.raises(ImportTrackError, match=words):
        read_track(path)
