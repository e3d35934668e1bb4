"""Approach: the last part of a flight as one runway end sees it, and where it touched down.

Ground        judged as it was in flight, by advisories/phase.py: by report, height above ground, or speed and altitude
Touchdown     the first state on the ground after at least AIRBORNE_S in the air; a bounce within BOUNCE_S is the same
              one. From speed and altitude it is not known
Runway        the end whose surface, MARGIN_FT wider, lies beneath, and whose course is nearest the track
No touchdown  the approach ends at the lowest point on final for the planned end, or for the end that the lowest point
              of the flight is best in line with; higher than LOWEST_FT, or without having come down SUNK_FT, it is none
Heights       where only pressure altitude is known, what it shows on the runway is taken as the runway's elevation; a
              flight that never was on the runway keeps an error that nobody knows
Distances are along the centreline before the threshold, offsets right of it, heights above the threshold.
"""

from dataclasses import dataclass, replace
from math import isnan, nan

import numpy as np
from numpy.typing import NDArray

from otherseat.advisories import path
from otherseat.advisories.phase import Ground
from otherseat.advisories.real import Array
from otherseat.advisories.runway import RunwayEnd, RunwayTable, frame_of
from otherseat.advisories.units import FT_PER_NM, M_PER_FT
from otherseat.daemon.debrief.track import Track, earth_centred_all_m

Mask = NDArray[np.bool_]

AIRBORNE_S, BOUNCE_S = 5.0, 15.0
MARGIN_FT = 150.0
ALIGNED_DEG = 35.0
FINAL_WITHIN_NM = 10.0
CONE = 0.35
NEAR_NM = 0.5
LOWEST_FT, SUNK_FT = 1_500.0, 300.0
PRESSURE = "pressure_altitude_ft"
ERROR_WITHIN_FT = 1_500.0
"""No setting is further off: 1013 hPa against 960."""
SINK_OVER_S = 1.0
SOON_S = 2.0


@dataclass(frozen=True, slots=True)
class Seen:
    """A track as a runway end sees it."""

    distance_nm: Array
    offset_ft: Array
    height_ft: Array
    course_difference_deg: Array


@dataclass(frozen=True, slots=True)
class Touchdown:
    """How it touched."""

    row: int
    beyond_threshold_ft: float
    offset_ft: float
    sink_fpm: float | None
    groundspeed_kt: float | None
    indicated_airspeed_kt: float | None
    bank_deg: float | None


@dataclass(frozen=True, slots=True)
class Approach:
    """One approach to one end, rows first to last of its track."""

    track: Track
    end: RunwayEnd
    angle_deg: float
    seen: Seen
    first: int
    last: int
    touchdown: Touchdown | None
    height_error_ft: float | None = 0.0
    """By how much pressure altitude was corrected; None when that can't be known."""

    @property
    def rows(self) -> slice:
        """The rows on final."""
        return slice(self.first, self.last + 1)

    def path_height_ft(self, distance_nm: Array) -> Array:
        """Return the path's height at distances."""
        return path.path_height_ft(
            distance_nm=distance_nm,
            angle_deg=np.full_like(distance_nm, self.angle_deg),
            threshold_crossing_height_ft=np.full_like(distance_nm, self.end.threshold_crossing_height_ft),
        )


def approaches(
    *, track: Track, runways: RunwayTable, planned: RunwayEnd | None, angle_deg: float | None
) -> list[Approach]:
    """Return every approach that ended in a landing, or else the one that came nearest to one; none when none did."""
    landed = [(row, landing_end(track=track, row=row, runways=runways)) for row in touchdown_rows(track)]
    found = [
        _approach(track=track, end=end, last=row, touched=True, angle_deg=angle_deg)
        for row, end in landed
        if end is not None
    ]
    if found:
        return found
    end = planned or _lined_up_end(track=track, runways=runways)
    if end is None:
        return []
    seen = seen_from(track=track, end=end)
    on_final = np.flatnonzero(_on_final(seen))
    if not len(on_final):
        return []
    if not np.isfinite(seen.height_ft[on_final]).any():
        return []
    last = int(on_final[np.nanargmin(seen.height_ft[on_final])])
    tried = _approach(track=track, end=end, last=last, touched=False, angle_deg=angle_deg)
    height_ft = tried.seen.height_ft[tried.rows]
    came_down = height_ft[-1] < LOWEST_FT and np.nanmax(height_ft) - height_ft[-1] > SUNK_FT
    return [tried] if came_down else []


def seen_from(*, track: Track, end: RunwayEnd) -> Seen:
    """Return the track in the end's frame: RunwayFrame.locate for columns."""
    frame = frame_of(end)
    place_m = earth_centred_all_m(
        latitude_deg=track["latitude_deg"],
        longitude_deg=track["longitude_deg"],
        height_m=np.full(len(track), end.elevation_ft * M_PER_FT),
    )
    from_here_m = place_m - np.array(frame.origin_m)
    track_deg = soon_known(track["track_true_deg"], track["time_s"])
    difference = (track_deg - end.course_true_deg + 180.0) % 360.0 - 180.0
    return Seen(
        distance_nm=-(from_here_m @ np.array(frame.along)) / M_PER_FT / FT_PER_NM,
        offset_ft=from_here_m @ np.array(frame.across) / M_PER_FT,
        height_ft=track["altitude_ft"] - end.elevation_ft,
        course_difference_deg=difference,
    )


def soon_known(values: Array, time_s: Array) -> Array:
    """Return the values, those not known replaced by the next that is within SOON_S: after a gap a track comes late."""
    known = np.flatnonzero(np.isfinite(values))
    following = np.searchsorted(known, np.arange(len(values)))
    if not len(known):
        return values
    ahead = known[np.minimum(following, len(known) - 1)]
    wait_s = time_s[ahead] - time_s
    return np.where((wait_s >= 0.0) & (wait_s <= SOON_S), values[ahead], np.nan)


def on_ground(track: Track) -> Array:
    """Return 1 on the ground, 0 in the air, as the phase of flight judges it; NaN where nothing tells."""
    ground = Ground()
    columns = (track[name].tolist() for name in ("on_ground", "height_agl_ft", "groundspeed_kt", "altitude_ft"))
    return np.array([_judged(ground, *told) for told in zip(*columns, strict=True)], dtype=float)


def _judged(ground: Ground, reported: float, height_agl_ft: float, groundspeed_kt: float, altitude_ft: float) -> float:
    on_it = ground.step(
        reported=None if isnan(reported) else bool(reported),
        height_agl_ft=None if isnan(height_agl_ft) else height_agl_ft,
        groundspeed_kt=groundspeed_kt,
        altitude_ft=None if isnan(altitude_ft) else altitude_ft,
    )
    return nan if isnan(reported) and isnan(height_agl_ft) and isnan(groundspeed_kt) else float(on_it)


def contact(track: Track) -> Array:
    """Return the same, but NaN where only speed and altitude tell: that is far from the moment of touching."""
    told = np.isfinite(track["on_ground"]) | np.isfinite(track["height_agl_ft"])
    return np.where(told, on_ground(track), np.nan)


def touchdown_rows(track: Track) -> list[int]:
    """Return the rows at which the aircraft came onto the ground."""
    ground, time_s = contact(track), track["time_s"]
    rows = np.flatnonzero((ground[1:] == 1.0) & (ground[:-1] == 0.0)) + 1
    left = np.flatnonzero((ground[1:] == 0.0) & (ground[:-1] == 1.0)) + 1
    found: list[int] = []
    for row in rows:
        off = left[left < row]
        airborne_s = time_s[row] - (time_s[off[-1]] if len(off) else time_s[0])
        again = bool(found) and time_s[row] - time_s[found[-1]] < BOUNCE_S
        if airborne_s >= AIRBORNE_S and not again:
            found.append(int(row))
    return found


def landing_end(*, track: Track, row: int, runways: RunwayTable) -> RunwayEnd | None:
    """Return the end on whose runway the row is, or None."""
    direction = _direction_deg(track, row)
    if direction is None:
        return None
    ends = runways.beneath(
        latitude_deg=float(track["latitude_deg"][row]),
        longitude_deg=float(track["longitude_deg"][row]),
        margin_ft=MARGIN_FT,
    )
    aligned = [(abs((end.course_true_deg - direction + 180.0) % 360.0 - 180.0), end) for end in ends]
    best = min(aligned, key=lambda pair: pair[0], default=None)
    return best[1] if best is not None and best[0] <= ALIGNED_DEG else None


def _direction_deg(track: Track, row: int) -> float | None:
    for name in ("track_true_deg", "heading_true_deg"):
        value = float(track[name][row])
        if np.isfinite(value):
            return value
    return None


def _lined_up_end(*, track: Track, runways: RunwayTable) -> RunwayEnd | None:
    """Return the end that the lowest moment in the air leads to, or None."""
    height_ft = np.where(on_ground(track) == 1.0, np.nan, track["altitude_ft"])
    if not np.isfinite(height_ft).any():
        return None
    row = int(np.nanargmin(height_ft))
    near = runways.near(
        latitude_deg=float(track["latitude_deg"][row]), longitude_deg=float(track["longitude_deg"][row]), within_nm=5.0
    )
    here = track.part(slice(row, row + 1))
    offsets = {end: abs(float(seen.offset_ft[0])) for end in near if _leads_to(seen := seen_from(track=here, end=end))}
    return min(offsets, key=lambda end: offsets[end], default=None)


def _leads_to(seen: Seen) -> bool:
    """Say whether the first row of what is seen is on final for the end, or over it."""
    over_it = abs(seen.distance_nm[0]) < NEAR_NM and abs(seen.course_difference_deg[0]) < ALIGNED_DEG
    return bool(over_it or _on_final(seen)[0])


def _on_final(seen: Seen) -> Mask:
    away_nm = seen.distance_nm
    inside = np.abs(seen.offset_ft) / FT_PER_NM <= np.maximum(CONE * away_nm, NEAR_NM / 2.0)
    with np.errstate(invalid="ignore"):
        aligned = np.abs(seen.course_difference_deg) < ALIGNED_DEG
    final: Mask = (away_nm > 0.0) & (away_nm <= FINAL_WITHIN_NM) & inside & aligned
    return final


def _approach(*, track: Track, end: RunwayEnd, last: int, touched: bool, angle_deg: float | None) -> Approach:
    error_ft = height_error_ft(track=track, end=end)
    seen = seen_from(track=track, end=end)
    seen = replace(seen, height_ft=seen.height_ft - (error_ft or 0.0))
    ok = _on_final(seen)
    ok |= (seen.distance_nm <= 0.0) & (seen.distance_nm > -end.length_ft / FT_PER_NM)
    off = np.flatnonzero(~ok[:last])
    return Approach(
        track=track,
        end=end,
        angle_deg=end.path_angle_deg if angle_deg is None else angle_deg,
        seen=seen,
        first=int(off[-1]) + 1 if len(off) else 0,
        last=last,
        touchdown=_touchdown(track=track, seen=seen, row=last) if touched else None,
        height_error_ft=error_ft,
    )


def height_error_ft(*, track: Track, end: RunwayEnd) -> float | None:
    """Return how much too high pressure altitude reads, by what it shows on the runway; None when it never was there.

    Other altitudes are taken as they are: 0.
    """
    if track.altitude_from != PRESSURE:
        return 0.0
    seen = seen_from(track=track, end=end)
    beyond_ft = -seen.distance_nm * FT_PER_NM
    here = (beyond_ft > 0.0) & (beyond_ft < end.length_ft) & (np.abs(seen.offset_ft) < end.width_ft / 2.0 + MARGIN_FT)
    shown_ft = seen.height_ft[here & (on_ground(track) == 1.0)]
    shown_ft = shown_ft[np.abs(shown_ft) < ERROR_WITHIN_FT]
    return float(np.median(shown_ft)) if len(shown_ft) else None


def _touchdown(*, track: Track, seen: Seen, row: int) -> Touchdown:
    def at(name: str) -> float | None:
        value = float(track[name][row])
        return value if np.isfinite(value) else None

    return Touchdown(
        row=row,
        beyond_threshold_ft=-float(seen.distance_nm[row]) * FT_PER_NM,
        offset_ft=float(seen.offset_ft[row]),
        sink_fpm=touchdown_sink_fpm(track=track, row=row),
        groundspeed_kt=at("groundspeed_kt"),
        indicated_airspeed_kt=at("indicated_airspeed_kt"),
        bank_deg=at("bank_deg"),
    )


def touchdown_sink_fpm(*, track: Track, row: int) -> float | None:
    """Return the sink rate just before touching: the last one reported in the air, or from heights over a second."""
    if "vertical_speed_fpm" not in track.computed and np.isfinite(track["vertical_speed_fpm"][row - 1]):
        return -float(track["vertical_speed_fpm"][row - 1])
    time_s, altitude_ft = track["time_s"], track["altitude_ft"]
    first = int(np.searchsorted(time_s[:row], time_s[row - 1] - SINK_OVER_S))
    elapsed_s = time_s[row - 1] - time_s[first]
    if elapsed_s <= 0.0 or not np.isfinite(altitude_ft[[first, row - 1]]).all():
        return None
    return float((altitude_ft[first] - altitude_ft[row - 1]) / elapsed_s * 60.0)
