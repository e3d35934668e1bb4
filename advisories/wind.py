"""Wind: the wind triangle, and its parts along and across a course.

Ground vector = air vector + wind vector, with the wind vector pointing where the wind blows to; a wind is named by
where it comes from. Headwind is positive, a tailwind negative; a crosswind is positive from the right. All directions
of one call have one north, true unless the name says otherwise. Speeds in knots, directions in degrees.
Source: plane vector geometry; FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), ch. 16, wind triangle.
"""

from otherseat.advisories.real import Real, arcsin, arctan2, cos, degrees, hypot, radians, require, sin, sqrt

CALM_KT = 1e-9
"""Below this a wind has no direction; it is given as from 0."""


def wind_from_triangle(
    *, true_airspeed_kt: Real, heading_true_deg: Real, groundspeed_kt: Real, track_true_deg: Real
) -> tuple[Real, Real]:
    """Return where the wind comes from, in [0, 360), and its speed."""
    heading, track = radians(heading_true_deg), radians(track_true_deg)
    from_east = true_airspeed_kt * sin(heading) - groundspeed_kt * sin(track)
    from_north = true_airspeed_kt * cos(heading) - groundspeed_kt * cos(track)
    return degrees(arctan2(from_east, from_north)) % 360.0, hypot(from_east, from_north)


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
    return degrees(arctan2(east, north)) % 360.0, hypot(east, north)


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
        (course_deg + degrees(arcsin(ratio))) % 360.0,
        true_airspeed_kt * sqrt(1.0 - ratio * ratio) - head_kt,
    )


def drift_deg(*, heading_deg: Real, track_deg: Real) -> Real:
    """Return how far the track lies right of the heading, in [-180, 180)."""
    return (track_deg - heading_deg + 180.0) % 360.0 - 180.0
