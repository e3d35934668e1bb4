"""Guidance: from where the aircraft is to what is wanted."""

from dataclasses import replace

import pytest

from otherseat.daemon.flight_model.guidance import (
    Spot,
    bank_to_track,
    climb_to_level,
    sink_to_path,
    track_to_line,
    turn_radius_nm,
)
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE
from otherseat.daemon.flight_model.world import World
from tests.daemon.flight_model.test_legs import VIEW


@pytest.mark.parametrize(
    ("groundspeed_kt", "expected_fpm"), [(60.0, 320.0), (90.0, 480.0), (120.0, 635.0)], ids=["60", "90", "120"]
)
def test_on_the_path_the_table_is_flown(groundspeed_kt: float, expected_fpm: float) -> None:
    """On a 3 degree path the sink is the printed table's (FAA rate of descent table; rounded to 5 ft/min)."""
    end = World.make().landing
    place = Spot(to_go_nm=3.0, offset_ft=0.0, height_ft=50.0 + 955.3)
    sink = sink_to_path(view=replace(VIEW, groundspeed_kt=groundspeed_kt), end=end, place=place, most_fpm=900.0)

    assert -expected_fpm == pytest.approx(sink, abs=5.0)


@pytest.mark.parametrize(("above_ft", "expected_fpm"), [(300.0, -900.0), (-300.0, 0.0)], ids=["high", "low"])
def test_off_the_path_the_sink_has_limits(above_ft: float, expected_fpm: float) -> None:
    """Far above the path it sinks as fast as allowed, far below it flies level."""
    place = Spot(to_go_nm=3.0, offset_ft=0.0, height_ft=1_005.0 + above_ft)

    assert expected_fpm == sink_to_path(view=VIEW, end=World.make().landing, place=place, most_fpm=900.0)


@pytest.mark.parametrize(("offset_ft", "expected_deg"), [(0.0, 259.0), (9_000.0, 229.0), (-9_000.0, 289.0)])
def test_intercept(offset_ft: float, expected_deg: float) -> None:
    """On the line the track is its course; far to the right of it the course less the steepest angle."""
    track = track_to_line(offset_ft=offset_ft, course_true_deg=259.0, groundspeed_kt=90.0, most_deg=30.0)

    assert expected_deg == track


@pytest.mark.parametrize(("track_deg", "expected_deg"), [(80.0, 5.0), (170.0, 22.0), (300.0, -22.0)])
def test_bank_to_track(track_deg: float, expected_deg: float) -> None:
    """Bank grows with the error, the short way round, up to the limit."""
    assert expected_deg == bank_to_track(view=VIEW, track_true_deg=track_deg, handling=LIGHT_SINGLE)


@pytest.mark.parametrize(("altitude_ft", "expected_fpm"), [(2_520.0, 100.0), (9_000.0, 900.0), (500.0, -700.0)])
def test_climb_to_level(altitude_ft: float, expected_fpm: float) -> None:
    """Near the altitude five feet a minute for each foot, far from it the limit."""
    assert expected_fpm == climb_to_level(view=VIEW, altitude_ft=altitude_ft, climb_fpm=900.0, sink_fpm=700.0)


def test_turn_radius() -> None:
    """V^2 / (11.26 tan(bank)) feet with V in knots (FAA-H-8083-25, ch. 5): 2,215 ft at 120 kt and 30 deg."""
    assert 2_215.0 / 6_076.1 == pytest.approx(turn_radius_nm(groundspeed_kt=120.0, bank_deg=30.0), rel=0.005)
