"""Geodesics on WGS-84: distance and course between places, and the place at the end of one.

exact  C. F. F. Karney, Algorithms for geodesics (J. Geodesy 87, 2013), through his geographiclib: nanometres at any
       distance, over the poles and the antimeridian, about 35 us a call. For plans, routes, and 10 Hz.
near   the chord between two earth-centred points and its direction on the level plane of the first, about 2 us: within
       0.1 m and 0.0001 deg up to 100 NM, 10 m and 0.001 deg up to 500 NM (measured by its test). For every state.
Inside 30 NM of a runway earth.RunwayFrame is better than both: it gives along and across at 0.5 us.
Latitudes in degrees north, longitudes in degrees east (any turn of them), courses in degrees true; floats only.
"""

import math

from geographiclib.geodesic import Geodesic

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.earth import WGS84_A_M, WGS84_E2, earth_centred_m
from otherseat.advisories.units import M_PER_FT, M_PER_NM

_WGS84 = Geodesic.WGS84

QUICK_WITHIN_NM = 300.0
_INVERSE = Geodesic.DISTANCE | Geodesic.AZIMUTH
_DIRECT = Geodesic.LATITUDE | Geodesic.LONGITUDE
_MEAN_RADIUS_M = 6_371_008.8


def distance_nm_and_course_deg(
    *, from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the distance, and the course in [0, 360) with which the geodesic sets out. Exact."""
    line = _WGS84.Inverse(from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg, _INVERSE)
    return line["s12"] / M_PER_NM, normal_deg(line["azi1"])


def near_distance_nm_and_course_deg(
    *, from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the same for places up to 500 NM apart, quickly and nearly."""
    x, y, z = earth_centred_m(latitude_deg=from_latitude_deg, longitude_deg=from_longitude_deg, height_m=0.0)
    to_x, to_y, to_z = earth_centred_m(latitude_deg=to_latitude_deg, longitude_deg=to_longitude_deg, height_m=0.0)
    dx, dy, dz = to_x - x, to_y - y, to_z - z
    latitude, longitude = math.radians(from_latitude_deg), math.radians(from_longitude_deg)
    sin_longitude, cos_longitude = math.sin(longitude), math.cos(longitude)
    east = dy * cos_longitude - dx * sin_longitude
    north = dz * math.cos(latitude) - (dx * cos_longitude + dy * sin_longitude) * math.sin(latitude)
    half = math.sqrt(dx * dx + dy * dy + dz * dz) / (2.0 * _MEAN_RADIUS_M)
    distance_m = 2.0 * _MEAN_RADIUS_M * math.asin(min(1.0, half))
    return distance_m / M_PER_NM, normal_deg(math.degrees(math.atan2(east, north)))


def destination_point(
    *, latitude_deg: float, longitude_deg: float, course_true_deg: float, distance_nm: float
) -> tuple[float, float]:
    """Return latitude and longitude, in [-180, 180], of the end of a geodesic; a negative distance leads back."""
    line = _WGS84.Direct(latitude_deg, longitude_deg, course_true_deg, distance_nm * M_PER_NM, _DIRECT)
    return line["lat2"], line["lon2"]


def landing_threshold(
    *, latitude_deg: float, longitude_deg: float, course_true_deg: float, displaced_ft: float
) -> tuple[float, float]:
    """Return the place of a threshold that is displaced from the end of the surface."""
    return destination_point(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        course_true_deg=course_true_deg,
        distance_nm=displaced_ft * M_PER_FT / M_PER_NM,
    )


def quick_distance_nm_and_course_deg(
    *, from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the same as distance_nm_and_course_deg, a tenth as dear; beyond QUICK_WITHIN_NM the exact one is asked."""
    here = earth_centred_m(latitude_deg=from_latitude_deg, longitude_deg=from_longitude_deg, height_m=0.0)
    there = earth_centred_m(latitude_deg=to_latitude_deg, longitude_deg=to_longitude_deg, height_m=0.0)
    x, y, z = there[0] - here[0], there[1] - here[1], there[2] - here[2]
    chord_m = math.sqrt(x * x + y * y + z * z)
    if chord_m > QUICK_WITHIN_NM * M_PER_NM:
        return distance_nm_and_course_deg(
            from_latitude_deg=from_latitude_deg,
            from_longitude_deg=from_longitude_deg,
            to_latitude_deg=to_latitude_deg,
            to_longitude_deg=to_longitude_deg,
        )
    latitude, longitude = math.radians(from_latitude_deg), math.radians(from_longitude_deg)
    sin_longitude, cos_longitude = math.sin(longitude), math.cos(longitude)
    east = y * cos_longitude - x * sin_longitude
    north = z * math.cos(latitude) - math.sin(latitude) * (x * cos_longitude + y * sin_longitude)
    course = math.atan2(east, north)
    middle = math.radians((from_latitude_deg + to_latitude_deg) / 2.0)
    twice_m = 2.0 * _euler_radius_m(latitude=middle, course=course)
    arc_m = twice_m * math.asin(min(chord_m / twice_m, 1.0))
    return arc_m / M_PER_NM, math.degrees(course) % 360.0


def _euler_radius_m(*, latitude: float, course: float) -> float:
    """Return the radius of curvature of the ellipsoid along a course; angles in radians."""
    squeezed = 1.0 - WGS84_E2 * math.sin(latitude) ** 2
    prime_vertical_m = WGS84_A_M / math.sqrt(squeezed)
    meridian_m = prime_vertical_m * (1.0 - WGS84_E2) / squeezed
    return 1.0 / (math.cos(course) ** 2 / meridian_m + math.sin(course) ** 2 / prime_vertical_m)
