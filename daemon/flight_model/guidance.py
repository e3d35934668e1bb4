"""Guidance: from where the aircraft is to what is wanted of the control loops.

turn      bank = bank_per_deg x track error, within the bank limit
line      track = course -/+ an intercept angle that grows with the offset: angle_per_ft x offset, within a limit
level     vertical speed = fpm_per_ft x height error, within limits
path      vertical speed = -groundspeed x tan(angle) - fpm_per_ft x height above the path, within limits
"""

import math
from dataclasses import dataclass

from otherseat.advisories import path
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.runway import RunwayEnd, frame_of
from otherseat.advisories.units import FT_PER_NM, M_PER_FT
from otherseat.daemon.flight_model.loops import Handling, clamp
from otherseat.daemon.flight_model.model import View

BANK_PER_DEG = 1.0
LEVEL_FPM_PER_FT = 5.0
PATH_FPM_PER_FT = 4.0
G_NM_PER_H2 = 68_625.0
"""9.80665 m/s2 in nautical miles and hours."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the aircraft is as a runway end sees it."""

    to_go_nm: float
    """Before the threshold is positive."""
    offset_ft: float
    """Right of the centreline is positive."""
    height_ft: float
    """Above the threshold's elevation."""

    @property
    def along_ft(self) -> float:
        """Distance beyond the threshold."""
        return -self.to_go_nm * FT_PER_NM


def spot(*, view: View, end: RunwayEnd) -> Spot:
    """Return the aircraft's place in the runway's frame."""
    along_m, across_m, _ = frame_of(end).locate(
        latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg, height_m=view.altitude_ft * M_PER_FT
    )
    return Spot(
        to_go_nm=-along_m / M_PER_FT / FT_PER_NM,
        offset_ft=across_m / M_PER_FT,
        height_ft=view.altitude_ft - end.elevation_ft,
    )


def bank_to_track(*, view: View, track_true_deg: float, handling: Handling) -> float:
    """Return the bank that turns the track the short way round."""
    error_deg = difference_deg(track_true_deg, view.track_true_deg)
    return clamp(BANK_PER_DEG * error_deg, -handling.most_bank_deg, handling.most_bank_deg)


def track_to_line(*, offset_ft: float, course_true_deg: float, groundspeed_kt: float, most_deg: float) -> float:
    """Return the track that closes the offset from a line in about twelve seconds, at most_deg at the steepest."""
    reach_ft = max(groundspeed_kt, 40.0) * FT_PER_NM / 3600.0 * 12.0
    return course_true_deg - clamp(math.degrees(math.atan2(offset_ft, reach_ft)), -most_deg, most_deg)


def bank_to_centreline(
    *, view: View, end: RunwayEnd, place: Spot, handling: Handling, most_deg: float, most_bank_deg: float
) -> float:
    """Return the bank that brings it onto the runway's centreline: at most_deg at the steepest, and gently."""
    track = track_to_line(
        offset_ft=place.offset_ft,
        course_true_deg=end.course_true_deg,
        groundspeed_kt=view.groundspeed_kt,
        most_deg=most_deg,
    )
    return clamp(bank_to_track(view=view, track_true_deg=track, handling=handling), -most_bank_deg, most_bank_deg)


def turn_radius_nm(*, groundspeed_kt: float, bank_deg: float) -> float:
    """Return the radius of a level turn over the ground: V^2 / (g tan(bank))."""
    return groundspeed_kt * groundspeed_kt / (G_NM_PER_H2 * math.tan(math.radians(bank_deg)))


def climb_to_level(*, view: View, altitude_ft: float, climb_fpm: float, sink_fpm: float) -> float:
    """Return the vertical speed that reaches and keeps an altitude."""
    return clamp(LEVEL_FPM_PER_FT * (altitude_ft - view.altitude_ft), -sink_fpm, climb_fpm)


def sink_to_path(*, view: View, end: RunwayEnd, place: Spot, most_fpm: float, above_ft: float = 0.0) -> float:
    """Return the vertical speed that reaches and keeps the path, or a line above_ft over it."""
    hold_fpm = path.sink_rate_to_hold_fpm(groundspeed_kt=view.groundspeed_kt, angle_deg=end.path_angle_deg)
    path_ft = path.path_height_ft(
        distance_nm=place.to_go_nm,
        angle_deg=end.path_angle_deg,
        threshold_crossing_height_ft=end.threshold_crossing_height_ft,
    )
    error_ft = place.height_ft - path_ft - above_ft
    return -clamp(hold_fpm + PATH_FPM_PER_FT * error_ft, 0.0, most_fpm)
