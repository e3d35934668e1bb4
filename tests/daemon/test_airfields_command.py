"""`otherseat airfields`, on folders of its own."""

from pathlib import Path

import platformdirs
import pytest
from click.testing import CliRunner, Result
from geographiclib.geodesic import Geodesic

from otherseat.advisories.magnetic import magnetic_field
from otherseat.config import known_runways
from otherseat.daemon.airfields_command import airfields
from tests.config.test_airfields import GOOD
from tests.config.test_world import SURVEYED, UNSURVEYED, tables

AUK = "1,ZZAA,small_airport,Auk,0.0,0.008,20"


@pytest.fixture(autouse=True)
def small_world(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep everything in a folder of the test, with a world of two small tables; return where downloads may lie."""
    monkeypatch.setattr(platformdirs, "user_data_path", lambda *_a, **_k: tmp_path / "own")
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_a, **_k: tmp_path / "cache")
    swapped = "1,6000,100,ASP,0,24,0,0,,,,06,0,0.01643,,,"
    world = tables(tmp_path / "world", SURVEYED, swapped, airports=(AUK,))
    monkeypatch.setattr(known_runways, "packaged_tables", lambda: world)
    return tmp_path


def run(*arguments: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(airfields, arguments)


def test_find_by_ident() -> None:
    """An airfield is described with its runways and where one lands: 5,501 ft apart, by hand 0.01506 degrees."""
    assert run("find", "zzaa").output == (
        "ZZAA  Auk  0.0000N 0.0080E  20 ft\n"
        "  09/27  6,001 x 100 ft  asphalt  090/270 true  094/274 magnetic\n"
        "      threshold 09 0.00000N 0.00000E, 30 ft\n"
        "      threshold 27 0.00000N 0.01506E, 10 ft, displaced 500 ft\n"
    )


@pytest.mark.parametrize("words", [["au"], ["--near", "0.1,0.0"], ["--near=-0.1,0.01", "--within", "30"]])
def test_find_otherwise(words: list[str]) -> None:
    """Part of a name and a place nearby find it too."""
    assert run("find", *words).output.startswith("ZZAA  Auk")


@pytest.mark.parametrize(
    ("words", "code", "expected"),
    [
        (["ZZAB"], 1, "Error: no such place: ZZAB; nearest: ZZPS, ZZKN, ZZAA\n"),
        (["nowhere"], 1, "Error: no such place: NOWHERE\n"),
        (
            ["47.4,8.5"],
            1,
            "Error: no such place: 47.4,8.5; near a position: otherseat airfields find --near=47.4,8.5\n",
        ),
        (
            ["47.4", "8"],
            1,
            "Error: no such place: 47.4 8; near a position: otherseat airfields find --near=47.4,8\n",
        ),
        ([], 2, "otherseat: say an ident, a part of a name, or --near LATITUDE,LONGITUDE\n"),
        (["ZZAA", "--near", "1,2"], 2, "otherseat: say an ident, a part of a name, or --near LATITUDE,LONGITUDE\n"),
        (["--near", "x"], 2, "otherseat: --near needs LATITUDE,LONGITUDE in degrees, such as 47.5,-3.1, not x\n"),
        (["--near", "91,0"], 2, "otherseat: a latitude is from -90 to 90 and a longitude from -180 to 180\n"),
        (["--near", "50,50"], 1, "Error: no runway is known within 20 NM of 50,50\n"),
    ],
)
def test_find_nothing(words: list[str], code: int, expected: str) -> None:
    """What can't be found or understood is one line."""
    result = run("find", *words)

    assert (code, expected) == (result.exit_code, result.output)


def test_find_without_accents(small_world: Path) -> None:
    """A name is found as any keyboard writes it, the world's and one's own, which hides the world's of its ident."""
    tables(small_world / "world", SURVEYED, airports=(AUK.replace("Auk", "Zürøk Öst"),))
    known = ["zurok", "ZÜRØK", "ost", "Zürøk o"]

    assert ["ZZAA  Zürøk Öst"] * len(known) == [run("find", text).output.partition("  0.0")[0] for text in known]

    file = small_world / "mine.toml"
    file.write_text(GOOD.replace("ZZKN", "ZZAA").replace("Kestrel North", "Késtrel Öy"), encoding="utf-8")
    run("add", str(file))
    assert run("find", "kestrel o").output.startswith("ZZAA  Késtrel")
    assert run("find", "zurok").output == "Error: no such place: ZUROK\n"


def test_add_toml(small_world: Path) -> None:
    """One's own file is checked, kept, and found from then on."""
    file = small_world / "mine.toml"
    file.write_text(GOOD, encoding="utf-8")

    assert run("add", str(file)).output.startswith("added 1 airfields with 1 runways, and 0 fixes\nkept in ")
    assert run("find", "ZZKN").output.startswith("ZZKN  Kestrel North")


def test_the_example_of_the_help_can_be_added(small_world: Path) -> None:
    """Who types off what `--help` shows has an airfield with a runway both ways, and a fix."""
    help_text = run("add", "--help").output
    example = help_text[help_text.index("[[airfield]]") : help_text.index("Options:")]
    file = small_world / "reef.toml"
    file.write_text(example, encoding="utf-8")

    assert run("add", str(file)).output.startswith("added 1 airfields with 1 runways, and 1 fixes\nkept in ")
    assert "08/26" in run("find", "ZZLR").output


def test_a_variation_that_is_not_given_is_told(small_world: Path) -> None:
    """It is the World Magnetic Model's, and is said, with a runway that it makes lie elsewhere than it is called."""
    file = small_world / "mine.toml"
    file.write_text(GOOD.replace("magnetic_variation_deg = 10.0\n", ""), encoding="utf-8")
    lines = run("add", str(file)).output.splitlines()
    model_deg = magnetic_field(latitude_deg=40.0, longitude_deg=-40.0, decimal_year=2026.9).variation_deg

    told_deg = float(lines[2].partition("Model's, ")[2].partition(" ")[0])
    assert model_deg == pytest.approx(told_deg, abs=0.9)
    course_deg = Geodesic.WGS84.Inverse(40.005, -40.01, 39.99, -39.995)["azi1"]
    magnetic_deg = int(lines[3].partition("ZZKN/13 lies along ")[2].partition(" ")[0])
    assert course_deg - model_deg == pytest.approx(magnetic_deg, abs=1.5)
    assert f"{magnetic_deg}/{magnetic_deg + 180} magnetic" in run("find", "ZZKN").output


def test_add_a_wrong_file(small_world: Path) -> None:
    """A file that can't be used is not kept."""
    file = small_world / "mine.toml"
    file.write_text(GOOD.replace("width_ft", "widht_ft"), encoding="utf-8")
    result = run("add", str(file))

    assert result.exit_code == 2
    assert f"{file}: airfield[1].runway[1].widht_ft: no such key; did you mean width_ft?" in result.output
    assert not (small_world / "own").exists()


@pytest.mark.parametrize("given", ["", "runways.csv"])
def test_add_a_download(small_world: Path, given: str) -> None:
    """A newer download of the open tables is named by its folder or by a file of it, and replaces what it has."""
    tables(small_world / "new", UNSURVEYED, airports=(AUK.replace("Auk", "Great Auk"),))
    result = run("add", str(small_world / "new" / given))

    assert result.output.startswith("added 1 airfields with 1 runways\nkept out 0")
    assert "place estimated, course from the designator" in run("find", "great auk").output


def test_add_half_a_download(small_world: Path) -> None:
    """Both tables are needed."""
    tables(small_world / "new", UNSURVEYED).airports.unlink()
    result = run("add", str(small_world / "new"))

    assert result.exit_code == 2
    assert result.output == f"otherseat: {small_world / 'new'}: must hold airports.csv and runways.csv, gzip or not\n"


def test_doubts() -> None:
    """What was kept out is listed with its reason, and counted."""
    lines = run("doubts").output.splitlines()

    assert "ZZAA/24      called 24, but its ends lie 146 degrees from that" == lines[0]
    assert ["kept out 1 of 2 runways:", "     1  ends against designator, length or height"] == lines[2:]


@pytest.mark.parametrize(
    ("ident", "expected"),
    [
        ("zzaa", "ZZAA/24      called 24, but its ends lie 146 degrees from that\n"),
        ("ZZBB", "no runway of ZZBB was kept out\n"),
    ],
)
def test_doubts_of_one(ident: str, expected: str) -> None:
    """One airfield's are listed alone."""
    assert expected == run("doubts", ident).output
