"""Which runway is it: the end that a track leads to, and the end on whose surface an aircraft stands.

Arrival. Each end that lies ahead gets a misfit, the root of the sum of squares of

    lateral    angle off the extended centreline, seen from AIM_FT beyond the threshold      / LATERAL_DEG
    angular    track minus the runway's course                                               / ANGULAR_DEG
    vertical   angle of the aircraft above the crossing height minus the path angle,
               beyond a free VERTICAL_FREE_DEG                                               / VERTICAL_DEG

so 1 is an ordinary deviation. The lowest misfit is the answer; it is certain only when it fits well in itself and the
second best fits clearly worse, both by MARGIN and by RATIO. So two close parallels far out, or two runways from a
long intercept, end in "can't tell yet" with the rival named. Angles, not feet: the answer sharpens as the runway nears.
Nor is an end certain while a nearer one lies on the same way and is come to lower than FLOWN_OVER_FT: who is high there
may still mean that one.
An end whose place is only estimated is never certain, and never in the way of one that is known and fits.

Departure. On the surface by its width and length and a margin for the position's error; a taxiway alongside is farther
from the centreline than that (150 ft at the least between a runway's centreline and a parallel taxiway's for light
aircraft: FAA AC 150/5300-13B, from memory). The end is the one whose course the heading is.

Limits are common practice, no source, unless one is named.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.runway import WIDEST_ANGLE_DEG, RunwayEnd, RunwayTable, frame_of
from otherseat.advisories.units import FT_PER_NM, M_PER_FT

AIM_FT = 4_000.0
LATERAL_DEG = 0.5
ANGULAR_DEG = 5.0
VERTICAL_DEG = 1.5
VERTICAL_FREE_DEG = 0.5

FARTHEST_NM = 20.0
WIDEST_OFFSET_DEG = 12.0
LOWEST_PATH_DEG = 0.6
HIGHEST_PATH_DEG = 12.0
SHORT_FINAL_NM = 0.5
"""Nearer than this the vertical angle swings too fast to tell anything; heights are used instead."""
SHORT_FINAL_HIGHEST_FT = 1_000.0
OVER_RUNWAY_HIGHEST_FT = 200.0
"""Higher over the runway it is going around or passing over, not landing."""
LOWEST_FT = -150.0
FLOWN_OVER_FT = 1_500.0
"""Circuits are flown at 1,000 ft and crossed 500 ft higher (FAA-H-8083-3, airport traffic patterns; from memory)."""

CERTAIN_MISFIT = 3.0
MARGIN = 1.0
RATIO = 1.5

SIDE_MARGIN_FT = 25.0
"""Beside the edge: a pilot's seat off the centreline, and coordinates of four decimals."""
END_MARGIN_FT = 100.0
"""Beyond the ends: stopways, and ends known to four decimals."""
ALIGNED_DEG = 20.0
BESIDE_FT = 1_500.0


@dataclass(frozen=True, slots=True)
class Tracked:
    """The runway end that a track leads to."""

    end: RunwayEnd
    certain: bool
    """False: it is the best guess, but not good enough to name it to anybody."""
    rival: RunwayEnd | None
    """The second best, when that fits too well to rule it out."""
    misfit: float
    """1 is an ordinary deviation."""


@dataclass(frozen=True, slots=True)
class Surface:
    """What an aircraft on the ground stands on."""

    end: RunwayEnd | None = None
    """The end of the surface beneath, when the heading is its course."""
    crossing: RunwayEnd | None = None
    """One end of the surface beneath, when the heading is not along it."""
    beside: RunwayEnd | None = None
    """On no runway: the end that runs alongside within BESIDE_FT, as a parallel taxiway's would."""
    estimated: RunwayEnd | None = None
    """On or beside no runway whose place is known: the nearest end of one that is only estimated and may be it."""
    offset_ft: float | None = None
    """From the centreline of whichever end is named, right is positive."""
    course_difference_deg: float | None = None
    """Heading minus the course of whichever end is named, right is positive."""
    runway_ahead_ft: float | None = None
    """From here to the far end of the surface; only when `end` is named."""


@dataclass(frozen=True, slots=True)
class _Fit:
    """How a track fits an end."""

    misfit: float
    flat_misfit: float
    """The same without the height."""
    to_go_ft: float
    height_ft: float | None
    end: RunwayEnd


def tracked_end(
    *,
    ends: Sequence[RunwayEnd],
    latitude_deg: float,
    longitude_deg: float,
    altitude_ft: float | None,
    track_true_deg: float,
) -> Tracked | None:
    """Return the end that the track leads to, or None when it leads to none of them.

    altitude_ft is true altitude; without it the vertical part is left out.
    """
    found = (
        _fit_to(
            end,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            altitude_ft=altitude_ft,
            track_true_deg=track_true_deg,
        )
        for end in ends
    )
    scored = sorted((fit for fit in found if fit is not None), key=lambda fit: fit.misfit)
    surveyed = [fit for fit in scored if not fit.end.estimated]
    if surveyed and surveyed[0].misfit <= CERTAIN_MISFIT:
        return _answer(surveyed)
    return _answer(scored) if scored else None


def _answer(scored: Sequence[_Fit]) -> Tracked:
    """Return the best of the scored ends, and whether it is clear of the second and of any that comes before it."""
    best, *others = scored
    rivals = [other.end for other in others[:1] if not _is_clear(best, other)]
    rivals += [other.end for other in others if _comes_before(other, best)]
    certain = not rivals and best.misfit <= CERTAIN_MISFIT and not best.end.estimated
    return Tracked(end=best.end, certain=certain, rival=rivals[0] if rivals else None, misfit=best.misfit)


def _is_clear(best: _Fit, second: _Fit) -> bool:
    return second.misfit - best.misfit >= MARGIN and second.misfit >= RATIO * best.misfit


def _comes_before(other: _Fit, best: _Fit) -> bool:
    """Say whether an end lies on the way to the best, and is come to so low that it may be meant."""
    if other.height_ft is None or other.height_ft > FLOWN_OVER_FT or other.flat_misfit > CERTAIN_MISFIT:
        return False
    return other.end.airfield != best.end.airfield and 0.0 < other.to_go_ft < best.to_go_ft


def _fit_to(
    end: RunwayEnd, *, latitude_deg: float, longitude_deg: float, altitude_ft: float | None, track_true_deg: float
) -> _Fit | None:
    """Return how the track fits the end, or None when it leads elsewhere."""
    angle_deg = difference_deg(track_true_deg, end.course_true_deg)
    if abs(angle_deg) > WIDEST_ANGLE_DEG:
        return None
    along_ft, across_ft = place_ft(end, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    if along_ft > end.length_ft or along_ft < -FARTHEST_NM * FT_PER_NM:
        return None
    offset_deg = math.degrees(math.atan2(across_ft, max(-along_ft, 0.0) + AIM_FT))
    if abs(offset_deg) > WIDEST_OFFSET_DEG:
        return None
    vertical_deg = _vertical_deg(end, to_go_ft=-along_ft, altitude_ft=altitude_ft)
    if vertical_deg is None:
        return None
    flat_misfit = math.hypot(offset_deg / LATERAL_DEG, angle_deg / ANGULAR_DEG)
    return _Fit(
        misfit=math.hypot(flat_misfit, vertical_deg / VERTICAL_DEG),
        flat_misfit=flat_misfit,
        to_go_ft=-along_ft,
        height_ft=None if altitude_ft is None else altitude_ft - end.elevation_ft,
        end=end,
    )


def _vertical_deg(end: RunwayEnd, *, to_go_ft: float, altitude_ft: float | None) -> float | None:
    """Return the angle from the path beyond what is free, or None when nobody would land from there."""
    if altitude_ft is None:
        return 0.0
    height_ft = altitude_ft - end.elevation_ft
    if height_ft < LOWEST_FT:
        return None
    if to_go_ft < SHORT_FINAL_NM * FT_PER_NM:
        highest_ft = OVER_RUNWAY_HIGHEST_FT if to_go_ft < 0.0 else SHORT_FINAL_HIGHEST_FT
        return 0.0 if height_ft <= highest_ft else None
    above_deg = math.degrees(math.atan2(height_ft - end.threshold_crossing_height_ft, to_go_ft))
    if not LOWEST_PATH_DEG <= above_deg <= HIGHEST_PATH_DEG:
        return None
    return max(0.0, abs(above_deg - end.path_angle_deg) - VERTICAL_FREE_DEG)


def surface_end(*, runways: RunwayTable, latitude_deg: float, longitude_deg: float, heading_true_deg: float) -> Surface:
    """Return what the aircraft stands on: a runway end, a runway being crossed, something beside one, or neither."""
    near = runways.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=4.0)
    seen = [
        (*place_ft(end, latitude_deg=latitude_deg, longitude_deg=longitude_deg), end)
        for end in near
        if not end.estimated
    ]
    on = [(along_ft, across_ft, end) for along_ft, across_ft, end in seen if _beneath(end, along_ft, across_ft)]
    aligned = [place for place in on if _off_deg(place[2], heading_true_deg) <= ALIGNED_DEG]
    if aligned:
        along_ft, across_ft, end = min(aligned, key=lambda place: _fit(place, heading_true_deg=heading_true_deg))
        return Surface(
            end=end,
            offset_ft=across_ft,
            course_difference_deg=difference_deg(heading_true_deg, end.course_true_deg),
            runway_ahead_ft=max(0.0, end.length_ft - along_ft),
        )
    if on:
        _, across_ft, end = min(on, key=lambda place: _off_deg(place[2], heading_true_deg))
        return Surface(
            crossing=end,
            offset_ft=across_ft,
            course_difference_deg=difference_deg(heading_true_deg, end.course_true_deg),
        )
    beside = _beside(seen, heading_true_deg=heading_true_deg)
    if beside is not None:
        return beside
    guesses = (end for end in near if end.estimated and _off_deg(end, heading_true_deg) <= WIDEST_ANGLE_DEG)
    return Surface(estimated=next(guesses, None))


def _beside(seen: Sequence[tuple[float, float, RunwayEnd]], *, heading_true_deg: float) -> Surface | None:
    alongside = [
        (across_ft, end)
        for along_ft, across_ft, end in seen
        if abs(across_ft) <= BESIDE_FT
        and -end.displaced_ft - END_MARGIN_FT <= along_ft <= end.length_ft + END_MARGIN_FT
        and _off_deg(end, heading_true_deg) <= ALIGNED_DEG
    ]
    if not alongside:
        return None
    across_ft, end = min(alongside, key=lambda place: abs(place[0]))
    return Surface(
        beside=end,
        offset_ft=across_ft,
        course_difference_deg=difference_deg(heading_true_deg, end.course_true_deg),
    )


def place_ft(end: RunwayEnd, *, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Return feet beyond the landing threshold and feet right of the centreline."""
    along_m, across_m, _ = frame_of(end).locate(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=end.elevation_ft * M_PER_FT
    )
    return along_m / M_PER_FT, across_m / M_PER_FT


def _beneath(end: RunwayEnd, along_ft: float, across_ft: float) -> bool:
    return (
        abs(across_ft) <= end.width_ft / 2.0 + SIDE_MARGIN_FT
        and -end.displaced_ft - END_MARGIN_FT <= along_ft <= end.length_ft + END_MARGIN_FT
    )


def _off_deg(end: RunwayEnd, heading_true_deg: float) -> float:
    return abs(difference_deg(heading_true_deg, end.course_true_deg))


def _fit(place: tuple[float, float, RunwayEnd], *, heading_true_deg: float) -> float:
    _, across_ft, end = place
    return math.hypot(across_ft / (end.width_ft / 2.0 + SIDE_MARGIN_FT), _off_deg(end, heading_true_deg) / ALIGNED_DEG)
