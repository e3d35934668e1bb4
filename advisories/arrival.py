"""How an aircraft stands towards one runway end: the numbers of a visual approach.

Distances run along the extended centreline from the landing threshold, positive before it; offset is positive to
the right of the landing direction. Heights are above the threshold, as an altimeter shows them, so the path is
the handbook's: threshold crossing height plus distance times the tangent of the angle.
"""

import math
from dataclasses import dataclass

from otherseat.advisories import path, wind
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.runway import RunwayEnd, frame_of
from otherseat.advisories.units import FT_PER_NM, M_PER_FT, M_PER_NM

GATES_FT = (1_000.0, 500.0)
"""Heights above the field at which an approach should be stable (FSF ALAR briefing note 7.1)."""
MOST_SINK_FPM = 1_500.0
"""Steeper than this nobody should go to meet the first gate; the next one is tried. Common practice, no source."""
PATH_WITHIN_NM = 20.0
CLOSING_ANGLE_DEG = 80.0
LEAST_DISTANCE_NM = 0.05


@dataclass(frozen=True, slots=True)
class Approach:
    """Where the aircraft is as the runway end sees it; named as in Picture."""

    distance_to_threshold_nm: float
    offset_ft: float
    course_difference_deg: float | None = None
    height_above_threshold_ft: float | None = None
    path_height_ft: float | None = None
    height_above_path_ft: float | None = None
    path_deviation_deg: float | None = None
    sink_to_hold_fpm: float | None = None
    sink_to_regain_fpm: float | None = None
    next_gate_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Motion:
    """The aircraft, as far as an approach needs it."""

    latitude_deg: float
    longitude_deg: float
    altitude_ft: float | None
    groundspeed_kt: float | None
    track_true_deg: float | None


def approach_to(*, end: RunwayEnd, motion: Motion, path_angle_deg: float) -> Approach:
    """Return how the aircraft stands towards the end; what can't be known is None."""
    height_m = end.elevation_ft * M_PER_FT
    along_m, across_m, _ = frame_of(end).locate(
        latitude_deg=motion.latitude_deg, longitude_deg=motion.longitude_deg, height_m=height_m
    )
    distance_nm = -along_m / M_PER_NM
    course_difference = (
        None if motion.track_true_deg is None else difference_deg(motion.track_true_deg, end.course_true_deg)
    )
    base = Approach(
        distance_to_threshold_nm=distance_nm,
        offset_ft=across_m / M_PER_FT,
        course_difference_deg=course_difference,
        height_above_threshold_ft=None if motion.altitude_ft is None else motion.altitude_ft - end.elevation_ft,
    )
    if not LEAST_DISTANCE_NM < distance_nm < PATH_WITHIN_NM or base.height_above_threshold_ft is None:
        return base
    return _with_path(base=base, end=end, groundspeed_kt=motion.groundspeed_kt, path_angle_deg=path_angle_deg)


def _with_path(*, base: Approach, end: RunwayEnd, groundspeed_kt: float | None, path_angle_deg: float) -> Approach:
    distance_nm, height_ft = base.distance_to_threshold_nm, base.height_above_threshold_ft
    if height_ft is None:
        return base
    crossing_ft = end.threshold_crossing_height_ft
    path_height_ft = path.path_height_ft(
        distance_nm=distance_nm, angle_deg=path_angle_deg, threshold_crossing_height_ft=crossing_ft
    )
    closing_kt = closing_speed_kt(groundspeed_kt=groundspeed_kt, course_difference_deg=base.course_difference_deg)
    gate_ft, regain_fpm = regain(
        height_ft=height_ft,
        distance_nm=distance_nm,
        closing_kt=closing_kt,
        path_angle_deg=path_angle_deg,
        crossing_ft=crossing_ft,
    )
    return Approach(
        distance_to_threshold_nm=distance_nm,
        offset_ft=base.offset_ft,
        course_difference_deg=base.course_difference_deg,
        height_above_threshold_ft=height_ft,
        path_height_ft=path_height_ft,
        height_above_path_ft=height_ft - path_height_ft,
        path_deviation_deg=path.deviation_deg(
            height_ft=height_ft,
            distance_nm=distance_nm,
            angle_deg=path_angle_deg,
            threshold_crossing_height_ft=crossing_ft,
        ),
        sink_to_hold_fpm=None
        if closing_kt is None
        else path.sink_rate_to_hold_fpm(groundspeed_kt=closing_kt, angle_deg=path_angle_deg),
        sink_to_regain_fpm=regain_fpm,
        next_gate_ft=gate_ft,
    )


def closing_speed_kt(*, groundspeed_kt: float | None, course_difference_deg: float | None) -> float | None:
    """Return the groundspeed along the landing course; None when not known or not flying towards the runway."""
    if groundspeed_kt is None or course_difference_deg is None:
        return None
    if abs(course_difference_deg) > CLOSING_ANGLE_DEG:
        return None
    return groundspeed_kt * math.cos(math.radians(course_difference_deg))


def closes_on_centreline(
    *, offset_ft: float, course_difference_deg: float, distance_nm: float, least_deg: float = 1.0
) -> bool:
    """Say whether the track, at least_deg or more towards the centreline, meets it before the threshold."""
    towards_deg = -course_difference_deg if offset_ft > 0.0 else course_difference_deg
    reach_ft = distance_nm * FT_PER_NM * math.tan(math.radians(min(max(towards_deg, 0.0), CLOSING_ANGLE_DEG)))
    return towards_deg >= least_deg and reach_ft >= abs(offset_ft)


def regain(
    *, height_ft: float, distance_nm: float, closing_kt: float | None, path_angle_deg: float, crossing_ft: float
) -> tuple[float | None, float | None]:
    """Return the first gate at which the path can still be regained and the sink rate for it, or None, None."""
    if closing_kt is None or closing_kt <= 0.0:
        return None, None
    for gate_ft in GATES_FT:
        rate_fpm = path.sink_rate_to_regain_fpm(
            height_ft=height_ft,
            distance_nm=distance_nm,
            gate_height_ft=gate_ft,
            groundspeed_kt=closing_kt,
            angle_deg=path_angle_deg,
            threshold_crossing_height_ft=crossing_ft,
        )
        if rate_fpm is not None and rate_fpm <= MOST_SINK_FPM:
            return gate_ft, rate_fpm
    return None, None


def wind_components_kt(
    *, end: RunwayEnd, wind_from_true_deg: float | None, wind_speed_kt: float | None
) -> tuple[float, float] | tuple[None, None]:
    """Return head- and crosswind on the end, crosswind from the right positive."""
    if wind_from_true_deg is None or wind_speed_kt is None:
        return None, None
    return wind.components_kt(
        wind_from_true_deg=wind_from_true_deg, wind_speed_kt=wind_speed_kt, course_true_deg=end.course_true_deg
    )
