"""The worldwide open airport, runway and radio aid tables (CSV files, public domain) into runways that can be believed.

navaids.csv   ident, latitude_deg, longitude_deg, ... of radio aids
airports.csv  id, ident, type, name, latitude_deg, longitude_deg, elevation_ft, ...
runways.csv   airport_ref, length_ft, width_ft, surface, closed, and for le_ (low) and he_ (high numbered end): ident,
              latitude_deg, longitude_deg, elevation_ft, heading_degT, displaced_threshold_ft
              A position is the end of the surface; a displaced threshold lies that far further in.

Course     from end to end when both ends are known, else as given, else from the designator and the magnetic variation.
Position   when neither end is known the runway is laid about the airfield's position and marked as estimated.
Elevation  of the end, else of the airfield.
Left out   closed ones; helicopter pads and places without directions; and, as doubts that are listed, what can't be
           true: no length or elevation, ends on one point or far away, ends or heading against the designator.
"""

import csv
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple, TextIO

from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.earth import WGS84_A_M, WGS84_E2
from otherseat.advisories.magnetic import opposite_designator, true_deg
from otherseat.advisories.runway import CourseSource, span_ft_deg
from otherseat.advisories.units import M_PER_FT

Variation = Callable[[float, float], float]
"""Magnetic variation, east positive, at a latitude and longitude."""

AID_IDENT = re.compile(r"[A-Z0-9]{1,8}")
NUMBERED = re.compile(r"^(0?[1-9]|[12][0-9]|3[0-6])([A-Z]?)$")
COMPASS_NAMES = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)
COMPASS = {name: 22.5 * i for i, name in enumerate(COMPASS_NAMES)}

SURFACES = {
    **dict.fromkeys(("asp", "asph", "asphalt", "bit", "bitum", "pem", "macadam"), "asphalt"),
    **dict.fromkeys(("con", "conc", "concrete"), "concrete"),
    **dict.fromkeys(("grs", "grass", "turf", "gre", "sod", "g", "gr"), "grass"),
    **dict.fromkeys(("gvl", "grvl", "gravel"), "gravel"),
    **dict.fromkeys(("dirt", "earth", "soil", "lat", "laterite", "clay", "cla"), "earth"),
    **dict.fromkeys(("san", "sand"), "sand"),
    **dict.fromkeys(("sno", "snow", "ice"), "snow or ice"),
    **dict.fromkeys(("unk", "unknown", "x", "u", ""), ""),
}
"""The tables' most frequent codes; they have hundreds."""

DEFAULT_WIDTH_FT = 75.0
"""Where none is given: the narrowest paved runway that is common."""
DESIGNATOR_TOLERANCE_DEG = 20.0
COMPASS_TOLERANCE_DEG = 45.0
"""A name such as NE means as far as to its neighbours among eight."""
TRUE_NUMBERS_POLEWARD_DEG = 60.0
"""Nearer to the poles, runways may be numbered by true or grid north: there true counts too."""
GRID_NUMBERS_SOUTH_DEG = -60.0
"""In Antarctica they are numbered by grid north, which the tables don't give: no check there."""
LENGTH_TOLERANCE = 0.25
LENGTH_FREE_FT = 300.0
FARTHEST_FROM_AIRFIELD_FT = 36_000.0
STEEPEST = 0.20
"""Rise over length; the steepest runways in use come close to it."""
HIGHEST_OVER_AIRFIELD_FT = 1_500.0
SAME_FT, SAME_DEG = 40.0, 1.0
"""Closer than any two strips lie side by side."""
LONGEST_FT, SHORTEST_FT = 30_000.0, 100.0


class Left(StrEnum):
    """Why a runway is left out without a doubt about the data."""

    CLOSED = "closed"
    NO_RUNWAY = "a helicopter pad, or no directions"


class DoubtError(ValueError):
    """A runway that can't be as the table says."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A runway that was kept out, and why."""

    runway: str
    reason: str


class Field(NamedTuple):
    """One airfield."""

    ident: str
    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_ft: float | None
    closed: bool


class End(NamedTuple):
    """One end that can be believed, at its landing threshold; None stands for nothing here."""

    runway: str
    latitude_deg: float
    longitude_deg: float
    elevation_ft: float
    course_true_deg: float
    length_ft: float
    width_ft: float
    displaced_ft: float
    surface: str
    estimated: bool
    course_source: CourseSource


class Told(NamedTuple):
    """One end as the table tells it."""

    runway: str
    latitude_deg: float | None
    longitude_deg: float | None
    elevation_ft: float | None
    course_true_deg: float | None
    displaced_ft: float


def read_fields(stream: TextIO) -> Iterator[tuple[str, Field]]:
    """Yield the airfields that have a usable ident and position, by their id."""
    for row in csv.DictReader(stream):
        latitude_deg, longitude_deg = _number(row["latitude_deg"]), _number(row["longitude_deg"])
        ident = row["ident"].strip().upper()
        if not ident.isascii() or not 0 < len(ident) <= 8 or latitude_deg is None or longitude_deg is None:  # noqa: PLR2004 - columns hold eight
            continue
        if not (-90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0):  # noqa: PLR2004
            continue
        yield (
            row["id"],
            Field(
                ident=ident,
                name=row["name"].strip(),
                latitude_deg=latitude_deg,
                longitude_deg=longitude_deg,
                elevation_ft=_number(row["elevation_ft"]),
                closed=row["type"] == "closed",
            ),
        )


def read_navaids(stream: TextIO) -> Iterator[tuple[str, float, float]]:
    """Yield ident, latitude and longitude of the radio aids that have a usable ident and position."""
    for row in csv.DictReader(stream):
        latitude_deg, longitude_deg = _number(row["latitude_deg"]), _number(row["longitude_deg"])
        ident = row["ident"].strip().upper()
        if latitude_deg is not None and longitude_deg is not None and AID_IDENT.fullmatch(ident):
            yield ident, latitude_deg, longitude_deg


def read_runways(stream: TextIO) -> Iterable[Mapping[str, str]]:
    """Return the rows of runways.csv."""
    return csv.DictReader(stream)


def believe(row: Mapping[str, str], *, field: Field, variation: Variation) -> tuple[End, End] | Left:
    """Return both ends of a runway, or why it is left out; raise DoubtError when it can't be as it is told."""
    if field.closed or row["closed"] == "1":
        return Left.CLOSED
    names = _names(row["le_ident"], row["he_ident"])
    if names is None:
        return Left.NO_RUNWAY
    low, high = (_told(row, prefix, name) for prefix, name in zip(("le_", "he_"), names, strict=True))
    length_ft = _length_ft(row)
    width_ft = _number(row["width_ft"])
    shape = _shape(low, high, length_ft=length_ft, field=field, variation=variation)
    elevations = _elevations(low, high, field=field, length_ft=shape.length_ft)
    return (
        _end(low, shape, flip=False, elevation_ft=elevations[0], width_ft=width_ft, surface=row["surface"]),
        _end(high, shape, flip=True, elevation_ft=elevations[1], width_ft=width_ft, surface=row["surface"]),
    )


def clashing(end: End, other: End) -> str | None:
    """Return why two ends can't both be at one airfield, or None when they can."""
    if end.runway == other.runway:
        return "there is another of that name"
    if end.estimated or other.estimated or abs(difference_deg(end.course_true_deg, other.course_true_deg)) > SAME_DEG:
        return None
    apart_ft, _ = _span((end.latitude_deg, end.longitude_deg), (other.latitude_deg, other.longitude_deg))
    return f"lies on {other.runway}" if apart_ft < SAME_FT else None


class Shape(NamedTuple):
    """Where the surface lies: its low end, its high end, its course from low to high."""

    low: tuple[float, float]
    high: tuple[float, float]
    course_true_deg: float
    length_ft: float
    estimated: bool
    source: CourseSource


def _shape(low: Told, high: Told, *, length_ft: float | None, field: Field, variation: Variation) -> Shape:
    if None not in (low.latitude_deg, low.longitude_deg, high.latitude_deg, high.longitude_deg):
        return _surveyed(low, high, length_ft=length_ft, field=field, variation=variation)
    if length_ft is None:
        raise DoubtError("no length, and its ends are not known")
    course_deg, source = _course(low, high, field=field, variation=variation)
    half_ft = length_ft / 2.0
    at = (field.latitude_deg, field.longitude_deg)
    return Shape(
        low=moved(at, course_true_deg=course_deg + 180.0, distance_ft=half_ft),
        high=moved(at, course_true_deg=course_deg, distance_ft=half_ft),
        course_true_deg=course_deg,
        length_ft=length_ft,
        estimated=True,
        source=source,
    )


def _surveyed(low: Told, high: Told, *, length_ft: float | None, field: Field, variation: Variation) -> Shape:
    ends = (
        (float(low.latitude_deg or 0.0), float(low.longitude_deg or 0.0)),
        (
            float(high.latitude_deg or 0.0),
            float(high.longitude_deg or 0.0),
        ),
    )
    for latitude_deg, longitude_deg in ends:
        if not (-90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0):  # noqa: PLR2004
            raise DoubtError("an end is nowhere on earth")
    span_ft, course_deg = _span(ends[0], ends[1])
    if span_ft < SHORTEST_FT:
        raise DoubtError("both ends lie on one point")
    if max(_span(end, (field.latitude_deg, field.longitude_deg))[0] for end in ends) > FARTHEST_FROM_AIRFIELD_FT:
        raise DoubtError("an end lies more than 6 NM from the airfield")
    if length_ft is not None and abs(span_ft - length_ft) > max(LENGTH_TOLERANCE * length_ft, LENGTH_FREE_FT):
        raise DoubtError(f"{length_ft:.0f} ft long, but its ends lie {span_ft:.0f} ft apart")
    _check_number(low.runway, course_deg, told="its ends lie", field=field, variation=variation)
    return Shape(
        low=ends[0],
        high=ends[1],
        course_true_deg=course_deg,
        length_ft=span_ft,
        estimated=False,
        source=CourseSource.ENDS,
    )


def _course(low: Told, high: Told, *, field: Field, variation: Variation) -> tuple[float, CourseSource]:
    """Return the course from low to high of a runway whose ends nobody told."""
    given_deg = low.course_true_deg
    if given_deg is None and high.course_true_deg is not None:
        given_deg = normal_deg(high.course_true_deg + 180.0)
    if given_deg is None:
        by_number_deg = _painted_deg(low.runway)
        if low.runway in COMPASS:
            return by_number_deg, CourseSource.DESIGNATOR
        east_deg = variation(field.latitude_deg, field.longitude_deg)
        return true_deg(magnetic_deg=by_number_deg, variation_deg=east_deg), CourseSource.DESIGNATOR
    _check_number(low.runway, given_deg, told="its heading is given", field=field, variation=variation)
    return given_deg, CourseSource.GIVEN


def _check_number(runway: str, course_true_deg: float, *, told: str, field: Field, variation: Variation) -> None:
    """Raise DoubtError when a true course is not what the designator says, in its most favourable reading."""
    if field.latitude_deg < GRID_NUMBERS_SOUTH_DEG:
        return
    readings_deg = [course_true_deg - variation(field.latitude_deg, field.longitude_deg)]
    if runway in COMPASS or abs(field.latitude_deg) > TRUE_NUMBERS_POLEWARD_DEG:
        readings_deg.append(course_true_deg)
    off_deg = min(abs(difference_deg(reading, _painted_deg(runway))) for reading in readings_deg)
    if off_deg > (COMPASS_TOLERANCE_DEG if runway in COMPASS else DESIGNATOR_TOLERANCE_DEG):
        raise DoubtError(f"called {runway}, but {told} {off_deg:.0f} degrees from that")


def _painted_deg(runway: str) -> float:
    return COMPASS[runway] if runway in COMPASS else 10.0 * int(runway[:2])


def _names(low: str, high: str) -> tuple[str, str] | None:
    """Return both designators in two figures; a missing one is the other's opposite; None when it has no directions."""
    known = [_name(low), _name(high)]
    if known[0] is None and (known[1] is None or low.strip()):
        return None
    if known[1] is None and high.strip():
        return None
    first = known[0] or _opposite(str(known[1]))
    second = known[1] or _opposite(first)
    if first[:2] != _opposite(second)[:2] or first == second:
        raise DoubtError(f"called {first} and {second}, which are no pair")
    return first, second


def _name(text: str) -> str | None:
    name = text.strip().upper()
    numbered = NUMBERED.match(name)
    if numbered:
        return f"{int(numbered[1]):02d}{numbered[2]}"
    return name if name in COMPASS else None


def _opposite(name: str) -> str:
    if name in COMPASS:
        return COMPASS_NAMES[(COMPASS_NAMES.index(name) + 8) % 16]
    return opposite_designator(name)


def _told(row: Mapping[str, str], prefix: str, name: str) -> Told:
    return Told(
        runway=name,
        latitude_deg=_number(row[f"{prefix}latitude_deg"]),
        longitude_deg=_number(row[f"{prefix}longitude_deg"]),
        elevation_ft=_number(row[f"{prefix}elevation_ft"]),
        course_true_deg=_number(row[f"{prefix}heading_degT"]),
        displaced_ft=max(0.0, _number(row[f"{prefix}displaced_threshold_ft"]) or 0.0),
    )


def _length_ft(row: Mapping[str, str]) -> float | None:
    length_ft = _number(row["length_ft"])
    if length_ft is not None and not SHORTEST_FT <= length_ft <= LONGEST_FT:
        raise DoubtError(f"{length_ft:.0f} ft long")
    return length_ft


def _elevations(low: Told, high: Told, *, field: Field, length_ft: float) -> tuple[float, float]:
    told = low.elevation_ft, high.elevation_ft
    either = next((e for e in (field.elevation_ft, *told) if e is not None), None)
    if either is None:
        raise DoubtError("nobody tells its elevation")
    first, second = (either if elevation is None else elevation for elevation in told)
    if field.elevation_ft is not None:
        worst_ft = max(abs(first - field.elevation_ft), abs(second - field.elevation_ft))
        if worst_ft > HIGHEST_OVER_AIRFIELD_FT:
            raise DoubtError(f"an end lies {worst_ft:.0f} ft above or below its airfield")
    if None not in told and abs(first - second) > STEEPEST * length_ft:
        raise DoubtError(f"its ends lie {abs(first - second):.0f} ft above one another")
    return first, second


def _end(told: Told, shape: Shape, *, flip: bool, elevation_ft: float, width_ft: float | None, surface: str) -> End:
    near, far = (shape.high, shape.low) if flip else (shape.low, shape.high)
    displaced_ft = told.displaced_ft if told.displaced_ft < shape.length_ft / 2.0 else 0.0
    inward = displaced_ft / shape.length_ft
    return End(
        runway=told.runway,
        latitude_deg=near[0] + inward * (far[0] - near[0]),
        longitude_deg=difference_deg(near[1] + inward * difference_deg(far[1], near[1]), 0.0),
        elevation_ft=elevation_ft,
        course_true_deg=normal_deg(shape.course_true_deg + (180.0 if flip else 0.0)),
        length_ft=shape.length_ft - displaced_ft,
        width_ft=width_ft if width_ft is not None and width_ft > 0.0 else DEFAULT_WIDTH_FT,
        displaced_ft=displaced_ft,
        surface=_surface(surface),
        estimated=shape.estimated,
        course_source=shape.source,
    )


def _surface(text: str) -> str:
    """Return a surface in plain words where its code is a known one, else as the table has it."""
    first = re.split(r"[-/ ,]", text.strip().lower())[0]
    return SURFACES.get(first, first)


def moved(at: tuple[float, float], *, course_true_deg: float, distance_ft: float) -> tuple[float, float]:
    """Return the position so far from another, for distances of a runway's length (1 m in 10 km at 60 degrees)."""
    latitude = math.radians(at[0])
    bend = 1.0 - WGS84_E2 * math.sin(latitude) ** 2
    north_m = distance_ft * M_PER_FT * math.cos(math.radians(course_true_deg))
    east_m = distance_ft * M_PER_FT * math.sin(math.radians(course_true_deg))
    north_deg = math.degrees(north_m / (WGS84_A_M * (1.0 - WGS84_E2) / bend**1.5))
    east_deg = math.degrees(east_m / (WGS84_A_M / math.sqrt(bend) * max(math.cos(latitude), 1e-6)))
    return at[0] + north_deg, difference_deg(at[1] + east_deg, 0.0)


def _span(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
    return span_ft_deg(latitude_deg=a[0], longitude_deg=a[1], to_latitude_deg=b[0], to_longitude_deg=b[1])


def _number(text: str | None) -> float | None:
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
