"""Runways as the checks see them: airfields, runway ends, and the table that finds them.

A runway has two ends; an end has a landing threshold, a true course and an elevation. An end's full name is
"IDENT/RUNWAY", such as ZZPS/27L. Lengths in feet, positions WGS-84.
"""

import difflib
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.earth import WGS84_A_M, RunwayFrame, earth_centred_m
from otherseat.advisories.units import M_PER_FT, M_PER_NM


class UnknownPlaceError(ValueError):
    """A name that is in no table; `nearest` holds the closest names that are."""

    def __init__(self, *, name: str, nearest: tuple[str, ...]) -> None:
        self.name = name
        self.nearest = nearest
        hint = f"; nearest: {', '.join(nearest)}" if nearest else ""
        super().__init__(f"no such place: {name}{hint}")


@dataclass(frozen=True, slots=True)
class RunwayEnd:
    """One landing direction of one runway, at its landing threshold."""

    airfield: str
    runway: str
    """Designator with its side letter, such as 07 or 27L."""
    opposite: str
    latitude_deg: float
    longitude_deg: float
    elevation_ft: float
    course_true_deg: float
    length_ft: float
    """Landing distance: from this threshold to the far end of the surface."""
    width_ft: float
    displaced_ft: float = 0.0
    """Surface before the landing threshold, usable for take-off."""
    path_angle_deg: float = 3.0
    threshold_crossing_height_ft: float = 50.0
    magnetic_variation_deg: float | None = None
    surface: str = ""

    @property
    def name(self) -> str:
        """Return the full name, such as ZZPS/27L."""
        return f"{self.airfield}/{self.runway}"


@dataclass(frozen=True, slots=True)
class Runway:
    """Two ends of one surface."""

    ends: tuple[RunwayEnd, RunwayEnd]


@dataclass(frozen=True, slots=True)
class Airfield:
    """A place with runways."""

    ident: str
    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_ft: float
    runways: tuple[Runway, ...]

    @property
    def ends(self) -> tuple[RunwayEnd, ...]:
        """Return every end of every runway."""
        return tuple(end for runway in self.runways for end in runway.ends)


@lru_cache(maxsize=1024)
def frame_of(end: RunwayEnd) -> RunwayFrame:
    """Return the end's frame, computed once."""
    return RunwayFrame.at(
        latitude_deg=end.latitude_deg,
        longitude_deg=end.longitude_deg,
        elevation_m=end.elevation_ft * M_PER_FT,
        course_true_deg=end.course_true_deg,
    )


def span_ft_deg(
    *, latitude_deg: float, longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    """Return the length in feet and the true course from one end of a surface to the other.

    By the chord in the first end's frame: against the geodesic less than 1 mm and 0.00001 deg over 6 km.
    """
    north = RunwayFrame.at(latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=0.0, course_true_deg=0.0)
    ahead_m, right_m, up_m = north.locate(latitude_deg=to_latitude_deg, longitude_deg=to_longitude_deg, height_m=0.0)
    return math.hypot(ahead_m, right_m, up_m) / M_PER_FT, normal_deg(math.degrees(math.atan2(right_m, ahead_m)))


class RunwayTable:
    """Every runway that the daemon knows."""

    def __init__(self, airfields: Iterable[Airfield] = ()) -> None:
        self._airfields = {airfield.ident: airfield for airfield in airfields}
        self._ends = tuple(end for airfield in self._airfields.values() for end in airfield.ends)
        self._centred_m = np.array(
            [
                earth_centred_m(latitude_deg=e.latitude_deg, longitude_deg=e.longitude_deg, height_m=0.0)
                for e in self._ends
            ]
        ).reshape(-1, 3)

    def __len__(self) -> int:
        """Return the number of runway ends."""
        return len(self._ends)

    def airfield(self, ident: str) -> Airfield:
        """Return the airfield, or raise UnknownPlaceError with the nearest idents."""
        found = self._airfields.get(ident)
        if found is None:
            raise UnknownPlaceError(name=ident, nearest=_nearest(ident, self._airfields))
        return found

    def end(self, name: str) -> RunwayEnd:
        """Return the end of that full name, or raise UnknownPlaceError with the nearest names."""
        ident, _, runway = name.partition("/")
        ends = {end.runway: end for end in self.airfield(ident).ends}
        found = ends.get(runway)
        if found is None:
            nearest = _nearest(runway, ends) or tuple(sorted(ends))
            raise UnknownPlaceError(name=name, nearest=tuple(f"{ident}/{near}" for near in nearest))
        return found

    def near(self, *, latitude_deg: float, longitude_deg: float, within_nm: float) -> list[RunwayEnd]:
        """Return the ends within a distance, nearest first."""
        if not self._ends:
            return []
        here = earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=0.0)
        chord_m = np.linalg.norm(self._centred_m - np.array(here), axis=1)
        limit_m = 2.0 * WGS84_A_M * math.sin(min(within_nm * M_PER_NM / (2.0 * WGS84_A_M), math.pi / 2.0))
        inside = np.flatnonzero(chord_m <= limit_m)
        return [self._ends[i] for i in inside[np.argsort(chord_m[inside], kind="stable")]]

    def beneath(self, *, latitude_deg: float, longitude_deg: float, margin_ft: float = 0.0) -> list[RunwayEnd]:
        """Return the ends whose surface, widened by the margin, lies beneath a point: both ends of each."""
        return [
            end
            for end in self.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=4.0)
            if on_surface(end=end, latitude_deg=latitude_deg, longitude_deg=longitude_deg, margin_ft=margin_ft)
        ]


def on_surface(*, end: RunwayEnd, latitude_deg: float, longitude_deg: float, margin_ft: float) -> bool:
    """Say whether the point is over the runway's paved surface, widened by the margin on every side."""
    along_m, across_m, _ = frame_of(end).locate(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=end.elevation_ft * M_PER_FT
    )
    along_ft, across_ft = along_m / M_PER_FT, across_m / M_PER_FT
    return (
        -end.displaced_ft - margin_ft <= along_ft <= end.length_ft + margin_ft
        and abs(across_ft) <= end.width_ft / 2.0 + margin_ft
    )


def _nearest(name: str, known: Iterable[str]) -> tuple[str, ...]:
    return tuple(difflib.get_close_matches(name, list(known), n=3, cutoff=0.5))
