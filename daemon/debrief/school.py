"""School: hundreds of flights, one row each, worked out side by side.

Here          a pool of processes, as many as there are processors. A process that dies takes nothing with it: what was
              in hand is done again, one by one, and a file that ends a process twice is reported
On a cluster  a Dask scheduler hands the files out; its workers must find them under the same path
Memory        rows are small; a process holds one flight at a time
Order         rows come back by file name, whoever was first
"""

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

from otherseat.daemon.debrief.flight_row import FlightRow, row_of_file

SUFFIXES = frozenset({".mcap", ".gpx", ".igc", ".csv"})

Progress = Callable[[FlightRow], None]


def flight_files(folder: Path) -> list[Path]:
    """Return the files of a folder that may hold a flight, by name."""
    return sorted(path for path in folder.iterdir() if path.suffix.lower() in SUFFIXES and path.is_file())


def debrief_here(
    files: Sequence[Path], *, workers: int | None = None, progress: Progress | None = None
) -> list[FlightRow]:
    """Return the rows of all files, worked out by processes of this machine."""
    count = min(workers or os.cpu_count() or 1, max(len(files), 1))
    waiting, alone = list(files), list[Path]()
    rows: dict[Path, FlightRow] = {}

    def keep(path: Path, row: FlightRow) -> None:
        rows[path] = row
        if progress is not None:
            progress(row)

    while waiting or alone:
        one_by_one = bool(alone)
        suspects: list[Path] = []
        for path, row in _round(alone or waiting, workers=1 if one_by_one else count, suspects=suspects):
            keep(path, row)
        if one_by_one and suspects:
            keep(suspects[0], FlightRow(file=suspects[0].name, error="working it out ended the process, twice"))
        left = [path for path in (alone or waiting) if path not in rows]
        alone, waiting = (left, waiting) if one_by_one else (suspects, [p for p in left if p not in suspects])
    return sorted(rows.values(), key=lambda row: row.file)


def _round(files: Sequence[Path], *, workers: int, suspects: list[Path]) -> Iterator[tuple[Path, FlightRow]]:
    """Yield rows until all are done, or until a process dies: then what was in hand is in suspects, oldest first."""
    running: dict[Future[FlightRow], Path] = {}
    ahead = iter(files)
    try:
        with ProcessPoolExecutor(max_workers=workers, mp_context=multiprocessing.get_context("spawn")) as pool:
            while True:
                while len(running) < 2 * workers and (path := next(ahead, None)) is not None:
                    running[pool.submit(row_of_file, path)] = path
                if not running:
                    return
                finished, _ = wait(running, return_when=FIRST_COMPLETED)
                for future in finished:
                    row = future.result()
                    yield running.pop(future), row
    except BrokenProcessPool:
        for future in [each for each in running if each.exception() is None]:  # done before, and not looked at yet
            yield running.pop(future), future.result()
        suspects += running.values()


def debrief_on_cluster(files: Sequence[Path], *, scheduler: str, progress: Progress | None = None) -> list[FlightRow]:
    """Return the rows of all files, worked out by a Dask cluster; raise ImportError without the library.

    A worker that dies takes nothing with it: the scheduler hands its files to another. OSError when there is no
    scheduler at that address.
    """
    from distributed import Client, as_completed  # noqa: PLC0415 - a large library that only this needs

    rows: dict[Path, FlightRow] = {}
    try:
        joined = Client(scheduler, timeout="10s")
    except ValueError as error:
        raise OSError(f"{scheduler}: no scheduler's address: {error}") from error
    with joined as client:
        futures = {client.submit(row_of_file, path.resolve(), pure=False): path for path in files}
        for future in as_completed(futures):
            path = futures[future]
            rows[path] = _result(future, path)
            future.release()
            if progress is not None:
                progress(rows[path])
    return sorted(rows.values(), key=lambda row: row.file)


def _result(future: Any, path: Path) -> FlightRow:
    """Return a row, also when it has to be worked out again because the worker that had it has died since."""
    try:
        row: FlightRow = future.result()
    except Exception as error:  # noqa: BLE001 - the scheduler gave the file up; the others go on
        return FlightRow(file=path.name, error=f"{type(error).__name__}: {error}")
    return row
