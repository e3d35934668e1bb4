"""Airfields in TOML: what is read, and every way to get one wrong."""

from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic

from otherseat.config.airfields import opposite_of, read_airfields
from otherseat.config.errors import ConfigError

GOOD = """
[[airfield]]
ident = "ZZKN"
name = "Kestrel North"
latitude_deg = 40.0
longitude_deg = -40.0
elevation_ft = 120
magnetic_variation_deg = 10.0

[[airfield.runway]]
width_ft = 100
surface = "asphalt"
ends = [
    { runway = "13", latitude_deg = 40.005, longitude_deg = -40.01, elevation_ft = 118, displaced_ft = 300 },
    { runway = "31", latitude_deg = 39.99, longitude_deg = -39.995 },
]
"""


def write(folder: Path, text: str) -> Path:
    """Write an airfields file."""
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_reads(tmp_path: Path) -> None:
    """An airfield comes with both ends, each with its own course and length."""
    (airfield,) = read_airfields(write(tmp_path, GOOD))
    first, second = airfield.ends
    inverse = Geodesic.WGS84.Inverse(40.005, -40.01, 39.99, -39.995)
    metres = inverse["s12"]

    assert ("ZZKN/13", "ZZKN/31") == (first.name, second.name)
    assert (118, 120) == (first.elevation_ft, second.elevation_ft)
    assert first.course_true_deg == pytest.approx(inverse["azi1"] % 360.0, abs=1e-4)
    assert second.course_true_deg == pytest.approx((inverse["azi2"] + 180.0) % 360.0, abs=1e-4)
    assert first.length_ft == pytest.approx(metres / 0.3048 - 300.0, abs=0.1)
    assert second.length_ft == pytest.approx(metres / 0.3048, abs=0.1)


def test_displaced_threshold(tmp_path: Path) -> None:
    """A displaced threshold lies that far inside the end of the surface, on the centreline."""
    first, _ = read_airfields(write(tmp_path, GOOD))[0].ends
    there = Geodesic.WGS84.Direct(40.005, -40.01, first.course_true_deg, 300 * 0.3048)

    assert first.latitude_deg == pytest.approx(there["lat2"], abs=5e-7)
    assert first.longitude_deg == pytest.approx(there["lon2"], abs=5e-7)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        pytest.param(
            "width_ft = 100",
            "widht_ft = 100",
            "airfield[1].runway[1].widht_ft: no such key; did you mean width_ft?",
            id="unknown-key",
        ),
        pytest.param("elevation_ft = 120", "", "airfield[1].elevation_ft: is missing", id="missing"),
        pytest.param(
            "latitude_deg = 40.0\n",
            "latitude_deg = 400.0\n",
            "airfield[1].latitude_deg: must be at most 90, was 400",
            id="range",
        ),
        pytest.param(
            "latitude_deg = 40.0\n",
            'latitude_deg = "40"\n',
            'airfield[1].latitude_deg: must be a number, was "40"',
            id="number-in-quotes",
        ),
        pytest.param(
            "latitude_deg = 40.0\n",
            "latitude_deg = nan\n",
            "airfield[1].latitude_deg: must be a number, was nan",
            id="nan",
        ),
        pytest.param(
            '"13"',
            '"1"',
            "airfield[1].runway[1].ends[1]: runway must be two digits from 01 to 36, with a letter or none, was 1",
            id="designator",
        ),
        pytest.param(
            '"31"', '"32"', "airfield[1].runway[1]: 13 and 32 are no pair: the other end of 13 is 31", id="no-pair"
        ),
        pytest.param(
            "39.99, longitude_deg = -39.995",
            "40.005, longitude_deg = -40.01",
            "airfield[1].runway[1]: both ends of 13/31 lie on one point",
            id="one-point",
        ),
        pytest.param(
            "width_ft = 100",
            "width_ft = 100\nlength_ft = 9000",
            "airfield[1].runway[1]: length_ft is 9000, but the ends lie 6894 ft apart",
            id="length",
        ),
        pytest.param(
            "displaced_ft = 300",
            "displaced_ft = 8000",
            "airfield[1].runway[1]: the displaced thresholds leave no runway between them",
            id="displaced",
        ),
        pytest.param(
            "displaced_ft = 300",
            "course_true_deg = 100",
            "airfield[1].runway[1]: course_true_deg of 13 is 100, but the ends lie along 142",
            id="course",
        ),
        pytest.param(
            "magnetic_variation_deg = 10.0",
            "magnetic_variation_deg = -60.0",
            "airfield[1]: ZZKN/13 lies along 202 magnetic: are its ends swapped?",
            id="swapped",
        ),
        pytest.param(
            "[[airfield.runway]]",
            "[airfield.runway]",
            'airfield[1].runway: must be a list, was {"width_ft": 100, "surface": "asphalt", "ends": [{"runway...',
            id="no-list",
        ),
        pytest.param('ident = "ZZKN"', "ident = ", "is not TOML: Invalid value (at line 3, column 9)", id="syntax"),
    ],
)
def test_wrong(tmp_path: Path, old: str, new: str, expected: str) -> None:
    """One line says the file, the key and what is wrong."""
    assert old in GOOD
    path = write(tmp_path, GOOD.replace(old, new, 1))

    with pytest.raises(ConfigError) as caught:
        read_airfields(path)

    assert f"{path}: {expected}" == str(caught.value)


def test_twice(tmp_path: Path) -> None:
    """Two airfields of one ident are refused."""
    path = write(tmp_path, GOOD + GOOD)

    with pytest.raises(ConfigError, match="two airfields are called ZZKN"):
        read_airfields(path)


def test_no_file(tmp_path: Path) -> None:
    """A file that isn't there is one line too."""
    path = tmp_path / "none.toml"

    with pytest.raises(ConfigError) as caught:
        read_airfields(path)

    assert f"{path}: can't be read: no such file or directory" == str(caught.value)


def test_not_text(tmp_path: Path) -> None:
    """Bytes that are no UTF-8 are told by their place."""
    path = tmp_path / "binary.toml"
    path.write_bytes(b"# \xff\xfe")

    with pytest.raises(ConfigError) as caught:
        read_airfields(path)

    assert f"{path}: is not UTF-8 at byte 2" == str(caught.value)


@pytest.mark.parametrize(
    ("designator", "expected"),
    [("01", "19"), ("18", "36"), ("19", "01"), ("36", "18"), ("09R", "27L"), ("27C", "09C"), ("34L", "16R")],
)
def test_opposite(designator: str, expected: str) -> None:
    """The other end is 18 tens of degrees on, with left and right changed."""
    assert expected == opposite_of(designator)
