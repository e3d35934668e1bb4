"""Geodesics on WGS-84: exact distance and course between places, and the place at the end of one.

Exact   C. F. F. Karney, Algorithms for geodesics (J. Geodesy 87, 2013), through his geographiclib: nanometres at any
        distance, over the poles and the antimeridian, 33 us a call. For plans, routes, and anything at 1 to 10 Hz.
Quick   for a destination or a runway at every state use earth.RunwayFrame.
Latitudes in degrees north, longitudes in degrees east (any turn of them), courses in degrees true.
"""

from geographiclib.geodesic import Geodesic

from otherseat.advisories.units import M_PER_NM

_WGS84 = Geodesic.WGS84


def distance_nm_and_course_deg(
    *, from_latitude_deg: float, from_longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the distance, and the course in [0, 360) with which the geodesic sets out."""
    line = _WGS84.Inverse(from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg, _INVERSE)
    return line["s12"] / M_PER_NM, line["azi1"] % 360.0


def destination_point(
    *, latitude_deg: float, longitude_deg: float, course_true_deg: float, distance_nm: float
) -> tuple[float, float]:
    """Return latitude and longitude, in [-180, 180), of the end of a geodesic."""
    line = _WGS84.Direct(latitude_deg, longitude_deg, course_true_deg, distance_nm * M_PER_NM, _DIRECT)
    return line["lat2"], line["lon2"]


_INVERSE = Geodesic.DISTANCE | Geodesic.AZIMUTH
_DIRECT = Geodesic.LATITUDE | Geodesic.LONGITUDE
