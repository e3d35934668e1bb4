"""Scripted flights for tests: states along straight lines, and two invented airfields to fly between.

Real motion comes from the flight model in the end-to-end tests; these make one rule visible at a time.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

from otherseat.advisories import geodesic
from otherseat.advisories.plan import Plan, ResolvedPlan, resolve
from otherseat.advisories.runway import Airfield, Runway, RunwayEnd, RunwayTable
from otherseat.advisories.state import State
from otherseat.advisories.units import FPM_PER_KT, FT_PER_NM

FIELD_ELEVATION_FT = 200.0


def make_runway(
    *,
    airfield: str,
    names: tuple[str, str],
    latitude_deg: float,
    longitude_deg: float,
    course_true_deg: float,
    length_ft: float = 6_000.0,
) -> Runway:
    """Return a runway whose first end's threshold is at the point given."""
    far = geodesic.destination_point(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        course_true_deg=course_true_deg,
        distance_nm=length_ft / FT_PER_NM,
    )
    first = RunwayEnd(
        airfield=airfield,
        runway=names[0],
        opposite=names[1],
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        elevation_ft=FIELD_ELEVATION_FT,
        course_true_deg=course_true_deg,
        length_ft=length_ft,
        width_ft=100.0,
    )
    other = replace(
        first,
        runway=names[1],
        opposite=names[0],
        latitude_deg=far[0],
        longitude_deg=far[1],
        course_true_deg=(course_true_deg + 180.0) % 360.0,
    )
    return Runway(ends=(first, other))


def make_table() -> RunwayTable:
    """Return ZZAA with 09/27 and 18/36, and ZZBB, 30 NM east of it, with parallels 09L/27R and 09R/27L."""
    south = geodesic.destination_point(latitude_deg=10.0, longitude_deg=20.5, course_true_deg=180.0, distance_nm=0.12)
    crossing = geodesic.destination_point(latitude_deg=10.0, longitude_deg=20.0, course_true_deg=45.0, distance_nm=0.6)
    fields = {
        "ZZAA": [
            make_runway(
                airfield="ZZAA", names=("09", "27"), latitude_deg=10.0, longitude_deg=20.0, course_true_deg=90.0
            ),
            make_runway(
                airfield="ZZAA",
                names=("18", "36"),
                latitude_deg=crossing[0],
                longitude_deg=crossing[1],
                course_true_deg=180.0,
            ),
        ],
        "ZZBB": [
            make_runway(
                airfield="ZZBB", names=("09L", "27R"), latitude_deg=10.0, longitude_deg=20.5, course_true_deg=90.0
            ),
            make_runway(
                airfield="ZZBB",
                names=("09R", "27L"),
                latitude_deg=south[0],
                longitude_deg=south[1],
                course_true_deg=90.0,
            ),
        ],
    }
    return RunwayTable(
        Airfield(
            ident=ident,
            name=f"Test island {ident}",
            latitude_deg=runways[0].ends[0].latitude_deg,
            longitude_deg=runways[0].ends[0].longitude_deg,
            elevation_ft=FIELD_ELEVATION_FT,
            runways=tuple(runways),
        )
        for ident, runways in fields.items()
    )


def make_plan(table: RunwayTable, **values: object) -> ResolvedPlan:
    """Return a resolved plan from ZZAA/09 to ZZBB/09L, or with other values."""
    return resolve(
        plan=Plan.model_validate({"departure": "ZZAA/09", "destination": "ZZBB/09L", **values}), runways=table
    )


def straight(
    *,
    latitude_deg: float,
    longitude_deg: float,
    track_true_deg: float,
    groundspeed_kt: float,
    altitude_ft: float,
    climb_fpm: float = 0.0,
    from_s: float = 0.0,
    seconds: float = 60.0,
    rate_hz: float = 4.0,
    **more: object,
) -> Iterator[State]:
    """Yield states along a straight line from the point given."""
    for count in range(int(seconds * rate_hz) + 1):
        elapsed_s = count / rate_hz
        here = geodesic.destination_point(
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            course_true_deg=track_true_deg,
            distance_nm=groundspeed_kt * elapsed_s / 3_600.0,
        )
        values: dict[str, object] = {
            "on_ground": False,
            "latitude_deg": here[0],
            "longitude_deg": here[1],
            "altitude_ft": altitude_ft + climb_fpm * elapsed_s / 60.0,
            "groundspeed_kt": groundspeed_kt,
            "track_true_deg": track_true_deg,
            "heading_true_deg": track_true_deg,
            "vertical_speed_fpm": climb_fpm,
        }
        yield State(time_s=from_s + elapsed_s, **{**values, **more})  # type: ignore[arg-type]  # names checked by use


def final(
    *,
    end: RunwayEnd,
    distance_nm: float,
    above_path_ft: float = 0.0,
    offset_ft: float = 0.0,
    groundspeed_kt: float = 90.0,
    angle_deg: float = 3.0,
    seconds: float = 60.0,
    from_s: float = 0.0,
    **more: object,
) -> Iterator[State]:
    """Yield states on final, parallel to the path of angle_deg and above_path_ft above it."""
    here = geodesic.destination_point(
        latitude_deg=end.latitude_deg,
        longitude_deg=end.longitude_deg,
        course_true_deg=end.course_true_deg + 180.0,
        distance_nm=distance_nm,
    )
    if offset_ft:
        here = geodesic.destination_point(
            latitude_deg=here[0],
            longitude_deg=here[1],
            course_true_deg=end.course_true_deg + 90.0,
            distance_nm=offset_ft / FT_PER_NM,
        )
    gradient = tangent(angle_deg)
    height_ft = end.threshold_crossing_height_ft + distance_nm * FT_PER_NM * gradient + above_path_ft
    return straight(
        latitude_deg=here[0],
        longitude_deg=here[1],
        track_true_deg=end.course_true_deg,
        groundspeed_kt=groundspeed_kt,
        altitude_ft=end.elevation_ft + height_ft,
        climb_fpm=-groundspeed_kt * FPM_PER_KT * gradient,
        seconds=seconds,
        from_s=from_s,
        **more,  # type: ignore[arg-type]  # names checked by use
    )


def tangent(angle_deg: float) -> float:
    """Return the gradient of a path angle."""
    return math.tan(math.radians(angle_deg))
