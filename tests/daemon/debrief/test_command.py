"""`otherseat debrief`: files, folders, tracks, and what it says when something is wrong."""

import sys
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result
from pyarrow import parquet

from otherseat.daemon.debrief.command import debrief
from otherseat.daemon.fly import CAUTION_LINE
from tests.daemon.debrief.made import Landing, school, write
from tests.flights.make import HERE


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages are written to the folder in which one stands."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")


def run(*arguments: str | Path) -> Result:
    """Run the command."""
    return CliRunner().invoke(debrief, [str(argument) for argument in arguments])


def test_one_flight(tmp_path: Path) -> None:
    """A page, a PDF, CSV and Parquet, and the main figures on the terminal, with the caution."""
    path = write(tmp_path / "morning.mcap", Landing(), pilot="A. Person")
    result = run(path, "--pdf", "a.pdf", "--csv", "a.csv", "--parquet", "a.parquet")
    table = parquet.read_table("a.parquet")
    document = pypdfium2.PdfDocument("a.pdf")
    words = "".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()

    assert result.exit_code == 0, result.output
    assert "touched down" in result.output
    assert "at 500 ft  stable" in result.output
    assert CAUTION_LINE in result.output
    assert "morning - A. Person" in Path("morning.html").read_text(encoding="utf-8")
    assert CAUTION_LINE.split(".")[0] in words
    assert "What this debrief could not know" in words
    assert len(Path("a.csv").read_text(encoding="utf-8").splitlines()) == table.num_rows + 1
    assert {"time_s", "height_above_path_ft", "distance_to_threshold_nm"} <= set(table.column_names)


def test_pdf_pages_are_tidy() -> None:
    """On the PDF of a real flight no text runs over the page's edge or over other text."""
    run(HERE / "demo.mcap", "--pdf", "demo.pdf")
    document = pypdfium2.PdfDocument("demo.pdf")
    for page in document:
        width_pt, height_pt = page.get_size()
        text = page.get_textpage()
        boxes = [text.get_rect(number) for number in range(text.count_rects())]

        assert (210, 297) == (round(width_pt / 72 * 25.4), round(height_pt / 72 * 25.4))
        assert all(left > 10.0 and right < width_pt - 10.0 and bottom > 5.0 for left, bottom, right, _ in boxes)
    document.close()


def test_a_folder(tmp_path: Path) -> None:
    """A folder becomes one page and one table; a bad file is told and skipped."""
    folder = tmp_path / "school"
    folder.mkdir()
    school(folder, flights=4)
    (folder / "bad.mcap").write_text("hello", encoding="utf-8")
    result = run(folder, "--workers", "2", "--csv", "table.csv")

    assert result.exit_code == 0, result.output
    assert "skipped  bad.mcap: no recording" in result.output
    assert Path("school.html").is_file()
    assert 6 == len(Path("table.csv").read_text(encoding="utf-8").splitlines())


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.mcap", "hello", "no recording of a flight"),
        ("a.gpx", "hello", "no GPX"),
        ("a.txt", "hello", "can't be read; there are: .mcap"),
    ],
)
def test_what_is_no_flight(name: str, content: str, words: str, tmp_path: Path) -> None:
    """A file that holds no flight is one line and exit code 2."""
    (tmp_path / name).write_text(content, encoding="utf-8")
    result = run(tmp_path / name)

    assert result.exit_code == 2
    assert words in result.output
    assert 1 == result.output.count("\n")


def test_nothing_there(tmp_path: Path) -> None:
    """A file that isn't there, and a folder without flights, are one line and exit code 2."""
    assert run(tmp_path / "none.mcap").exit_code == 2
    assert "no recordings or tracks" in run(tmp_path / "here").output


def test_no_scheduler(tmp_path: Path) -> None:
    """A scheduler that doesn't answer is one line, not a hang."""
    write(tmp_path / "here" / "a.mcap", Landing())
    result = run(tmp_path / "here", "--scheduler", "no such address")

    assert result.exit_code == 2


def test_the_newest_when_none_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a path it is the newest recording of one's own, and it says which."""
    monkeypatch.setattr("otherseat.daemon.recordings_folder.default_folder", lambda: tmp_path)
    write(tmp_path / "flight-20260102-090000.mcap", Landing(), pilot="A. Person")
    result = run()

    assert result.exit_code == 0, result.output
    assert "the newest recording: " in result.output
    assert Path("flight-20260102-090000.html").exists()


@pytest.mark.parametrize("name", ["none.mcap", "none.gpx"])
def test_a_wrong_name_comes_before_a_missing_library(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the drawing and track libraries a file that is not there is still what is told."""
    for module in ("otherseat.daemon.debrief.pages", "gpxpy"):
        monkeypatch.setitem(sys.modules, module, None)
    result = run(name)

    assert (2, f"otherseat: {name}: no such file\n") == (result.exit_code, result.stderr)
