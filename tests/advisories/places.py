"""Invented runways for tests, and positions given as a runway sees them."""

import math

from otherseat.advisories.runway import Airfield, Runway, RunwayEnd
from otherseat.advisories.units import M_PER_FT

M_PER_DEG = 111_000.0


def offset_position(
    *, latitude_deg: float, longitude_deg: float, course_true_deg: float, along_ft: float, across_ft: float = 0.0
) -> tuple[float, float]:
    """Return latitude and longitude of a point by the spherical direct formula, good to 0.5 % of the distance."""
    distance = math.hypot(along_ft, across_ft) * M_PER_FT / 6_371_000.0
    course = math.radians(course_true_deg) + math.atan2(across_ft, along_ft)
    lat = math.radians(latitude_deg)
    to_lat = math.asin(math.sin(lat) * math.cos(distance) + math.cos(lat) * math.sin(distance) * math.cos(course))
    to_lon = math.atan2(
        math.sin(course) * math.sin(distance) * math.cos(lat), math.cos(distance) - math.sin(lat) * math.sin(to_lat)
    )
    return math.degrees(to_lat), longitude_deg + math.degrees(to_lon)


def seen_from(end: RunwayEnd, *, along_ft: float, across_ft: float = 0.0) -> tuple[float, float]:
    """Return the position so far beyond an end's threshold and right of its centreline."""
    return offset_position(
        latitude_deg=end.latitude_deg,
        longitude_deg=end.longitude_deg,
        course_true_deg=end.course_true_deg,
        along_ft=along_ft,
        across_ft=across_ft,
    )


def make_runway(
    *,
    airfield: str,
    names: tuple[str, str],
    at: tuple[float, float],
    course_true_deg: float,
    length_ft: float = 6_000.0,
    width_ft: float = 100.0,
    elevation_ft: float = 0.0,
) -> Runway:
    """Make a runway from the position of its first end."""
    far = offset_position(latitude_deg=at[0], longitude_deg=at[1], course_true_deg=course_true_deg, along_ft=length_ft)
    first, second = (
        RunwayEnd(
            airfield=airfield,
            runway=name,
            opposite=other,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            elevation_ft=elevation_ft,
            course_true_deg=course % 360.0,
            length_ft=length_ft,
            width_ft=width_ft,
        )
        for name, other, (latitude_deg, longitude_deg), course in (
            (names[0], names[1], at, course_true_deg),
            (names[1], names[0], far, course_true_deg + 180.0),
        )
    )
    return Runway(ends=(first, second))


def parallels(*, apart_ft: float = 700.0) -> Airfield:
    """Make an invented airfield with two parallels, 27L left of 27R, and 36 crossing both."""
    left = make_runway(airfield="ZZPS", names=("27L", "09R"), at=(-40.0, -120.0), course_true_deg=270.0)
    right = make_runway(
        airfield="ZZPS",
        names=("27R", "09L"),
        at=seen_from(left.ends[0], along_ft=0.0, across_ft=apart_ft),
        course_true_deg=270.0,
    )
    crossing = make_runway(
        airfield="ZZPS",
        names=("36", "18"),
        at=seen_from(left.ends[0], along_ft=2_000.0, across_ft=-3_000.0),
        course_true_deg=0.0,
    )
    return Airfield(
        ident="ZZPS",
        name="Petrel Sound",
        latitude_deg=-40.0,
        longitude_deg=-120.0,
        elevation_ft=0.0,
        runways=(left, right, crossing),
    )
