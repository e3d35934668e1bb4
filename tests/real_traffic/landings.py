"""Landings: which recordings end on which runway, by plain geometry that shares nothing with the engine's.

The runway     the end on whose extended centreline the last two minutes before the lowest point lie: least mean
               distance from it on a flat map, with the track within 20 deg; another end must be farther off by half
Air pressure   altitudes are pressure altitudes, so each airfield's landings of one recording are levelled by one
               number: the median by which they cross the threshold higher than CROSSING_FT above it
Source         none needed for the flat map: within 5 NM it is off by feet
"""

import math
import statistics
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from otherseat.advisories.runway import RunwayEnd, RunwayTable
from tests.real_traffic.samples import Recording, Report

NEAR_NM = 3.5
WINDOW_S = 120.0
SUNK_FT = 300.0
LOWEST_WITHIN_FT = 100.0
LEAST_POINTS = 6
MOST_OFF_DEG = 20.0
MOST_ACROSS_NM = 0.08
CLEAR_BY = 1.5
CROSSING_FT = 50.0
FT_PER_NM = 6_076.1
LAST_NM = 1.0
"""A recording that ends farther out than this is no landing."""
FINAL_FT_PER_NM = 318.0
NEAREST_NM, FARTHEST_NM = -0.2, 1.0


@dataclass(frozen=True, slots=True)
class Landing:
    """A recording that ends on a runway."""

    recording: Recording
    end: RunwayEnd
    last: int
    """Index of its lowest report."""
    pressure_ft: float
    """Pressure altitude less true altitude."""
    speed_kt: float
    """Over the ground, on final."""


def landings(recordings: Iterable[Recording], *, runways: RunwayTable) -> list[Landing]:
    """Return the recordings that end on a runway."""
    found = [(one, *place) for one in recordings if (place := _landed(one.reports, runways=runways)) is not None]
    offsets: dict[tuple[str, str], list[float]] = defaultdict(list)
    for one, end, last in found:
        offsets[one.sample, end.airfield] += _offsets_ft(one.reports[: last + 1], end)
    return [
        Landing(
            recording=one,
            end=end,
            last=last,
            pressure_ft=statistics.median(offsets[one.sample, end.airfield]),
            speed_kt=statistics.median(report.groundspeed_kt or 0.0 for report in _window(one.reports, last)),
        )
        for one, end, last in found
        if offsets[one.sample, end.airfield]
    ]


def flat_nm(end: RunwayEnd, report: Report) -> tuple[float, float]:
    """Return NM beyond the threshold and right of the centreline, on a flat map."""
    north = (report.latitude_deg - end.latitude_deg) * 60.0
    east = (report.longitude_deg - end.longitude_deg) * 60.0 * math.cos(math.radians(end.latitude_deg))
    course = math.radians(end.course_true_deg)
    return (
        north * math.cos(course) + east * math.sin(course),
        east * math.cos(course) - north * math.sin(course),
    )


def _landed(reports: Sequence[Report], *, runways: RunwayTable) -> tuple[RunwayEnd, int] | None:
    airborne = [
        (index, report.pressure_altitude_ft)
        for index, report in enumerate(reports)
        if not report.on_ground and report.pressure_altitude_ft is not None
    ]
    if not airborne:
        return None
    lowest_ft = min(height for _, height in airborne)
    last = next(index for index, height in airborne if height <= lowest_ft + LOWEST_WITHIN_FT)
    window = _window(reports, last)
    heights = [report.pressure_altitude_ft for report in window if report.pressure_altitude_ft is not None]
    if len(window) < LEAST_POINTS or max(heights) - lowest_ft < SUNK_FT:
        return None
    ends = runways.near(
        latitude_deg=reports[last].latitude_deg, longitude_deg=reports[last].longitude_deg, within_nm=NEAR_NM
    )
    scored = sorted(
        (
            (across_nm, index)
            for index, end in enumerate(ends)
            if (across_nm := _mean_across_nm(end, window)) is not None
        )
    )
    if not scored or scored[0][0] > MOST_ACROSS_NM:
        return None
    if len(scored) > 1 and scored[1][0] < CLEAR_BY * scored[0][0]:
        return None
    return ends[scored[0][1]], last


def _window(reports: Sequence[Report], last: int) -> list[Report]:
    until_s = reports[last].time_s
    return [report for report in reports[: last + 1] if until_s - report.time_s <= WINDOW_S]


def _mean_across_nm(end: RunwayEnd, window: Sequence[Report]) -> float | None:
    """Return the mean distance from the centreline before the threshold, or None when it leads elsewhere."""
    if end.estimated:
        return None
    along_nm, _ = flat_nm(end, window[-1])
    if not -LAST_NM <= along_nm <= end.length_ft / FT_PER_NM:
        return None
    across = []
    for report in window:
        along_nm, across_nm = flat_nm(end, report)
        if -LAST_NM * 2.0 <= along_nm <= 0.0 and report.track_true_deg is not None:
            off_deg = (report.track_true_deg - end.course_true_deg + 180.0) % 360.0 - 180.0
            if abs(off_deg) > MOST_OFF_DEG:
                return None
            across.append(abs(across_nm))
    return statistics.fmean(across) if len(across) >= LEAST_POINTS else None


def _offsets_ft(reports: Sequence[Report], end: RunwayEnd) -> list[float]:
    """Return by how much the altitudes near the threshold are above those of a path that crosses at CROSSING_FT."""
    offsets = []
    for report in reports[-60:]:
        along_nm, _ = flat_nm(end, report)
        if NEAREST_NM <= -along_nm <= FARTHEST_NM and report.pressure_altitude_ft is not None:
            expected_ft = end.elevation_ft + CROSSING_FT + max(-along_nm, 0.0) * FINAL_FT_PER_NM
            offsets.append(report.pressure_altitude_ft - expected_ft)
    return offsets[-5:]
