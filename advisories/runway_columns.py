"""The world's runways in columns: one row an end, both ends of a runway side by side, found through a coarse grid.

Ends are ordered by airfield. The grid has cells of one degree by one degree; within a band of latitude the cells of
neighbouring longitudes lie side by side in `order`, so a search reads one or two slices a band. Rows become
RunwayEnd and Airfield objects only when somebody asks for them, and are kept.
"""

import bisect
import itertools
import math
import string
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from otherseat.advisories.earth import WGS84_A_M, WGS84_E2, earth_centred_m
from otherseat.advisories.runway import Airfield, CourseSource, Place, Runway, RunwayEnd, chord_limit_m

END = np.dtype(
    [
        ("airfield", "i4"),
        ("runway", "S4"),
        ("latitude_deg", "f8"),
        ("longitude_deg", "f8"),
        ("elevation_ft", "f4"),
        ("course_true_deg", "f8"),
        ("length_ft", "f4"),
        ("width_ft", "f4"),
        ("displaced_ft", "f4"),
        ("surface", "S12"),
        ("estimated", "?"),
        ("course_source", "u1"),
    ]
)
"""One landing direction; rows 2k and 2k + 1 are the two ends of one runway."""

AIRFIELD = np.dtype(
    [
        ("ident", "S8"),
        ("latitude_deg", "f8"),
        ("longitude_deg", "f8"),
        ("elevation_ft", "f4"),
        ("magnetic_variation_deg", "f4"),
        ("first_end", "i4"),
        ("ends", "i4"),
        ("complete", "?"),
    ]
)

NAVAID = np.dtype([("ident", "S8"), ("latitude_deg", "f8"), ("longitude_deg", "f8")])

COURSE_SOURCES = tuple(CourseSource)
CELLS_EAST = 360
CELLS_NORTH = 180
DEG_PER_NM = 1.0 / 59.7
"""Of latitude, where a degree is shortest (59.7 NM at the equator)."""
IDENT_LETTERS = (string.ascii_uppercase + string.digits).encode("ascii")
MOST_NAMED = 25
SIDES: tuple[Literal["left"], Literal["right"]] = ("left", "right")


@dataclass(frozen=True, slots=True)
class Columns:
    """What a table of the world's runways consists of."""

    ends: NDArray[Any]
    """dtype END, shape (ends,), ordered by airfield."""
    airfields: NDArray[Any]
    """dtype AIRFIELD, shape (airfields,), ordered by ident."""
    names: tuple[str, ...]
    """The airfields' names, in their order."""
    navaids: NDArray[Any] = field(default_factory=lambda: np.zeros(0, dtype=NAVAID))
    """dtype NAVAID, shape (radio aids,), ordered by ident."""


class WorldRunways:
    """The columns, with what makes them quick to search. A RunwayStore."""

    def __init__(self, columns: Columns) -> None:
        self._columns = columns
        self._order, self._starts = _grid(columns.ends)
        self._centred_m = _centred_m(columns.ends)[self._order]
        self._idents = columns.airfields["ident"]
        self._ends: dict[int, RunwayEnd] = {}

    def __len__(self) -> int:
        """Return the number of runway ends."""
        return len(self._columns.ends)

    def near(self, *, latitude_deg: float, longitude_deg: float, within_nm: float) -> list[tuple[float, RunwayEnd]]:
        """Return chord in metres and end of those within a distance, in any order."""
        here = np.array(earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=0.0))
        limit_m = chord_limit_m(within_nm)
        found: list[tuple[float, RunwayEnd]] = []
        for first, last in self._slices(latitude_deg, longitude_deg, within_nm):
            apart_m = self._centred_m[first:last] - here
            chord_m = np.sqrt(np.einsum("ij,ij->i", apart_m, apart_m))
            found.extend(
                (float(chord_m[i]), self.end_at(int(self._order[first + i])))
                for i in np.flatnonzero(chord_m <= limit_m)
            )
        return found

    def airfield(self, ident: str) -> Airfield | None:
        """Return the airfield of that ident, or None."""
        row = self._row(ident.encode("utf-8"))
        return None if row is None else self._airfield(row)

    def similar(self, ident: str) -> list[str]:
        """Return idents that differ by one letter left out, added, changed, or swapped with its neighbour."""
        if not len(self._idents):
            return []
        wanted = np.array(sorted(_slips(ident.upper().encode("utf-8"))), dtype=self._idents.dtype)
        rows = np.searchsorted(self._idents, wanted)
        rows[rows == len(self._idents)] = 0
        return [hit.decode("ascii") for hit in wanted[self._idents[rows] == wanted]]

    def named(self, text: str) -> list[Airfield]:
        """Return the first airfields, in the order of their idents, whose name contains the text."""
        wanted = text.casefold()
        names, starts = self._folded_names
        rows: list[int] = []
        at = names.find(wanted) if wanted else -1
        while at >= 0 and len(rows) < MOST_NAMED:
            rows.append(bisect.bisect_right(starts, at) - 1)
            at = names.find(wanted, names.find("\n", at))
        return [self._airfield(row) for row in rows]

    def navaids(self, ident: str) -> list[Place]:
        """Return every radio aid of that ident."""
        wanted, idents = ident.encode("utf-8"), self._columns.navaids["ident"]
        if not 0 < len(wanted) <= idents.dtype.itemsize:
            return []
        first, last = (int(np.searchsorted(idents, np.bytes_(wanted), side=side)) for side in SIDES)
        return [
            Place(name=ident, latitude_deg=float(aid["latitude_deg"]), longitude_deg=float(aid["longitude_deg"]))
            for aid in self._columns.navaids[first:last]
        ]

    @cached_property
    def _folded_names(self) -> tuple[str, list[int]]:
        """Return all names in one text, a line each, and where each line starts."""
        lines = [f"{name.casefold()}\n" for name in self._columns.names]
        return "".join(lines), list(itertools.accumulate((len(line) for line in lines[:-1]), initial=0))

    def _slices(self, latitude_deg: float, longitude_deg: float, within_nm: float) -> list[tuple[int, int]]:
        """Return the stretches of `order` that hold every end within a distance, and some more."""
        reach_deg = within_nm * DEG_PER_NM
        south = max(0, math.floor(latitude_deg - reach_deg) + 90)
        north = min(CELLS_NORTH - 1, math.floor(latitude_deg + reach_deg) + 90)
        poleward_deg = abs(latitude_deg) + reach_deg
        if poleward_deg >= 89.0 or reach_deg >= 60.0:  # noqa: PLR2004 - every longitude is near
            return [(int(self._starts[south * CELLS_EAST]), int(self._starts[(north + 1) * CELLS_EAST]))]
        wide_deg = reach_deg / math.cos(math.radians(poleward_deg))
        west = math.floor(longitude_deg - wide_deg) + 180
        columns = min(CELLS_EAST, math.floor(longitude_deg + wide_deg) + 180 - west + 1)
        west %= CELLS_EAST
        return [
            (int(self._starts[row * CELLS_EAST + first]), int(self._starts[row * CELLS_EAST + last]))
            for row in range(south, north + 1)
            for first, last in _wrapped(west, columns)
        ]

    def _row(self, ident: bytes) -> int | None:
        if not 0 < len(ident) <= self._idents.dtype.itemsize:
            return None
        row = int(np.searchsorted(self._idents, np.bytes_(ident)))
        return row if row < len(self._idents) and self._idents[row] == ident else None

    def _airfield(self, row: int) -> Airfield:
        field = self._columns.airfields[row]
        first = int(field["first_end"])
        return Airfield(
            ident=field["ident"].decode("ascii"),
            name=self._columns.names[row],
            latitude_deg=float(field["latitude_deg"]),
            longitude_deg=float(field["longitude_deg"]),
            elevation_ft=float(field["elevation_ft"]),
            runways=tuple(
                Runway(ends=(self.end_at(end), self.end_at(end + 1)))
                for end in range(first, first + int(field["ends"]), 2)
            ),
            complete=bool(field["complete"]),
        )

    def end_at(self, row: int) -> RunwayEnd:
        """Return the end of a row, made once."""
        end = self._ends.get(row)
        if end is None:
            end = self._ends[row] = self._make_end(row)
        return end

    def _make_end(self, row: int) -> RunwayEnd:
        end = self._columns.ends[row]
        field = self._columns.airfields[end["airfield"]]
        return RunwayEnd(
            airfield=field["ident"].decode("ascii"),
            runway=end["runway"].decode("ascii"),
            opposite=self._columns.ends[row ^ 1]["runway"].decode("ascii"),
            latitude_deg=float(end["latitude_deg"]),
            longitude_deg=float(end["longitude_deg"]),
            elevation_ft=float(end["elevation_ft"]),
            course_true_deg=float(end["course_true_deg"]),
            length_ft=float(end["length_ft"]),
            width_ft=float(end["width_ft"]),
            displaced_ft=float(end["displaced_ft"]),
            magnetic_variation_deg=float(field["magnetic_variation_deg"]),
            surface=end["surface"].decode("utf-8", errors="ignore"),
            estimated=bool(end["estimated"]),
            course_source=COURSE_SOURCES[end["course_source"]],
        )


def _grid(ends: NDArray[Any]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the rows in the order of their cells, and where each cell starts in it."""
    row = np.clip(np.floor(ends["latitude_deg"]).astype(np.int64) + 90, 0, CELLS_NORTH - 1)
    cell = row * CELLS_EAST + (np.floor(ends["longitude_deg"]).astype(np.int64) + 180) % CELLS_EAST
    order = np.argsort(cell, kind="stable")
    starts = np.searchsorted(cell[order], np.arange(CELLS_NORTH * CELLS_EAST + 1))
    return order, starts


def _centred_m(ends: NDArray[Any]) -> NDArray[np.float64]:
    """Return earth-centred positions, shape (ends, 3): earth.earth_centred_m for columns, at height zero."""
    latitude, longitude = np.radians(ends["latitude_deg"]), np.radians(ends["longitude_deg"])
    radius = WGS84_A_M / np.sqrt(1.0 - WGS84_E2 * np.sin(latitude) ** 2)
    return np.column_stack(
        (
            radius * np.cos(latitude) * np.cos(longitude),
            radius * np.cos(latitude) * np.sin(longitude),
            radius * (1.0 - WGS84_E2) * np.sin(latitude),
        )
    )


def _wrapped(west: int, columns: int) -> list[tuple[int, int]]:
    """Return the stretches of a band of cells, split where it passes the antimeridian."""
    east = west + columns
    if east <= CELLS_EAST:
        return [(west, east)]
    return [(west, CELLS_EAST), (0, east - CELLS_EAST)]


def _slips(ident: bytes) -> set[bytes]:
    """Return every ident at one slip of the finger."""
    places = range(len(ident) + 1)
    parts = [(ident[:i], ident[i:]) for i in places]
    letters = [bytes((letter,)) for letter in IDENT_LETTERS]
    left_out = {a + b[1:] for a, b in parts if b}
    swapped = {a + b[1:2] + b[:1] + b[2:] for a, b in parts if len(b) > 1}
    changed = {a + letter + b[1:] for a, b in parts if b for letter in letters}
    added = {a + letter + b for a, b in parts for letter in letters}
    return {slip for slip in left_out | swapped | changed | added if slip and slip != ident}
