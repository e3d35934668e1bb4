"""Airfields in TOML: a person's own, and the invented islands that the demo flies over.

[[airfield]]
ident = "ZZKN"
name = "Kestrel North"
latitude_deg, longitude_deg, elevation_ft, magnetic_variation_deg (east positive)

[[airfield.runway]]
length_ft       the whole surface; left out: the distance between the two ends
width_ft
surface
ends            two of { runway, latitude_deg, longitude_deg, elevation_ft, displaced_ft, path_angle_deg,
                threshold_crossing_height_ft, course_true_deg }

[[fix]]         a point of routes and holds: name, latitude_deg, longitude_deg

An end's position is the middle of the end of the surface; its landing threshold lies displaced_ft further in. Left out,
an elevation is the airfield's, a course runs from end to end, and a variation is the World Magnetic Model's there.
"""

import importlib.resources
import re
from collections.abc import Iterator
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Annotated, NamedTuple, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.magnetic import opposite_designator
from otherseat.advisories.runway import Airfield, Place, Runway, RunwayEnd, span_ft_deg
from otherseat.advisories.variation import model_variation_deg
from otherseat.config.toml_files import read_model

LENGTH_TOLERANCE = 0.05
"""A length may differ from the distance between the ends by this share: stopways are counted or not."""
COURSE_TOLERANCE_DEG = 3.0
DESIGNATOR_TOLERANCE_DEG = 20.0

Latitude = Annotated[float, Field(ge=-90, le=90)]
Longitude = Annotated[float, Field(ge=-180, le=180)]
Elevation = Annotated[float, Field(ge=-1_500, le=20_000)]


def _name(text: str) -> str:
    if not re.fullmatch(r"[A-Z0-9][A-Z0-9-]{1,7}", text):
        raise ValueError(f"must be two to eight capitals and figures, was {text}")
    return text


Name = Annotated[str, AfterValidator(_name)]


class Table(BaseModel):
    """Frozen, finite, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class EndTable(Table):
    """One end of a runway as the file has it."""

    runway: str
    latitude_deg: Latitude
    longitude_deg: Longitude
    elevation_ft: Elevation | None = None
    displaced_ft: float = Field(default=0.0, ge=0, le=10_000)
    path_angle_deg: float = Field(default=3.0, ge=2.0, le=7.5)
    threshold_crossing_height_ft: float = Field(default=50.0, ge=0, le=120)
    course_true_deg: float | None = Field(default=None, ge=0, le=360)

    @model_validator(mode="after")
    def _designator(self) -> Self:
        opposite_of(self.runway)
        return self


class RunwayTableEntry(Table):
    """One runway as the file has it."""

    length_ft: float | None = Field(default=None, gt=0, le=30_000)
    width_ft: float = Field(default=100.0, gt=0, le=1_000)
    surface: str = Field(default="", max_length=40)
    ends: tuple[EndTable, EndTable]

    @model_validator(mode="after")
    def _believable(self) -> Self:
        first, second = self.ends
        expected = opposite_of(first.runway)
        if second.runway[:2] != expected[:2] or second.runway[2:] != expected[2:]:
            raise ValueError(
                f"{first.runway} and {second.runway} are no pair: the other end of {first.runway} is {expected}"
            )
        span_ft, course_deg = span_between(first, second)
        if span_ft < 1.0:
            raise ValueError(f"both ends of {first.runway}/{second.runway} lie on one point")
        if self.length_ft is not None and abs(self.length_ft - span_ft) > max(LENGTH_TOLERANCE * span_ft, 50.0):
            raise ValueError(f"length_ft is {self.length_ft:.0f}, but the ends lie {span_ft:.0f} ft apart")
        if first.displaced_ft + second.displaced_ft >= span_ft:
            raise ValueError("the displaced thresholds leave no runway between them")
        for end, course in ((first, course_deg), (second, normal_deg(course_deg + 180.0))):
            if (
                end.course_true_deg is not None
                and abs(difference_deg(end.course_true_deg, course)) > COURSE_TOLERANCE_DEG
            ):
                raise ValueError(
                    f"course_true_deg of {end.runway} is {end.course_true_deg:.0f}, but the ends lie along {course:.0f}"
                )
        return self


class AirfieldTable(Table):
    """One airfield as the file has it."""

    ident: Name
    name: str = Field(min_length=1, max_length=80)
    latitude_deg: Latitude
    longitude_deg: Longitude
    elevation_ft: Elevation
    magnetic_variation_deg: float | None = Field(default=None, ge=-180, le=180)
    runway: tuple[RunwayTableEntry, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _designators_point_right(self) -> Self:
        names = [end.runway for runway in self.runway for end in runway.ends]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"{self.ident} has two runways {name}")
        misnamed = next(self.misnamed(), None)
        if misnamed is not None and self.magnetic_variation_deg is not None:
            raise ValueError(misnamed)
        return self

    @property
    def variation_deg(self) -> float:
        """Return the variation as given, or the model's."""
        if self.magnetic_variation_deg is not None:
            return self.magnetic_variation_deg
        return model_variation_deg(self.latitude_deg, self.longitude_deg)

    def misnamed(self) -> Iterator[str]:
        """Yield a line for each runway that lies elsewhere than its designator says."""
        for runway in self.runway:
            first, second = runway.ends
            course = normal_deg(span_between(first, second)[1] - self.variation_deg)
            if abs(difference_deg(course, 10.0 * int(first.runway[:2]))) > DESIGNATOR_TOLERANCE_DEG:
                yield f"{self.ident}/{first.runway} lies along {course:03.0f} magnetic: are its ends swapped?"


class FixTable(Table):
    """One fix as the file has it."""

    name: Name
    latitude_deg: Latitude
    longitude_deg: Longitude


class AirfieldsFile(Table):
    """A whole file."""

    airfield: tuple[AirfieldTable, ...] = ()
    fix: tuple[FixTable, ...] = ()

    @model_validator(mode="after")
    def _something_once(self) -> Self:
        if not self.airfield and not self.fix:
            raise ValueError("there is neither an [[airfield]] nor a [[fix]]")
        idents = [airfield.ident for airfield in self.airfield]
        for ident in idents:
            if idents.count(ident) > 1:
                raise ValueError(f"two airfields are called {ident}")
        return self


def opposite_of(designator: str) -> str:
    """Return the designator of the same surface's other end, such as 27L for 09R; ValueError for no designator."""
    number, side = designator[:2], designator[2:]
    if not (len(number) == 2 and number.isascii() and number.isdigit() and 1 <= int(number) <= 36):  # noqa: PLR2004
        raise ValueError(f"runway must be two digits from 01 to 36, with a letter or none, was {designator}")
    if len(side) > 1 or (side and not ("A" <= side <= "Z")):
        raise ValueError(f"runway must be two digits from 01 to 36, with a letter or none, was {designator}")
    return opposite_designator(designator)


def span_between(first: EndTable, second: EndTable) -> tuple[float, float]:
    """Return feet and true course from one end to the other."""
    return span_ft_deg(
        latitude_deg=first.latitude_deg,
        longitude_deg=first.longitude_deg,
        to_latitude_deg=second.latitude_deg,
        to_longitude_deg=second.longitude_deg,
    )


class Places(NamedTuple):
    """What is in a file."""

    airfields: list[Airfield]
    fixes: list[Place]
    remarks: list[str]
    """What was taken to be so because the file does not say it."""


def read_places(path: Path | Traversable) -> Places:
    """Return the airfields and fixes in a TOML file, or raise ConfigError."""
    file = read_model(path=path, model=AirfieldsFile)
    return Places(
        airfields=[_airfield(table) for table in file.airfield],
        fixes=[
            Place(name=fix.name, latitude_deg=fix.latitude_deg, longitude_deg=fix.longitude_deg) for fix in file.fix
        ],
        remarks=[line for table in file.airfield if table.magnetic_variation_deg is None for line in _remarks(table)],
    )


def _remarks(table: AirfieldTable) -> Iterator[str]:
    yield (
        f"{table.ident}: no magnetic_variation_deg, so the World Magnetic Model's, {table.variation_deg:.1f} (east is "
        "positive); give it where your simulator has another"
    )
    yield from table.misnamed()


def read_airfields(path: Path | Traversable) -> list[Airfield]:
    """Return the airfields in a TOML file, or raise ConfigError."""
    return read_places(path).airfields


def demo_airfields() -> list[Airfield]:
    """Return the invented airfields of the demo, which come with the package."""
    return read_airfields(importlib.resources.files("otherseat.config") / "airfields" / "demo.toml")


def _airfield(table: AirfieldTable) -> Airfield:
    return Airfield(
        ident=table.ident,
        name=table.name,
        latitude_deg=table.latitude_deg,
        longitude_deg=table.longitude_deg,
        elevation_ft=table.elevation_ft,
        runways=tuple(_runway(runway, airfield=table) for runway in table.runway),
    )


def _runway(table: RunwayTableEntry, *, airfield: AirfieldTable) -> Runway:
    first, second = table.ends
    return Runway(
        ends=(
            _end(first, second, runway=table, airfield=airfield),
            _end(second, first, runway=table, airfield=airfield),
        )
    )


def _end(end: EndTable, far: EndTable, *, runway: RunwayTableEntry, airfield: AirfieldTable) -> RunwayEnd:
    span_ft, course_deg = span_between(end, far)
    inward = end.displaced_ft / span_ft
    latitude_deg = end.latitude_deg + inward * (far.latitude_deg - end.latitude_deg)
    longitude_deg = end.longitude_deg + inward * difference_deg(far.longitude_deg, end.longitude_deg)
    return RunwayEnd(
        airfield=airfield.ident,
        runway=end.runway,
        opposite=far.runway,
        latitude_deg=latitude_deg,
        longitude_deg=difference_deg(longitude_deg, 0.0),
        elevation_ft=airfield.elevation_ft if end.elevation_ft is None else end.elevation_ft,
        course_true_deg=course_deg if end.course_true_deg is None else end.course_true_deg,
        length_ft=(runway.length_ft or span_ft) - end.displaced_ft,
        width_ft=runway.width_ft,
        displaced_ft=end.displaced_ft,
        path_angle_deg=end.path_angle_deg,
        threshold_crossing_height_ft=end.threshold_crossing_height_ft,
        magnetic_variation_deg=airfield.variation_deg,
        surface=runway.surface,
    )
