"""The demo's flight, scene by scene, and the mistakes that its pilot makes on purpose.

Within a scene control loops fly the model; only between scenes is the aircraft put somewhere else. The pilot goes on
with each mistake long enough to be told, then mends it.
"""

from dataclasses import dataclass

from otherseat.daemon.flight_model.flight import Scene
from otherseat.daemon.flight_model.legs import Along, Final, Roll, Stand, Turn
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE
from otherseat.daemon.flight_model.model import Weather
from otherseat.daemon.flight_model.runway_legs import Land, TakeOff
from otherseat.daemon.flight_model.world import World, beside, on_runway

WRONG_TAKE_OFF = "ZZKN/13"
WRONG_PARALLEL = "ZZPS/27R"
CRUISE_KT = 112.0

HANDLING = LIGHT_SINGLE
WEATHER = Weather(wind_from_true_deg=290.0, wind_kt=6.0, warmer_c=5.0, sea_level_hpa=1016.0, seed=7)

LegName = tuple[int, int]
"""Scene, counted from 1, and leg within it, counted from 0."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing that goes wrong on purpose, and what is promised about it."""

    name: str
    alert: str
    begins: LegName
    said_within_s: float
    """From the start of the leg `begins`."""
    mended: LegName
    cleared_within_s: float
    """From the start of the leg `mended`."""


MISTAKES = (
    Mistake("Lined up on the wrong runway", "wrong-runway-departure", (1, 0), 5.0, (2, 0), 5.0),
    Mistake("Flew past the destination", "destination-passed", (3, 1), 60.0, (3, 3), 45.0),
    Mistake("Started down too high", "glidepath-high", (3, 5), 20.0, (3, 5), 120.0),
    Mistake("Lined up with the wrong parallel", "wrong-runway-arrival", (3, 7), 15.0, (3, 8), 20.0),
)


def demo_scenes(world: World) -> tuple[Scene, ...]:
    """Return the demo's scenes, fresh legs in each."""
    return (_wrong_runway(world), _departure(world), _arrival(world))


def _wrong_runway(world: World) -> Scene:
    end = world.runways.end(WRONG_TAKE_OFF)
    return Scene(
        name="Wrong runway",
        told=f"Standing on {end.runway}; the plan says {world.take_off.runway}. Begins to roll, stops.",
        placement=on_runway(end=end, along_ft=120.0),
        legs=(
            Stand(seconds=10.0, heading_true_deg=end.course_true_deg),
            Roll(end=end, speed_kt=30.0, until_groundspeed_kt=28.0),
            Stand(seconds=12.0, heading_true_deg=end.course_true_deg),
        ),
    )


def _departure(world: World) -> Scene:
    end = world.take_off
    return Scene(
        name="Departure",
        told=f"Put on {end.runway}, as planned. Takes off, climbs, cruises.",
        placement=on_runway(end=end, along_ft=120.0),
        legs=(
            Stand(seconds=6.0, heading_true_deg=end.course_true_deg),
            TakeOff(end=end, until_height_ft=600.0),
            Along(
                line=world.way,
                altitude_ft=world.cruise_ft,
                airspeed_kt=CRUISE_KT,
                until_along_nm=4.5 - world.way_nm,
            ),
        ),
    )


def _arrival(world: World) -> Scene:
    end, way, cruise_ft = world.landing, world.way, world.cruise_ft
    wrong = world.runways.end(WRONG_PARALLEL)
    return Scene(
        name="Arrival",
        told=f"Put 3.5 miles before {end.airfield}. Flies past, turns back, joins high, lines up wrong, lands.",
        placement=beside(
            line=way, along_nm=-3.5, altitude_ft=cruise_ft, airspeed_kt=CRUISE_KT, ground_ft=end.elevation_ft
        ),
        legs=(
            Along(line=way, altitude_ft=cruise_ft, airspeed_kt=CRUISE_KT, until_along_nm=0.0),
            Along(line=way, altitude_ft=cruise_ft, airspeed_kt=CRUISE_KT, until_along_nm=4.7),
            Along(line=way, altitude_ft=cruise_ft, airspeed_kt=95.0, until_along_nm=6.2, acknowledges=True),
            Turn(course_true_deg=end.course_true_deg, right=True, altitude_ft=cruise_ft, airspeed_kt=90.0),
            Final(end=end, airspeed_kt=80.0, flaps=0.33, until_to_go_nm=5.0, altitude_ft=cruise_ft),
            Final(end=end, airspeed_kt=75.0, flaps=0.67, until_to_go_nm=2.9, sink_fpm=1_000.0),
            Final(end=wrong, airspeed_kt=75.0, flaps=0.67, until_to_go_nm=1.9, until_within_ft=250.0),
            Final(end=wrong, airspeed_kt=75.0, flaps=0.67, until_to_go_nm=1.9),
            Final(end=end, airspeed_kt=HANDLING.approach_kt, flaps=0.67, until_to_go_nm=0.5),
            Land(end=end),
        ),
    )
