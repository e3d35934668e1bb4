"""Legs: the pieces that a flight is flown in. Each says what it wants now and when it is done.

Those that begin or end on a runway are in runway_legs.py.

Stand     on a runway, brakes on
Roll      along a runway on the ground, up to a speed
Along     a line at an altitude and a speed, until so far along it
Turn      to a course, one way round
Final     down the path of a runway end, or level until told to come down, until so near
Base      across to the centreline and onto it, down the path as measured along the way
"""

import math
from dataclasses import dataclass, field, replace
from typing import Protocol

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.earth import WGS84_A_M, WGS84_E2, RunwayFrame
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM, M_PER_FT, M_PER_NM
from otherseat.daemon.flight_model.guidance import (
    Spot,
    bank_to_track,
    climb_to_level,
    sink_to_path,
    spot,
    track_to_line,
    turn_radius_nm,
)
from otherseat.daemon.flight_model.loops import Demand, Handling, clamp
from otherseat.daemon.flight_model.model import View

INTERCEPT_DEG = 30.0
TURNED_DEG = 8.0
ESTABLISHED_FT = 400.0
LEVEL_CLIMB_FPM = 400.0
ROLL_S = 2.5
"""Rolling into and out of a turn costs about so much time straight ahead."""


class Leg(Protocol):
    """One piece of a flight."""

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Return what is wanted now."""
        ...

    def done(self, *, view: View) -> bool:
        """Say whether the next leg may begin."""
        ...


@dataclass(frozen=True, slots=True)
class Line:
    """A course through a point."""

    frame: RunwayFrame
    course_true_deg: float

    @classmethod
    def through(cls, *, latitude_deg: float, longitude_deg: float, course_true_deg: float) -> "Line":
        """Make the line of a point and a true course."""
        frame = RunwayFrame.at(
            latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=0.0, course_true_deg=course_true_deg
        )
        return cls(frame=frame, course_true_deg=course_true_deg)

    def locate(self, view: View) -> tuple[float, float]:
        """Return how many NM beyond the point and how many feet right of the line the aircraft is."""
        return self.locate_position(latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg)

    def locate_position(self, *, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
        """Return how many NM beyond the point and how many feet right of the line a position is."""
        along_m, across_m, _ = self.frame.locate(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=0.0)
        return along_m / M_PER_NM, across_m / M_PER_FT

    def position(self, *, along_ft: float, across_ft: float = 0.0) -> tuple[float, float]:
        """Return latitude and longitude of a place on or beside the line: the opposite of locate_position."""
        frame, along_m, across_m = self.frame, along_ft * M_PER_FT, across_ft * M_PER_FT
        up_m = 0.0
        for _ in range(3):  # the earth falls away beneath the plane: find the height in it that lies on the ellipsoid
            x, y, z = (
                frame.origin_m[i] + along_m * frame.along[i] + across_m * frame.across[i] + up_m * frame.up[i]
                for i in range(3)
            )
            latitude, longitude, height_m = geodetic(x_m=x, y_m=y, z_m=z)
            up_m -= height_m
        return math.degrees(latitude), math.degrees(longitude)


def geodetic(*, x_m: float, y_m: float, z_m: float) -> tuple[float, float, float]:
    """Return geodetic latitude and longitude in radians and height in metres of an earth-centred position.

    By fixed-point iteration on the latitude (any geodesy handbook, from memory); near the surface it gains a
    factor of about 1 / e2 = 150 a round, and never works at the poles.
    """
    across_m = math.hypot(x_m, y_m)
    latitude = math.atan2(z_m, across_m * (1.0 - WGS84_E2))
    for _ in range(6):
        radius_m = WGS84_A_M / math.sqrt(1.0 - WGS84_E2 * math.sin(latitude) ** 2)
        height_m = across_m / math.cos(latitude) - radius_m
        latitude = math.atan2(z_m, across_m * (1.0 - WGS84_E2 * radius_m / (radius_m + height_m)))
    return latitude, math.atan2(y_m, x_m), height_m


@dataclass(slots=True)
class Stand:
    """Stand still for so long."""

    seconds: float
    heading_true_deg: float
    _since_s: float | None = field(default=None, init=False)

    def demand(self, *, view: View, handling: Handling) -> Demand:  # noqa: ARG002 - one signature for all legs
        """Hold the brakes."""
        if self._since_s is None:
            self._since_s = view.time_s
        return Demand(heading_true_deg=self.heading_true_deg, pitch_deg=0.0, throttle=0.0, brakes=1.0)

    def done(self, *, view: View) -> bool:
        """Say whether time is up."""
        return self._since_s is not None and view.time_s - self._since_s >= self.seconds


@dataclass(slots=True)
class Roll:
    """Roll along a runway on the ground towards a speed, until nearly there."""

    end: RunwayEnd
    speed_kt: float
    until_groundspeed_kt: float

    def demand(self, *, view: View, handling: Handling) -> Demand:  # noqa: ARG002 - one signature for all legs
        """Power up to the speed, then hold it."""
        heading = steer(end=self.end, place=spot(view=view, end=self.end))
        excess_kt = view.groundspeed_kt - self.speed_kt
        return Demand(
            heading_true_deg=heading,
            pitch_deg=0.0,
            throttle=clamp(0.35 - 0.1 * excess_kt, 0.0, 0.9),
            brakes=clamp(0.2 * excess_kt, 0.0, 0.5),
        )

    def done(self, *, view: View) -> bool:
        """Say whether it is fast enough."""
        return view.groundspeed_kt >= self.until_groundspeed_kt


@dataclass(slots=True)
class Along:
    """Fly a line, offset_ft right of it, until so many NM beyond its point."""

    line: Line
    altitude_ft: float
    airspeed_kt: float
    until_along_nm: float
    offset_ft: float = 0.0
    flaps: float = 0.0
    intercept_deg: float = INTERCEPT_DEG
    sink_fpm: float | None = None
    """None: as the aircraft is usually flown."""
    acknowledges: bool = False
    """The pilot answers what is being said as this leg begins."""
    keep_to_it: bool = True
    """False: fly the line's course from wherever the aircraft is."""
    drifts: float = 0.0
    """So many drift angles into the wind of the line's course, as a hold's outbound leg makes up for its turns."""

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Keep line, altitude and speed."""
        _, across_ft = self.line.locate(view)
        drift_deg = difference_deg(view.heading_true_deg, view.track_true_deg)
        track = track_to_line(
            offset_ft=across_ft - self.offset_ft if self.keep_to_it else 0.0,
            course_true_deg=self.line.course_true_deg + self.drifts * drift_deg,
            groundspeed_kt=view.groundspeed_kt,
            most_deg=self.intercept_deg,
        )
        return level(
            view=view,
            handling=handling,
            track_true_deg=track,
            altitude_ft=self.altitude_ft,
            airspeed_kt=self.airspeed_kt,
            flaps=self.flaps,
            sink_fpm=self.sink_fpm,
        )

    def done(self, *, view: View) -> bool:
        """Say whether it is far enough along."""
        return self.line.locate(view)[0] >= self.until_along_nm


@dataclass(slots=True)
class Turn:
    """Turn to a course, the way that is asked for."""

    course_true_deg: float
    right: bool
    altitude_ft: float
    airspeed_kt: float
    flaps: float = 0.0

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Bank until the course is near."""
        to_go_deg = difference_deg(self.course_true_deg, view.track_true_deg)
        way = 1.0 if self.right else -1.0
        ahead_deg = way * to_go_deg if way * to_go_deg > -TURNED_DEG else way * to_go_deg + 360.0
        track = view.track_true_deg + way * min(ahead_deg, 90.0)
        return level(
            view=view,
            handling=handling,
            track_true_deg=track,
            altitude_ft=self.altitude_ft,
            airspeed_kt=self.airspeed_kt,
            flaps=self.flaps,
        )

    def done(self, *, view: View) -> bool:
        """Say whether it is on course."""
        return abs(difference_deg(self.course_true_deg, view.track_true_deg)) <= TURNED_DEG


@dataclass(slots=True)
class Final:
    """Follow a runway end's path until so near; level at altitude_ft instead while it is given."""

    end: RunwayEnd
    airspeed_kt: float
    flaps: float
    until_to_go_nm: float
    altitude_ft: float | None = None
    above_ft: float = 0.0
    offset_ft: float = 0.0
    sink_fpm: float = 900.0
    intercept_deg: float = INTERCEPT_DEG
    until_within_ft: float | None = None
    """Given: done already when so near to the centreline."""

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Keep centreline, path and speed."""
        place = spot(view=view, end=self.end)
        track = track_to_line(
            offset_ft=place.offset_ft - self.offset_ft,
            course_true_deg=self.end.course_true_deg,
            groundspeed_kt=view.groundspeed_kt,
            most_deg=self.intercept_deg,
        )
        return Demand(
            bank_deg=bank_to_track(view=view, track_true_deg=track, handling=handling),
            vertical_speed_fpm=self._sink(view=view, place=place),
            airspeed_kt=self.airspeed_kt,
            flaps=self.flaps,
        )

    def _sink(self, *, view: View, place: Spot) -> float:
        if self.altitude_ft is not None:
            return climb_to_level(
                view=view, altitude_ft=self.altitude_ft, climb_fpm=LEVEL_CLIMB_FPM, sink_fpm=self.sink_fpm
            )
        return sink_to_path(view=view, end=self.end, place=place, most_fpm=self.sink_fpm, above_ft=self.above_ft)

    def done(self, *, view: View) -> bool:
        """Say whether it is near enough."""
        place = spot(view=view, end=self.end)
        lined_up = self.until_within_ft is not None and abs(place.offset_ft - self.offset_ft) <= self.until_within_ft
        return lined_up or place.to_go_nm <= self.until_to_go_nm


@dataclass(slots=True)
class Base:
    """Fly a base leg, turn so as to roll out on the centreline, and come down the path as measured along the way."""

    end: RunwayEnd
    course_true_deg: float
    """Of the base leg; it leads to the centreline."""
    altitude_ft: float
    """Level at it until the path is met."""
    airspeed_kt: float
    """Until the turn begins, then slowing to the approach's."""
    flaps: float
    """Likewise."""
    _turning: bool = field(default=False, init=False)

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Keep the base leg until the turn must start, then the centreline."""
        place = spot(view=view, end=self.end)
        offset_nm = abs(place.offset_ft) / FT_PER_NM
        radius_nm = turn_radius_nm(groundspeed_kt=view.groundspeed_kt, bank_deg=handling.usual_bank_deg)
        across_deg = abs(difference_deg(view.track_true_deg, self.end.course_true_deg))
        roll_nm = view.groundspeed_kt / 3_600.0 * ROLL_S * math.sin(math.radians(across_deg))
        lead_nm = radius_nm * (1.0 - math.cos(math.radians(across_deg))) + roll_nm
        self._turning = self._turning or offset_nm <= lead_nm
        if self._turning:
            line_ft, course_deg, way_nm = place.offset_ft, self.end.course_true_deg, place.to_go_nm + 0.57 * offset_nm
        else:
            line_ft, course_deg = 0.0, self.course_true_deg
            way_nm = place.to_go_nm + max(offset_nm - 0.43 * radius_nm, 0.0)
        track = track_to_line(
            offset_ft=line_ft,
            course_true_deg=course_deg,
            groundspeed_kt=view.groundspeed_kt,
            most_deg=INTERCEPT_DEG,
        )
        return Demand(
            bank_deg=bank_to_track(view=view, track_true_deg=track, handling=handling),
            vertical_speed_fpm=self._sink(view=view, place=replace(place, to_go_nm=way_nm), handling=handling),
            airspeed_kt=handling.approach_kt if self._turning else self.airspeed_kt,
            flaps=handling.approach_flaps if self._turning else self.flaps,
        )

    def _sink(self, *, view: View, place: Spot, handling: Handling) -> float:
        """Level until the path, which a quarter of the circle makes 0.57 of its radius longer than straight ahead."""
        level_fpm = climb_to_level(
            view=view, altitude_ft=self.altitude_ft, climb_fpm=LEVEL_CLIMB_FPM, sink_fpm=handling.sink_fpm
        )
        return min(level_fpm, sink_to_path(view=view, end=self.end, place=place, most_fpm=handling.sink_fpm))

    def done(self, *, view: View) -> bool:
        """Say whether it is established on final."""
        place = spot(view=view, end=self.end)
        off_deg = abs(difference_deg(view.track_true_deg, self.end.course_true_deg))
        return abs(place.offset_ft) <= ESTABLISHED_FT and off_deg <= TURNED_DEG


def steer(*, end: RunwayEnd, place: Spot) -> float:
    """Return the heading that keeps or regains a runway's centreline on the ground."""
    return end.course_true_deg - clamp(0.15 * place.offset_ft, -8.0, 8.0)


def climb_pitch(*, view: View, handling: Handling, airspeed_kt: float | None = None) -> float:
    """Return the pitch that climbs at a speed, the climbing speed unless told."""
    excess_kt = view.airspeed_kt - (handling.climb_kt if airspeed_kt is None else airspeed_kt)
    return clamp(handling.climb_pitch_deg + 0.5 * excess_kt, 0.0, handling.most_pitch_deg)


def level(
    *,
    view: View,
    handling: Handling,
    track_true_deg: float,
    altitude_ft: float,
    airspeed_kt: float,
    flaps: float = 0.0,
    sink_fpm: float | None = None,
) -> Demand:
    """Return what keeps a track, an altitude and a speed; far below the altitude it climbs at full power."""
    bank = bank_to_track(view=view, track_true_deg=track_true_deg, handling=handling)
    if altitude_ft - view.altitude_ft > max(CLIMBING_FT, view.vertical_speed_fpm * LEVEL_OFF_MIN):
        return Demand(bank_deg=bank, pitch_deg=climb_pitch(view=view, handling=handling), throttle=1.0, flaps=flaps)
    vertical = climb_to_level(
        view=view, altitude_ft=altitude_ft, climb_fpm=handling.climb_fpm, sink_fpm=sink_fpm or handling.sink_fpm
    )
    return Demand(bank_deg=bank, vertical_speed_fpm=vertical, airspeed_kt=airspeed_kt, flaps=flaps)


CLIMBING_FT = 150.0
LEVEL_OFF_MIN = 0.2
"""The climb is levelled off from so many minutes below the altitude."""
