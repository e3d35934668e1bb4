"""The demo's flight keeps its own promises: what it does wrong, and that it does the rest well."""

import itertools
from functools import cache

import pytest

from otherseat.advisories.runway import on_surface
from otherseat.daemon.flight_model.flight import Moment, fly
from otherseat.daemon.flight_model.guidance import spot
from otherseat.daemon.flight_model.model import FlightModel
from otherseat.daemon.flight_model.scenes import HANDLING, MISTAKES, WEATHER, WRONG_TAKE_OFF, demo_scenes
from otherseat.daemon.flight_model.world import World

WORLD = World.make()


@cache
def moments() -> list[Moment]:
    """Fly the whole demo once."""
    with FlightModel(aircraft=HANDLING.aircraft, weather=WEATHER) as model:
        flight = fly(model=model, handling=HANDLING, scenes=demo_scenes(WORLD), terrain=WORLD.terrain_ft)
        return list(flight)


def test_mistakes_name_legs_that_are_flown() -> None:
    """Every mistake begins and ends with a leg of the flight, in that order."""
    flown = [(moment.scene, moment.leg) for moment in moments()]

    assert all(flown.index(mistake.begins) <= flown.index(mistake.mended) for mistake in MISTAKES)


def test_wrong_runway_stays_slow() -> None:
    """The first scene stands and rolls on the wrong runway, and stays under 40 kt."""
    wrong = WORLD.runways.end(WRONG_TAKE_OFF)
    views = [moment.view for moment in moments() if moment.scene == 1]

    assert 25.0 < max(view.groundspeed_kt for view in views) < 40.0
    assert all(
        on_surface(end=wrong, latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg, margin_ft=0.0)
        for view in views
    )


def test_takes_off_from_the_planned_runway() -> None:
    """The wheels stay on the planned runway's surface until they leave the ground."""
    rolling = [moment.view for moment in moments() if moment.scene == 2 and moment.view.on_ground]

    assert all(
        on_surface(end=WORLD.take_off, latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg, margin_ft=0.0)
        for view in rolling
    )


def test_lands_and_stops_on_the_planned_runway() -> None:
    """It touches down on the planned runway, in its first half, on the centreline, and stops there."""
    landing = [moment.view for moment in moments() if moment.scene == 3 and moment.view.on_ground]
    touch_down, stop = (spot(view=view, end=WORLD.landing) for view in (landing[0], landing[-1]))

    assert 0.0 < touch_down.along_ft < WORLD.landing.length_ft / 2.0
    assert 0.0 == pytest.approx(touch_down.offset_ft, abs=20.0)
    assert touch_down.along_ft < stop.along_ft < WORLD.landing.length_ft
    assert landing[-1].groundspeed_kt < 1.1


def test_no_jump_within_a_scene() -> None:
    """Within a scene the aircraft is flown, never moved: it goes no farther in a step than its speed allows."""
    flown = moments()
    steps = [(a.view, b.view) for a, b in itertools.pairwise(flown) if not b.began]

    assert all(
        abs(after.latitude_deg - before.latitude_deg) * 60.0
        <= (before.groundspeed_kt + 2.0) * (after.time_s - before.time_s) / 3_600.0 + 1e-6
        for before, after in steps
    )


def test_length() -> None:
    """The whole flight takes 10 to 15 minutes."""
    assert 600.0 < moments()[-1].view.time_s < 900.0
