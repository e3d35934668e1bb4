"""Route: which point is next, how far it is to go, and which one was passed last.

A fix is passed when it lies behind: the way to it points more than 90 deg off the leg that leads to it (off the track,
for the first one), within ABEAM_NM of it. A fix that is never neared stays next: nobody knows that it was left out.
Distances and courses by geodesic; legs are measured once.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from otherseat.advisories import geodesic
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.plan import Fix

ABEAM_NM = 5.0
BEHIND_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Point:
    """A point of the route, or its end."""

    name: str
    latitude_deg: float
    longitude_deg: float


@dataclass(frozen=True, slots=True)
class Way:
    """Where the aircraft is along its route."""

    next_point: str
    is_fix: bool
    """False when the destination is next."""
    distance_nm: float
    bearing_deg: float
    to_go_nm: float
    """By way of every point that is left."""
    last_fix: str | None = None
    past_nm: float | None = None
    """From the last fix, since it was passed."""


@dataclass(frozen=True, slots=True)
class _Leg:
    length_nm: float
    course_deg: float
    """At its end."""


class Route:
    """One route's progress over time."""

    def __init__(self, *, fixes: Sequence[Fix], destination: Point) -> None:
        self._points = [
            *(Point(name=f.name, latitude_deg=f.latitude_deg, longitude_deg=f.longitude_deg) for f in fixes),
            destination,
        ]
        self._legs = [_leg(a, b) for a, b in zip(self._points, self._points[1:], strict=False)]
        self._next = 0
        self._passed: Point | None = None

    def step(self, *, latitude_deg: float, longitude_deg: float, track_true_deg: float | None) -> Way:
        """Take in a position and return the way from there."""
        distance_nm, bearing_deg = _from(latitude_deg, longitude_deg, self._points[self._next])
        while self._is_passed(distance_nm=distance_nm, bearing_deg=bearing_deg, track_deg=track_true_deg):
            self._passed = self._points[self._next]
            self._next += 1
            distance_nm, bearing_deg = _from(latitude_deg, longitude_deg, self._points[self._next])
        past_nm = None if self._passed is None else _from(latitude_deg, longitude_deg, self._passed)[0]
        return Way(
            next_point=self._points[self._next].name,
            is_fix=self._next < len(self._points) - 1,
            distance_nm=distance_nm,
            bearing_deg=bearing_deg,
            to_go_nm=distance_nm + sum(leg.length_nm for leg in self._legs[self._next :]),
            last_fix=None if self._passed is None else self._passed.name,
            past_nm=past_nm,
        )

    def _is_passed(self, *, distance_nm: float, bearing_deg: float, track_deg: float | None) -> bool:
        if self._next == len(self._points) - 1 or distance_nm > ABEAM_NM:
            return False
        leg_deg = self._legs[self._next - 1].course_deg if self._next > 0 else track_deg
        return leg_deg is not None and abs(difference_deg(bearing_deg, leg_deg)) > BEHIND_DEG


def _leg(a: Point, b: Point) -> _Leg:
    length_nm, back_deg = _from(b.latitude_deg, b.longitude_deg, a)
    return _Leg(length_nm=length_nm, course_deg=(back_deg + 180.0) % 360.0)


def _from(latitude_deg: float, longitude_deg: float, point: Point) -> tuple[float, float]:
    return geodesic.quick_distance_nm_and_course_deg(
        from_latitude_deg=latitude_deg,
        from_longitude_deg=longitude_deg,
        to_latitude_deg=point.latitude_deg,
        to_longitude_deg=point.longitude_deg,
    )
