"""Tracks: columns checked and completed as State and the runway frame would."""

import math

import numpy as np
import pytest

from otherseat.advisories.runway import frame_of
from otherseat.advisories.units import M_PER_FT
from otherseat.daemon.debrief.approach import approaches, seen_from, touchdown_rows
from otherseat.daemon.debrief.track import Track, TrackMaker, complete
from tests.daemon.debrief.made import END, TABLE, Landing, states


def made(landing: Landing, *, without: tuple[str, ...] = ()) -> Track:
    """Return the track of a made flight, without some fields."""
    maker = TrackMaker()
    for state in states(landing):
        maker.add({name: value for name, value in state.items() if name not in without})
    return maker.tracks()["own"]


def test_frame_is_the_engine_s() -> None:
    """A column through the runway frame gives what the engine's own frame gives, row by row."""
    track = made(Landing(offset_ft=55.0))
    seen = seen_from(track=track, end=END)
    for row in range(0, len(track), 25):
        along_m, across_m, _ = frame_of(END).locate(
            latitude_deg=track["latitude_deg"][row],
            longitude_deg=track["longitude_deg"][row],
            height_m=END.elevation_ft * M_PER_FT,
        )
        assert -along_m / 1852.0 == pytest.approx(seen.distance_nm[row], abs=1e-9)
        assert across_m / M_PER_FT == pytest.approx(seen.offset_ft[row], abs=1e-6)


def test_missing_motion_is_worked_out() -> None:
    """Speed, track and vertical speed come from positions when nobody reported them, and are named."""
    track = made(Landing(groundspeed_kt=75.0), without=("groundspeed_kt", "track_true_deg", "vertical_speed_fpm"))
    middle = slice(20, 200)

    assert {"groundspeed_kt", "track_true_deg", "vertical_speed_fpm"} == track.computed
    assert np.allclose(75.0, track["groundspeed_kt"][middle], atol=0.1)
    assert np.allclose(END.course_true_deg, track["track_true_deg"][middle], atol=0.1)
    assert np.allclose(-75.0 * 101.27 * math.tan(math.radians(3.0)), track["vertical_speed_fpm"][middle], atol=2.0)


def test_touchdown_by_height_above_ground() -> None:
    """Without a report of the ground, height above it tells; without either nothing is made up."""
    reported = made(Landing())
    rows = touchdown_rows(reported)
    columns = dict(reported.columns)
    columns["height_agl_ft"] = np.where(columns["on_ground"] == 1.0, 4.0, 60.0)
    columns["on_ground"] = np.full(len(reported), np.nan)

    assert 1 == len(rows)
    assert rows == touchdown_rows(Track(columns=columns))
    columns["height_agl_ft"] = np.full(len(reported), np.nan)
    assert [] == touchdown_rows(Track(columns=columns))


def test_a_bounce_is_one_landing() -> None:
    """Wheels that leave the runway again for two seconds land once."""
    track = made(Landing())
    (row,) = touchdown_rows(track)
    ground = track["on_ground"].copy()
    ground[row + 2 : row + 6] = 0.0

    assert [row] == touchdown_rows(Track(columns={**track.columns, "on_ground": ground}))


def test_out_of_bounds_never_enters() -> None:
    """What State would refuse is missing here too; rows without time or place go."""
    nan = math.nan
    raw = {name: [nan] * 4 for name in made(Landing()).columns}
    raw |= {
        "time_s": [0.0, 1.0, 2.0, nan],
        "latitude_deg": [1.0, 1.0, nan, 1.0],
        "longitude_deg": [2.0, 2.0, 2.0, 2.0],
        "altitude_ft": [100.0, 9e9, 100.0, 100.0],
    }
    track = complete(raw)

    assert 2 == len(track)
    assert math.isnan(track["altitude_ft"][1])


def test_aircraft_are_kept_apart() -> None:
    """Two aircraft in one recording are two tracks."""
    maker = TrackMaker()
    for number in range(10):
        for name in ("own", "other"):
            maker.add({"aircraft": name, "time_s": float(number), "latitude_deg": 1.0, "longitude_deg": 2.0})

    assert {"own": 10, "other": 10} == {name: len(track) for name, track in maker.tracks().items()}


def test_the_best_aligned_of_parallels() -> None:
    """An approach that ends in the air belongs to the parallel that it is in line with, not to the nearer threshold."""
    for name in ("ZZBB/09L", "ZZBB/09R"):
        maker = TrackMaker()
        for state in states(Landing(), end=TABLE.end(name)):
            if not state["on_ground"]:
                maker.add(state)
        (approach,) = approaches(track=maker.tracks()["own"], runways=TABLE, planned=None, angle_deg=None)

        assert name == approach.end.name
        assert approach.touchdown is None


def test_a_departure_is_no_approach() -> None:
    """An aircraft that only climbs away from a runway has not approached it."""
    maker = TrackMaker()
    made = [state for state in states(Landing()) if not state["on_ground"]]
    for state, height in zip(made, reversed([state["altitude_ft"] for state in made]), strict=True):
        maker.add({**state, "altitude_ft": height, "track_true_deg": END.course_true_deg})

    assert [] == approaches(track=maker.tracks()["own"], runways=TABLE, planned=None, angle_deg=None)
