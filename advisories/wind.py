"""Wind: the wind triangle, and its parts along and across a course.

Ground vector = air vector + wind vector, with the wind vector pointing where the wind blows to; a wind is named by
where it comes from. Headwind is positive, a tailwind negative; a crosswind is positive from the right. All directions
of one call have one north, true unless the name says otherwise. Speeds in knots, directions in degrees.
Source: plane vector geometry; FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), ch. 16, wind triangle.
"""

import math
from dataclasses import dataclass

from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.real import Real, arcsin, arctan2, cos, degrees, hypot, radians, require, sin, sqrt


def wind_from_triangle(
    *, true_airspeed_kt: Real, heading_true_deg: Real, groundspeed_kt: Real, track_true_deg: Real
) -> tuple[Real, Real]:
    """Return where the wind comes from, in [0, 360), and its speed."""
    heading, track = radians(heading_true_deg), radians(track_true_deg)
    from_east = true_airspeed_kt * sin(heading) - groundspeed_kt * sin(track)
    from_north = true_airspeed_kt * cos(heading) - groundspeed_kt * cos(track)
    return normal_deg(degrees(arctan2(from_east, from_north))), hypot(from_east, from_north)


def components_kt(*, wind_from_true_deg: Real, wind_speed_kt: Real, course_true_deg: Real) -> tuple[Real, Real]:
    """Return headwind and crosswind on a course or runway."""
    angle = radians(wind_from_true_deg - course_true_deg)
    return wind_speed_kt * cos(angle), wind_speed_kt * sin(angle)


def track_and_groundspeed(
    *, heading_deg: Real, true_airspeed_kt: Real, wind_from_deg: Real, wind_speed_kt: Real
) -> tuple[Real, Real]:
    """Return the track, in [0, 360), and the groundspeed that a heading makes."""
    heading, wind_from = radians(heading_deg), radians(wind_from_deg)
    east = true_airspeed_kt * sin(heading) - wind_speed_kt * sin(wind_from)
    north = true_airspeed_kt * cos(heading) - wind_speed_kt * cos(wind_from)
    return normal_deg(degrees(arctan2(east, north))), hypot(east, north)


def heading_and_groundspeed(
    *, course_deg: Real, true_airspeed_kt: Real, wind_from_deg: Real, wind_speed_kt: Real
) -> tuple[Real, Real]:
    """Return the heading, in [0, 360), that makes a course good, and the groundspeed along it.

    A negative groundspeed means that the course can be held only backwards. Raises DomainError when the crosswind is
    stronger than the true airspeed: then no heading holds the course.
    """
    head_kt, cross_kt = components_kt(
        wind_from_true_deg=wind_from_deg, wind_speed_kt=wind_speed_kt, course_true_deg=course_deg
    )
    ratio = cross_kt / true_airspeed_kt
    require(name="crosswind over true airspeed", value=ratio, low=-1.0, high=1.0)
    return (
        normal_deg(course_deg + degrees(arcsin(ratio))),
        true_airspeed_kt * sqrt(1.0 - ratio * ratio) - head_kt,
    )


def drift_deg(*, heading_deg: Real, track_deg: Real) -> Real:
    """Return how far the track lies right of the heading, in [-180, 180)."""
    return difference_deg(track_deg, heading_deg)


@dataclass(frozen=True, slots=True)
class RunwayWind:
    """A wind as a runway sees it: as reported, and at its worst within gusts and the range of its direction."""

    headwind_kt: float
    crosswind_kt: float
    """From the right is positive."""
    worst_tailwind_kt: float
    """0 when there is none."""
    worst_crosswind_kt: float
    """Without sign."""


def runway_wind(
    *,
    wind_from_true_deg: float,
    wind_speed_kt: float,
    course_true_deg: float,
    gust_kt: float | None = None,
    variable_deg: tuple[float, float] | None = None,
) -> RunwayWind:
    """Return the wind on a runway. variable_deg: the range of the direction, clockwise, as in 180V240."""
    low_deg, high_deg = variable_deg or (wind_from_true_deg, wind_from_true_deg)
    most_kt = max(wind_speed_kt, gust_kt or 0.0)
    head_kt, cross_kt = components_kt(
        wind_from_true_deg=wind_from_true_deg, wind_speed_kt=wind_speed_kt, course_true_deg=course_true_deg
    )
    near_tail_deg = _nearest_deg(course_true_deg + 180.0, low_deg, high_deg)
    across_deg = [
        _nearest_deg(course_true_deg + side_deg, low_deg, high_deg) - course_true_deg for side_deg in (90.0, -90.0)
    ]
    return RunwayWind(
        headwind_kt=head_kt,
        crosswind_kt=cross_kt,
        worst_tailwind_kt=max(0.0, -most_kt * math.cos(math.radians(near_tail_deg - course_true_deg))),
        worst_crosswind_kt=max(most_kt * abs(math.sin(math.radians(angle_deg))) for angle_deg in across_deg),
    )


def _nearest_deg(wanted_deg: float, low_deg: float, high_deg: float) -> float:
    """Return the direction of the range, clockwise from low to high, that lies nearest to the wanted one."""
    if (wanted_deg - low_deg) % 360.0 <= (high_deg - low_deg) % 360.0:
        return wanted_deg
    return min(low_deg, high_deg, key=lambda end_deg: abs(difference_deg(end_deg, wanted_deg)))
