"""The demo's flight, scene by scene, over the Farrow Isles.

Within a scene control loops fly the model; only between scenes is the aircraft put somewhere else. The pilot of the demo
errs on purpose, goes on long enough to be told, then mends it.
"""

from dataclasses import dataclass

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.runway import Airfield, RunwayEnd, RunwayTable, span_ft_deg
from otherseat.advisories.units import FT_PER_NM
from otherseat.config.airfields import demo_airfields
from otherseat.daemon.flight_model.flight import Scene
from otherseat.daemon.flight_model.legs import Along, Final, Land, Line, Roll, Stand, TakeOff, Turn
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE, clamp
from otherseat.daemon.flight_model.model import Placement, View, Weather

DEPARTURE = "ZZKN/07"
WRONG_DEPARTURE = "ZZKN/13"
DESTINATION = "ZZPS/27L"
WRONG_PARALLEL = "ZZPS/27R"
CRUISE_FT = 2_500.0
CRUISE_KT = 112.0

HANDLING = LIGHT_SINGLE
WEATHER = Weather(wind_from_true_deg=290.0, wind_kt=6.0, warmer_c=5.0, sea_level_hpa=1016.0, seed=7)


@dataclass(frozen=True, slots=True)
class World:
    """The demo's two fields, the straight way between them, and the ground beneath it."""

    departure: Airfield
    destination: Airfield
    runways: RunwayTable
    way: Line
    """Its point is the destination."""
    way_nm: float

    @classmethod
    def make(cls) -> "World":
        """Read the islands that come with the package."""
        runways = RunwayTable(demo_airfields())
        departure = runways.airfield(DEPARTURE.partition("/")[0])
        destination = runways.airfield(DESTINATION.partition("/")[0])
        course = _course_deg(back_to=departure, at=destination)
        way = Line.through(
            latitude_deg=destination.latitude_deg, longitude_deg=destination.longitude_deg, course_true_deg=course
        )
        start_nm, _ = way.locate_position(latitude_deg=departure.latitude_deg, longitude_deg=departure.longitude_deg)
        return cls(departure=departure, destination=destination, runways=runways, way=way, way_nm=-start_nm)

    def terrain_ft(self, view: View) -> float:
        """Return the ground's height: each field's own around it, a slope between them."""
        along_nm, _ = self.way.locate_position(latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg)
        share = clamp((along_nm + self.way_nm - 4.0) / (self.way_nm - 8.0), 0.0, 1.0)
        return self.departure.elevation_ft + share * (self.destination.elevation_ft - self.departure.elevation_ft)


def demo_scenes(world: World) -> tuple[Scene, ...]:
    """Return the demo's scenes, fresh legs in each."""
    return (
        _wrong_runway(world.runways.end(WRONG_DEPARTURE)),
        _departure(world, end=world.runways.end(DEPARTURE)),
        _arrival(world, end=world.runways.end(DESTINATION), wrong=world.runways.end(WRONG_PARALLEL)),
    )


def _wrong_runway(end: RunwayEnd) -> Scene:
    return Scene(
        name="Wrong runway",
        told=f"Lined up on {end.runway}; the plan says {DEPARTURE.partition('/')[2]}",
        placement=on_runway(end=end, along_ft=120.0),
        legs=(
            Stand(seconds=10.0, heading_true_deg=end.course_true_deg),
            Roll(end=end, speed_kt=30.0, until_groundspeed_kt=28.0),
            Stand(seconds=12.0, heading_true_deg=end.course_true_deg),
        ),
    )


def _departure(world: World, *, end: RunwayEnd) -> Scene:
    return Scene(
        name="Departure",
        told=f"Put on {end.runway}, the planned runway: take-off, climb, on course",
        placement=on_runway(end=end, along_ft=120.0),
        legs=(
            Stand(seconds=6.0, heading_true_deg=end.course_true_deg),
            TakeOff(end=end, until_height_ft=600.0),
            Along(line=world.way, altitude_ft=CRUISE_FT, airspeed_kt=CRUISE_KT, until_along_nm=4.5 - world.way_nm),
        ),
    )


def _arrival(world: World, *, end: RunwayEnd, wrong: RunwayEnd) -> Scene:
    back_deg = end.course_true_deg
    return Scene(
        name="Arrival",
        told="Put near the destination, in the cruise: sails past it, turns back, joins high, lines up wrong, lands",
        placement=beside(line=world.way, along_nm=-1.5, altitude_ft=CRUISE_FT, airspeed_kt=CRUISE_KT, ground_ft=164.0),
        legs=(
            Along(line=world.way, altitude_ft=CRUISE_FT, airspeed_kt=CRUISE_KT, until_along_nm=4.7),
            Along(line=world.way, altitude_ft=CRUISE_FT, airspeed_kt=95.0, until_along_nm=6.2, acknowledges=True),
            Turn(course_true_deg=back_deg, right=True, altitude_ft=CRUISE_FT, airspeed_kt=90.0),
            Final(end=end, airspeed_kt=80.0, flaps=0.33, until_to_go_nm=5.0, altitude_ft=CRUISE_FT),
            Final(end=end, airspeed_kt=75.0, flaps=0.67, until_to_go_nm=2.9, sink_fpm=1_000.0),
            Final(end=wrong, airspeed_kt=75.0, flaps=0.67, until_to_go_nm=1.9),
            Final(end=end, airspeed_kt=HANDLING.approach_kt, flaps=0.67, until_to_go_nm=0.5),
            Land(end=end),
        ),
    )


def on_runway(*, end: RunwayEnd, along_ft: float, offset_ft: float = 0.0, turned_deg: float = 0.0) -> Placement:
    """Stand on a runway, so far beyond its threshold."""
    line = Line.through(
        latitude_deg=end.latitude_deg, longitude_deg=end.longitude_deg, course_true_deg=end.course_true_deg
    )
    latitude_deg, longitude_deg = line.position(along_ft=along_ft, across_ft=offset_ft)
    return Placement(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_deg=normal_deg(end.course_true_deg + turned_deg),
        terrain_ft=end.elevation_ft,
    )


def beside(
    *, line: Line, along_nm: float, altitude_ft: float, airspeed_kt: float, ground_ft: float, across_ft: float = 0.0
) -> Placement:
    """Fly along a line, so far beyond its point."""
    latitude_deg, longitude_deg = line.position(along_ft=along_nm * FT_PER_NM, across_ft=across_ft)
    return Placement(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_deg=line.course_true_deg,
        terrain_ft=ground_ft,
        height_agl_ft=altitude_ft - ground_ft,
        airspeed_kt=airspeed_kt,
    )


def _course_deg(*, back_to: Airfield, at: Airfield) -> float:
    _, course_deg = span_ft_deg(
        latitude_deg=at.latitude_deg,
        longitude_deg=at.longitude_deg,
        to_latitude_deg=back_to.latitude_deg,
        to_longitude_deg=back_to.longitude_deg,
    )
    return normal_deg(course_deg + 180.0)
