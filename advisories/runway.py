"""Runways as the checks see them: airfields, runway ends, and the table that finds them.

A runway has two ends; an end has a landing threshold, a true course and an elevation. An end's full name is
"IDENT/RUNWAY", such as ZZPS/27L. Lengths in feet, positions WGS-84.
"""

import difflib
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Protocol

import numpy as np

from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.earth import WGS84_A_M, RunwayFrame, earth_centred_m
from otherseat.advisories.units import M_PER_FT, M_PER_NM

WIDEST_ANGLE_DEG = 40.0
"""As wide as an intercept of final is flown."""
MOST_SIMILAR = 3
FARTHEST_AID_NM = 600.0
"""Idents of radio aids come again all over the world: one farther away than this is another one, or a slip."""


class UnknownPlaceError(ValueError):
    """A name that is in no table; `nearest` holds the closest names that are."""

    def __init__(self, *, name: str, nearest: tuple[str, ...]) -> None:
        self.name = name
        self.nearest = nearest
        hint = f"; nearest: {', '.join(nearest)}" if nearest else ""
        super().__init__(f"no such place: {name}{hint}")


class CourseSource(StrEnum):
    """Where a runway end's course comes from, best first."""

    ENDS = "from end to end"
    GIVEN = "given"
    DESIGNATOR = "from the designator and the magnetic variation"


@dataclass(frozen=True, slots=True)
class RunwayEnd:
    """One landing direction of one runway, at its landing threshold."""

    airfield: str
    """Ident of the airfield."""
    runway: str
    """Designator with its side letter, such as 07 or 27L."""
    opposite: str
    """Designator of the other end."""
    latitude_deg: float
    """Of the landing threshold, north positive."""
    longitude_deg: float
    """Of the landing threshold, east positive."""
    elevation_ft: float
    """Of the landing threshold, above mean sea level."""
    course_true_deg: float
    """Direction of landing, clockwise from true north."""
    length_ft: float
    """Landing distance: from this threshold to the far end of the surface."""
    width_ft: float
    """Of the surface."""
    displaced_ft: float = 0.0
    """Surface before the landing threshold, usable for take-off."""
    path_angle_deg: float = 3.0
    """Of the approach path."""
    threshold_crossing_height_ft: float = 50.0
    """Height of the path above the threshold."""
    magnetic_variation_deg: float | None = None
    """East positive; left out when not known."""
    surface: str = ""
    """In words; empty when nobody told."""
    estimated: bool = False
    """Nobody told where the two ends lie: laid about the airfield's own position, so good for finding the airfield
    and no good for path or alignment."""
    course_source: CourseSource = CourseSource.ENDS
    """What the course was worked out from."""

    @property
    def name(self) -> str:
        """Return the full name, such as ZZPS/27L."""
        return f"{self.airfield}/{self.runway}"


@dataclass(frozen=True, slots=True)
class Runway:
    """Two ends of one surface."""

    ends: tuple[RunwayEnd, RunwayEnd]
    """Its two directions."""


@dataclass(frozen=True, slots=True)
class Airfield:
    """A place with runways."""

    ident: str
    """Its code, such as ZZPS."""
    name: str
    """As people call it."""
    latitude_deg: float
    """Of the airfield's reference point, north positive."""
    longitude_deg: float
    """Of the airfield's reference point, east positive."""
    elevation_ft: float
    """Above mean sea level."""
    runways: tuple[Runway, ...]
    """Every one that is known."""
    complete: bool = True
    """False: it has a runway that was kept out because of bad data, so what is none of these may still be one."""

    @property
    def place(self) -> "Place":
        """Return where it lies."""
        return Place(name=self.ident, latitude_deg=self.latitude_deg, longitude_deg=self.longitude_deg)

    @property
    def ends(self) -> tuple[RunwayEnd, ...]:
        """Return every end of every runway."""
        return tuple(end for runway in self.runways for end in runway.ends)


@dataclass(frozen=True, slots=True)
class Place:
    """A point with a name: a fix, or an airfield's own position."""

    name: str
    latitude_deg: float
    longitude_deg: float


def axis_course_deg(end: RunwayEnd, ends: Iterable[RunwayEnd]) -> float:
    """Return the end's true course halfway between its own and that of its other end, if that is among the ends.

    North turns between the two as the meridians converge, so that their courses are opposite but for some hundredths
    of a degree; in a table of both the same wind is to have the same parts.
    """
    for other in ends:
        if (other.airfield, other.runway) == (end.airfield, end.opposite):
            off_deg = difference_deg(other.course_true_deg + 180.0, end.course_true_deg)
            return normal_deg(end.course_true_deg + off_deg / 2.0)
    return end.course_true_deg


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


class RunwayStore(Protocol):
    """A large table behind the airfields that a person gave: the world's."""

    def __len__(self) -> int:
        """Return the number of runway ends."""
        ...

    def near(self, *, latitude_deg: float, longitude_deg: float, within_nm: float) -> Sequence[tuple[float, RunwayEnd]]:
        """Return chord in metres and end of those within a distance, in any order."""
        ...

    def airfield(self, ident: str) -> Airfield | None:
        """Return the airfield of that ident."""
        ...

    def similar(self, ident: str) -> Sequence[str]:
        """Return idents that differ by one slip of the finger."""
        ...

    def named(self, text: str) -> Sequence[Airfield]:
        """Return airfields whose name contains the text."""
        ...

    def navaids(self, ident: str) -> "Sequence[Place]":
        """Return every radio aid of that ident: the world has many of one name."""
        ...


class RunwayTable:
    """Every runway that the daemon knows: the airfields given, and behind them a store that they overlay by ident."""

    def __init__(
        self, airfields: Iterable[Airfield] = (), *, behind: RunwayStore | None = None, fixes: Iterable[Place] = ()
    ) -> None:
        self._airfields = {airfield.ident: airfield for airfield in airfields}
        self._fixes = {fix.name: fix for fix in fixes}
        self._behind = behind
        self._ends = tuple(end for airfield in self._airfields.values() for end in airfield.ends)
        self._centred_m = np.array(
            [
                earth_centred_m(latitude_deg=e.latitude_deg, longitude_deg=e.longitude_deg, height_m=0.0)
                for e in self._ends
            ]
        ).reshape(-1, 3)

    def __len__(self) -> int:
        """Return the number of runway ends."""
        return len(self._ends) + (len(self._behind) if self._behind is not None else 0)

    def airfield(self, ident: str) -> Airfield:
        """Return the airfield, or raise UnknownPlaceError with the nearest idents."""
        found = self._airfields.get(ident)
        if found is None and self._behind is not None:
            found = self._behind.airfield(ident)
        if found is None:
            raise UnknownPlaceError(name=ident, nearest=self._similar(ident))
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

    def place(self, name: str, *, near: Place | None = None) -> Place:
        """Return the fix, airfield or radio aid of that name, or raise UnknownPlaceError with the nearest names.

        Of radio aids with one ident it is the one nearest to `near`, within FARTHEST_AID_NM.
        """
        fix = self._fixes.get(name)
        if fix is not None:
            return fix
        try:
            return self.airfield(name).place
        except UnknownPlaceError as error:
            aid = self._radio_aid(name, near=near)
            if aid is not None:
                return aid
            nearest = dict.fromkeys((*_nearest(name, self._fixes), *error.nearest))
            raise UnknownPlaceError(name=name, nearest=tuple(nearest)[:MOST_SIMILAR]) from error

    def _radio_aid(self, ident: str, *, near: Place | None) -> Place | None:
        aids = self._behind.navaids(ident) if self._behind is not None else ()
        if near is None:
            return aids[0] if len(aids) == 1 else None
        best = min(((_chord_m(aid, near), aid) for aid in aids), key=lambda pair: pair[0], default=None)
        return best[1] if best is not None and best[0] <= chord_limit_m(FARTHEST_AID_NM) else None

    def near(self, *, latitude_deg: float, longitude_deg: float, within_nm: float) -> list[RunwayEnd]:
        """Return the ends within a distance, nearest first."""
        found = self._own_near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=within_nm)
        if self._behind is not None:
            behind = self._behind.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=within_nm)
            found.extend(pair for pair in behind if pair[1].airfield not in self._airfields)
        found.sort(key=lambda pair: pair[0])
        return [end for _, end in found]

    def aligned(
        self, *, latitude_deg: float, longitude_deg: float, track_true_deg: float, within_nm: float
    ) -> list[RunwayEnd]:
        """Return the ends within a distance whose course the track is, give or take 40 degrees, nearest first."""
        return [
            end
            for end in self.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=within_nm)
            if abs(difference_deg(track_true_deg, end.course_true_deg)) <= WIDEST_ANGLE_DEG
        ]

    def beneath(self, *, latitude_deg: float, longitude_deg: float, margin_ft: float = 0.0) -> list[RunwayEnd]:
        """Return the ends whose surface, widened by the margin, lies beneath a point: both ends of each.

        Estimated ones never: nobody knows where their surface lies.
        """
        return [
            end
            for end in self.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=4.0)
            if not end.estimated
            and on_surface(end=end, latitude_deg=latitude_deg, longitude_deg=longitude_deg, margin_ft=margin_ft)
        ]

    def surveyed(self, *, latitude_deg: float, longitude_deg: float, within_nm: float) -> bool:
        """Say whether there are runways near and the place of every one is known.

        Only then does standing on none of them mean standing on no runway.
        """
        near = self.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=within_nm)
        if not near or any(end.estimated for end in near):
            return False
        return all(self.airfield(ident).complete for ident in {end.airfield for end in near})

    def find(self, text: str) -> list[Airfield]:
        """Return the airfields that a person may mean: of that ident, else with that in their name."""
        wanted = text.strip()
        try:
            return [self.airfield(wanted.upper())]
        except UnknownPlaceError:
            own = [field for field in self._airfields.values() if wanted.casefold() in field.name.casefold()]
            behind = self._behind.named(wanted) if self._behind is not None else ()
            return own + [field for field in behind if field.ident not in self._airfields]

    def _own_near(
        self, *, latitude_deg: float, longitude_deg: float, within_nm: float
    ) -> list[tuple[float, RunwayEnd]]:
        if not self._ends:
            return []
        here = earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=0.0)
        chord_m = np.linalg.norm(self._centred_m - np.array(here), axis=1)
        limit_m = chord_limit_m(within_nm)
        return [(float(chord_m[i]), self._ends[i]) for i in np.flatnonzero(chord_m <= limit_m)]

    def _similar(self, ident: str) -> tuple[str, ...]:
        own = _nearest(ident, self._airfields)
        behind = tuple(self._behind.similar(ident)) if self._behind is not None else ()
        return tuple(dict.fromkeys((*own, *behind)))[:MOST_SIMILAR]


def _chord_m(a: Place, b: Place) -> float:
    return math.dist(
        earth_centred_m(latitude_deg=a.latitude_deg, longitude_deg=a.longitude_deg, height_m=0.0),
        earth_centred_m(latitude_deg=b.latitude_deg, longitude_deg=b.longitude_deg, height_m=0.0),
    )


def chord_limit_m(within_nm: float) -> float:
    """Return the straight line through the earth, in metres, that spans a distance over its surface."""
    return 2.0 * WGS84_A_M * math.sin(min(within_nm * M_PER_NM / (2.0 * WGS84_A_M), math.pi / 2.0))


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
