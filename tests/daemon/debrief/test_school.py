"""Many flights: here and on a real cluster; a process that dies loses nothing, a bad file is told and skipped."""

import csv
import os
import re
import signal
import sys
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, wait
from pathlib import Path

import pytest
from distributed import LocalCluster

from otherseat.daemon.debrief.flight_row import GRID_NM, FlightRow, row_of_file
from otherseat.daemon.debrief.school import debrief_here, debrief_on_cluster, flight_files
from otherseat.daemon.debrief.school_page import School, by, figures, to_school_html, write_table
from tests.daemon.debrief.made import Landing, alert, school, write

FLIGHTS = 24


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder of made flights."""
    path = tmp_path_factory.mktemp("school")
    school(path, flights=FLIGHTS)
    return path


@pytest.fixture(scope="module")
def expected(folder: Path) -> list[FlightRow]:
    """Return the rows as this process works them out, one after the other."""
    return [row_of_file(path) for path in flight_files(folder)]


def same(one: list[FlightRow], other: list[FlightRow]) -> bool:
    """Say whether rows agree, NaN included."""
    return repr(one) == repr(other)


def test_rows_are_what_was_flown(tmp_path: Path) -> None:
    """Each row's numbers are those of the flight as it was made."""
    landings = school(tmp_path, flights=6, seed=5)
    for path, landing in zip(flight_files(tmp_path), landings, strict=True):
        row = row_of_file(path)
        three = GRID_NM.index(3.0)

        assert landing.above_path_ft == pytest.approx(row.path_ft[three], abs=0.5)
        assert landing.offset_ft == pytest.approx(row.offset_ft[three], abs=0.5)
        assert landing.offset_ft == pytest.approx(row.touchdown_offset_ft or 0.0, abs=0.5)
        assert landing.sink_fpm == pytest.approx(row.touchdown_sink_fpm or 0.0, abs=0.5)
        assert 0.0 <= (row.touchdown_ft or 0.0) - landing.touchdown_ft <= landing.groundspeed_kt * 1.6878 / 2.0
        assert abs(landing.above_path_ft) > 400.0 or row.stable_1000 is not None


@pytest.mark.timeout(120)
def test_two_processes(folder: Path, expected: list[FlightRow]) -> None:
    """Two processes give the same rows in the same order, and say how far they are."""
    seen: list[FlightRow] = []
    rows = debrief_here(flight_files(folder), workers=2, progress=seen.append)

    assert same(expected, rows)
    assert {row.file for row in expected} == {row.file for row in seen}
    assert {"Pilot 1", "Pilot 2", "Pilot 3", "Pilot 4"} == {row.pilot for row in rows}


@pytest.mark.timeout(120)
@pytest.mark.skipif(sys.platform == "win32", reason="the file that kills is a POSIX one")
def test_who_was_done_before_is_not_blamed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A flight that was worked out just before its process died is kept, also when the death is heard of first."""

    def death_first(running: Iterable[Future[FlightRow]], **_: str) -> tuple[list[Future[FlightRow]], set[object]]:
        done, _others = wait(running)
        return sorted(done, key=lambda future: future.exception() is None), set()

    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(Path(__file__).parent / "deadly"), *sys.path]))
    monkeypatch.setattr("otherseat.daemon.debrief.school.wait", death_first)
    files = [write(tmp_path / "before.mcap", Landing()), write(tmp_path / "deadly.mcap", Landing())]
    before, deadly = debrief_here(files, workers=1)

    assert same([row_of_file(files[0])], [before])
    assert deadly.error is not None
    assert "ended the process, twice" in deadly.error


@pytest.mark.timeout(120)
@pytest.mark.skipif(sys.platform == "win32", reason="the file that kills is a POSIX one")
def test_a_file_that_kills_is_reported(
    folder: Path, expected: list[FlightRow], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that ends the process which reads it is told; all the others are done."""
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(Path(__file__).parent / "deadly"), *sys.path]))
    files = [*flight_files(folder)[:6], write(tmp_path / "deadly.mcap", Landing())]
    rows = debrief_here(files, workers=2)

    assert same(expected[:6], rows[:6])
    assert "ended the process" in rows[6].error


@pytest.fixture
def cluster() -> Iterator[LocalCluster]:
    """Run a real Dask cluster of two worker processes."""
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as running:
        yield running


@pytest.mark.timeout(120)
@pytest.mark.filterwarnings("ignore")  # the library warns while a worker dies, which is what is tested
def test_cluster_survives_a_killed_worker(folder: Path, expected: list[FlightRow], cluster: LocalCluster) -> None:
    """On two workers, one killed half-way by its own process id, every flight is there, once, and the same."""
    killed: list[int] = []

    def progress(_: FlightRow) -> None:
        progress.count += 1  # type: ignore[attr-defined]  # a counter on the function
        if progress.count == FLIGHTS // 3 and not killed:  # type: ignore[attr-defined]
            pid = cluster.workers[0].pid
            os.kill(pid, signal.SIGTERM if sys.platform == "win32" else signal.SIGKILL)
            killed.append(pid)
            time.sleep(0.2)

    progress.count = 0  # type: ignore[attr-defined]
    rows = debrief_on_cluster(flight_files(folder), scheduler=cluster.scheduler_address, progress=progress)

    assert killed
    assert same(expected, rows)


def test_bad_files_are_rows_too(folder: Path, tmp_path: Path) -> None:
    """Junk, a cut file and an empty one are reported by name and reason; the table and page leave them out."""
    good = flight_files(folder)[0]
    (tmp_path / "junk.mcap").write_bytes(os.urandom(2_000))
    (tmp_path / "empty.gpx").write_text("", encoding="utf-8")
    (tmp_path / "good.mcap").write_bytes(good.read_bytes())
    (tmp_path / "notes.txt").write_text("not a flight", encoding="utf-8")
    rows = [row_of_file(path) for path in flight_files(tmp_path)]
    whole = School(rows=tuple(rows))

    assert ["empty.gpx", "good.mcap", "junk.mcap"] == [row.file for row in rows]
    assert [True, False, True] == [bool(row.error) for row in rows]
    assert ("flights", "1") == figures(whole)[0]
    assert "junk.mcap: no recording" in to_school_html(whole, title="x", caution="y")


def test_page_and_table(expected: list[FlightRow], tmp_path: Path) -> None:
    """The page has a plot of each kind and nothing from outside; the table has a row a flight, read back as numbers."""
    whole = School(rows=tuple(expected))
    page = to_school_html(whole, title="School", caution="Caution.")
    write_table(whole, tmp_path / "school.csv")
    with (tmp_path / "school.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))

    assert 4 == page.count("<svg")
    assert "Caution." in page
    assert not re.findall(r"""(?:src|href)\s*=\s*["'](?!#)|@import|url\((?!#)""", page)
    assert FLIGHTS == len(rows)
    assert expected[3].path_ft[5] == pytest.approx(float(rows[3]["path_ft_3.0_nm"]), abs=0.06)
    assert FLIGHTS / 4 == float(by(whole, "pilot").rows[0][1])


def test_nothing_known() -> None:
    """A school without a single flight still has a page."""
    page = to_school_html(School(rows=(FlightRow(file="a", error="b"),)), title="x", caution="y")

    assert "a: b" in page


def test_alerts_count_only_where_somebody_listened(tmp_path: Path) -> None:
    """A track to which nobody listened is no flight without alerts: the mean is over the others."""
    write(tmp_path / "a.mcap", Landing(), alerts=[alert("glidepath-high", raised_s=5.0, time_s=5.0)])
    write(tmp_path / "b.mcap", Landing())
    whole = School(rows=tuple(row_of_file(path) for path in flight_files(tmp_path)))

    assert [1, None] == [row.alerts for row in whole.rows]
    assert ("alerts a flight", "1.0") in figures(whole)
    assert 5 == to_school_html(whole, title="x", caution="y").count("<svg")
