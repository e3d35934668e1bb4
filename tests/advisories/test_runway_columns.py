"""The world's runways in columns: the grid misses nothing, against a geodesic library end by end."""

import random

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.runway_columns import AIRFIELD, END, Columns, WorldRunways


def scattered(*, count: int, seed: int) -> Columns:
    """Make airfields of one runway each all over the world, more of them where grids go wrong."""
    chance = random.Random(seed)
    ends = np.zeros(2 * count, dtype=END)
    airfields = np.zeros(count, dtype=AIRFIELD)
    for row in range(count):
        latitude = chance.choice([chance.uniform(-90, 90), chance.uniform(88, 90), chance.uniform(-1, 1)])
        longitude = chance.choice([chance.uniform(-180, 180), chance.uniform(179, 180), chance.uniform(-180, -179)])
        airfields[row] = (f"ZZ{row:04d}".encode(), latitude, longitude, 0.0, 0.0, 2 * row, 2, True)
        for end, name in ((2 * row, b"18"), (2 * row + 1, b"36")):
            ends[end] = (row, name, latitude, longitude, 0.0, 180.0, 5_000.0, 100.0, 0.0, b"grass", False, 0)
    return Columns(ends=ends, airfields=airfields, names=tuple(f"Islet {row}" for row in range(count)))


COLUMNS = scattered(count=400, seed=3)
WORLD = WorldRunways(COLUMNS)
TABLE = RunwayTable(behind=WORLD)


@pytest.mark.parametrize("within_nm", [5.0, 60.0, 600.0])
@pytest.mark.parametrize(
    "here",
    [(0.0, 0.0), (0.5, 179.9), (-0.5, -179.95), (89.5, 10.0), (-90.0, 0.0), (89.0, 180.0), (52.3, 13.4)],
    ids=str,
)
def test_near(here: tuple[float, float], within_nm: float) -> None:
    """Exactly the ends within a distance are found: over the poles and the antimeridian as well."""
    distances = [Geodesic.WGS84.Inverse(*here, e["latitude_deg"], e["longitude_deg"])["s12"] for e in COLUMNS.ends]
    sure = {i for i, metres in enumerate(distances) if metres < 0.99 * within_nm * 1852.0}
    possible = {i for i, metres in enumerate(distances) if metres < 1.01 * within_nm * 1852.0}

    near = TABLE.near(latitude_deg=here[0], longitude_deg=here[1], within_nm=within_nm)
    found = {2 * int(end.airfield[2:]) + (end.runway == "36") for end in near}

    assert sure <= found <= possible


def test_end_and_airfield() -> None:
    """Rows become the objects that everybody else uses."""
    airfield = TABLE.airfield("ZZ0007")
    (first, second) = airfield.ends

    assert ("ZZ0007", "Islet 7") == (airfield.ident, airfield.name)
    assert ("18", "36") == (first.runway, first.opposite)
    assert ("36", "18") == (second.runway, second.opposite)
    assert (5_000.0, "grass", False) == (first.length_ft, first.surface, first.estimated)


@pytest.mark.parametrize("slip", ["ZZ007", "ZZ00077", "ZZ0O07", "ZZ0070", "Z0Z007"])
def test_did_you_mean(slip: str) -> None:
    """One letter left out, added, changed, or swapped with its neighbour still finds the airfield."""
    assert "ZZ0007" in WORLD.similar(slip)


@pytest.mark.parametrize("ident", ["", "ZZ0007X", "ZZ00070000000", "ÖÖÖÖ", "zz0007"])
def test_no_such_ident(ident: str) -> None:
    """Whatever is no ident is not found, whatever its letters."""
    assert WORLD.airfield(ident) is None


def test_empty() -> None:
    """A world without runways answers every question with nothing."""
    empty = WorldRunways(Columns(ends=COLUMNS.ends[:0], airfields=COLUMNS.airfields[:0], names=()))

    assert (0, None, [], []) == (len(empty), empty.airfield("ZZ0007"), empty.similar("ZZ0007"), empty.named("islet"))
    assert empty.near(latitude_deg=0.0, longitude_deg=0.0, within_nm=500.0) == []


def test_named() -> None:
    """A part of a name finds its airfields, in any case, each once."""
    assert {"ZZ0039", *(f"ZZ039{i}" for i in range(10))} == {field.ident for field in WORLD.named("LET 39")}
    assert WORLD.named("") == []
    assert WORLD.named("nowhere") == []


def test_find() -> None:
    """An ident wins over a name."""
    assert ["ZZ0001"] == [field.ident for field in TABLE.find(" zz0001 ")]
    assert ["ZZ0399"] == [field.ident for field in TABLE.find("islet 399")]
