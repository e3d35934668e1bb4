"""The Farrow Isles."""

from dataclasses import replace

import pytest
from geographiclib.geodesic import Geodesic

from otherseat.daemon.flight_model.world import World, beside, on_runway
from tests.daemon.flight_model.test_legs import VIEW


def test_the_way_between_the_fields() -> None:
    """The fields lie 20 to 25 NM apart, and the way between them is the geodesic's (GeographicLib)."""
    world = World.make()
    start, end = (world.runways.airfield(end.airfield) for end in (world.take_off, world.landing))
    inverse = Geodesic.WGS84.Inverse(start.latitude_deg, start.longitude_deg, end.latitude_deg, end.longitude_deg)

    assert 20.0 < world.way_nm < 25.0
    assert inverse["s12"] / 1852.0 == pytest.approx(world.way_nm, abs=0.01)
    assert inverse["azi2"] == pytest.approx(world.way.course_true_deg, abs=0.01)


def test_parallel_runways_are_close() -> None:
    """The parallels at the destination lie 700 ft apart: easy to confuse."""
    world = World.make()
    other = world.runways.end("ZZPS/27R")
    here = on_runway(end=other, along_ft=0.0)
    across_m = Geodesic.WGS84.Inverse(
        world.landing.latitude_deg, world.landing.longitude_deg, here.latitude_deg, here.longitude_deg
    )["s12"]

    assert 700.0 == pytest.approx(across_m / 0.3048, abs=30.0)


def test_ground_is_level_around_each_field() -> None:
    """On a field the ground is as high as the field, and between the two it lies between."""
    world = World.make()
    places = [world.runways.airfield("ZZKN"), world.runways.airfield("ZZPS")]
    heights = [
        world.terrain_ft(replace(VIEW, latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg))
        for place in places
    ]
    middle = beside(line=world.way, along_nm=-world.way_nm / 2, altitude_ft=2_500.0, airspeed_kt=90.0, ground_ft=0.0)
    between = world.terrain_ft(replace(VIEW, latitude_deg=middle.latitude_deg, longitude_deg=middle.longitude_deg))

    assert [38.0, 164.0] == heights
    assert 101.0 == pytest.approx(between, abs=1.0)
