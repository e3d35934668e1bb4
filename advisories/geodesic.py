"""Geodesics on WGS-84: distance and course between places, and the place at the end of one.

exact  C. F. F. Karney, Algorithms for geodesics (J. Geodesy 87, 2013), through his geographiclib: nanometres at any
       distance, over the poles and the antimeridian, about 35 us a call. For plans, routes, and 10 Hz.
quick  the chord between two earth-centred points, as an arc of the mean sphere, and its direction on the level plane of
       the first, about 2 us: within 0.1 m and 0.0001 deg up to 100 NM, 2 m and 0.0003 deg up to 300 NM (measured by
       its test), beyond that the exact one. For every state.
Near a runway earth.RunwayFrame is better than both: it gives along and across at 0.5 us.
Latitudes in degrees north, longitudes in degrees east (any turn of them), courses in degrees true; floats only.
"""

import math

from geographiclib.geodesic import Geodesic

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.earth import earth_centred_m
from otherseat.advisories.units import M_PER_FT, M_PER_NM

QUICK_WITHIN_NM = 300.0
_WGS84 = Geodesic.WGS84
_INVERSE = Geodesic.DISTANCE | Geodesic.AZIMUTH
_DIRECT = Geodesic.LATITUDE | Geodesic.LONGITUDE
_DIAMETER_M = 2.0 * 6_371_008.8
"""Mean radius of WGS-84 (IUGG)."""


def distance_nm_and_course_deg(
    *, from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the distance, and the course in [0, 360) with which the geodesic sets out. Exact."""
    line = _WGS84.Inverse(from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg, _INVERSE)
    return line["s12"] / M_PER_NM, normal_deg(line["azi1"])


def quick_distance_nm_and_course_deg(
    *, from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the same, quickly and nearly; beyond QUICK_WITHIN_NM the exact one is asked."""
    x, y, z = earth_centred_m(latitude_deg=from_latitude_deg, longitude_deg=from_longitude_deg, height_m=0.0)
    to_x, to_y, to_z = earth_centred_m(latitude_deg=to_latitude_deg, longitude_deg=to_longitude_deg, height_m=0.0)
    dx, dy, dz = to_x - x, to_y - y, to_z - z
    chord_m = math.sqrt(dx * dx + dy * dy + dz * dz)
    if chord_m > QUICK_WITHIN_NM * M_PER_NM:
        return distance_nm_and_course_deg(
            from_latitude_deg=from_latitude_deg,
            from_longitude_deg=from_longitude_deg,
            to_latitude_deg=to_latitude_deg,
            to_longitude_deg=to_longitude_deg,
        )
    latitude, longitude = math.radians(from_latitude_deg), math.radians(from_longitude_deg)
    sin_longitude, cos_longitude = math.sin(longitude), math.cos(longitude)
    east = dy * cos_longitude - dx * sin_longitude
    north = dz * math.cos(latitude) - (dx * cos_longitude + dy * sin_longitude) * math.sin(latitude)
    distance_m = _DIAMETER_M * math.asin(chord_m / _DIAMETER_M)
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
