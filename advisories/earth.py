"""The runway frame: where an aircraft is as a runway sees it, from WGS-84 by earth-centred coordinates.

along_m   positive beyond the landing threshold in the landing direction, so negative on final
across_m  positive right of the extended centreline, looking in the landing direction
up_m      positive above the plane that touches the ellipsoid at the threshold

A geodetic position becomes earth-centred (x, y, z), then east, north, up at the threshold, then turns by the
runway's course. Source: WGS-84 (NIMA TR8350.2) a = 6378137 m, f = 1/298.257223563; the rotation as in any
geodesy handbook (Hofmann-Wellenhof, GNSS, ch. 8, from memory). Heights above mean sea level are used as heights
above the ellipsoid on both ends: the geoid's undulation scales distances by less than 2 in 100,000.
"""

import math
from dataclasses import dataclass

WGS84_A_M = 6_378_137.0
WGS84_F = 1.0 / 298.257223563
WGS84_E2 = WGS84_F * (2.0 - WGS84_F)


def earth_centred_m(*, latitude_deg: float, longitude_deg: float, height_m: float) -> tuple[float, float, float]:
    """Return earth-centred, earth-fixed x, y, z of a geodetic position."""
    latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
    sin_latitude, cos_latitude = math.sin(latitude), math.cos(latitude)
    radius = WGS84_A_M / math.sqrt(1.0 - WGS84_E2 * sin_latitude * sin_latitude)
    across = (radius + height_m) * cos_latitude
    return (
        across * math.cos(longitude),
        across * math.sin(longitude),
        (radius * (1.0 - WGS84_E2) + height_m) * sin_latitude,
    )


@dataclass(frozen=True, slots=True)
class RunwayFrame:
    """A runway end's own axes, computed once; `locate` is what runs at every state."""

    origin_m: tuple[float, float, float]
    along: tuple[float, float, float]
    across: tuple[float, float, float]
    up: tuple[float, float, float]

    @classmethod
    def at(
        cls, *, latitude_deg: float, longitude_deg: float, elevation_m: float, course_true_deg: float
    ) -> "RunwayFrame":
        """Make the frame of a landing threshold and a true course."""
        latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
        course = math.radians(course_true_deg)
        sin_lat, cos_lat = math.sin(latitude), math.cos(latitude)
        sin_lon, cos_lon = math.sin(longitude), math.cos(longitude)
        east = (-sin_lon, cos_lon, 0.0)
        north = (-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat)
        sin_course, cos_course = math.sin(course), math.cos(course)
        return cls(
            origin_m=earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=elevation_m),
            along=_mix(east, sin_course, north, cos_course),
            across=_mix(east, cos_course, north, -sin_course),
            up=(cos_lat * cos_lon, cos_lat * sin_lon, sin_lat),
        )

    def locate(self, *, latitude_deg: float, longitude_deg: float, height_m: float) -> tuple[float, float, float]:
        """Return along_m, across_m, up_m of a position."""
        x, y, z = earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=height_m)
        dx, dy, dz = x - self.origin_m[0], y - self.origin_m[1], z - self.origin_m[2]
        along, across, up = self.along, self.across, self.up
        return (
            dx * along[0] + dy * along[1] + dz * along[2],
            dx * across[0] + dy * across[1] + dz * across[2],
            dx * up[0] + dy * up[1] + dz * up[2],
        )


def _mix(
    a: tuple[float, float, float], by_a: float, b: tuple[float, float, float], by_b: float
) -> tuple[float, float, float]:
    return (a[0] * by_a + b[0] * by_b, a[1] * by_a + b[1] * by_b, a[2] * by_a + b[2] * by_b)
