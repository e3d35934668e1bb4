"""Flight row: one flight of a school in one row: what a table and the plots over many flights need, and no more."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import numpy as np

from otherseat.advisories.real import Array
from otherseat.daemon.debrief.approach import Approach
from otherseat.daemon.debrief.flown import Flown, NothingFlownError
from otherseat.daemon.debrief.open_flight import open_flown
from otherseat.daemon.debrief.report import Report, make_report
from otherseat.daemon.recording import RecordingError

GRID_NM = tuple(step / 2.0 for step in range(1, 13))
"""Distances at which approaches are compared."""


@dataclass(frozen=True, slots=True)
class FlightRow:
    """One flight; None for what is not known."""

    file: str
    flown: str = ""
    """The day, when it is known."""
    pilot: str = ""
    aircraft: str = ""
    runway: str = ""
    airborne_min: float | None = None
    landings: int | None = 0
    gate_1000: str = ""
    gate_500: str = ""
    stable_1000: bool | None = None
    stable_500: bool | None = None
    alerts: int | None = None
    """None when nobody was listening, as with a track from elsewhere."""
    warnings: int | None = None
    cautions: int | None = None
    began_to_mend_s: float | None = None
    """Median over the flight's alerts."""
    touchdown_ft: float | None = None
    touchdown_offset_ft: float | None = None
    touchdown_sink_fpm: float | None = None
    path_ft: tuple[float, ...] = ()
    """Height above the path at GRID_NM, NaN where not flown; nothing when heights can't be trusted."""
    offset_ft: tuple[float, ...] = ()
    error: str = ""
    """Why there is no flight in this row."""


TABLE = tuple(field.name for field in fields(FlightRow) if field.name not in {"path_ft", "offset_ft"})
"""The columns of the exported table; the spread at GRID_NM follows them."""


def row_of_file(path: Path) -> FlightRow:
    """Return a file's row; a file that can't be read is a row that says so. Never raises."""
    try:
        return row_of(make_report(open_flown(path)), file=path.name)
    except (RecordingError, NothingFlownError, OSError, ValueError) as error:
        return FlightRow(file=path.name, error=str(error).removeprefix(f"{path}: "))
    except Exception as error:  # noqa: BLE001 - one bad file out of a thousand must not end the others
        return FlightRow(file=path.name, error=f"{type(error).__name__}: {error}")


def row_of(report: Report, *, file: str) -> FlightRow:
    """Return a report's row."""
    flown, approach = report.flown, report.approach
    touchdown = None if approach is None else approach.touchdown
    began = [reaction.began_s for reaction in report.reactions if reaction.began_s is not None]
    levels = [reaction.level for reaction in report.reactions]
    words = [verdict.word for verdict in report.verdicts]
    stable = [verdict.stable for verdict in report.verdicts]
    return FlightRow(
        file=file,
        flown=_day(flown),
        pilot=flown.pilot,
        aircraft=flown.aircraft,
        runway="" if approach is None else approach.end.name,
        airborne_min=report.airborne_s / 60.0,
        landings=report.landings,
        gate_1000=words[0] if words else "",
        gate_500=words[1] if words else "",
        stable_1000=stable[0] if stable else None,
        stable_500=stable[1] if stable else None,
        alerts=len(levels) if flown.told else None,
        warnings=levels.count("warning") if flown.told else None,
        cautions=levels.count("caution") if flown.told else None,
        began_to_mend_s=median(began) if began else None,
        touchdown_ft=None if touchdown is None else touchdown.beyond_threshold_ft,
        touchdown_offset_ft=None if touchdown is None else touchdown.offset_ft,
        touchdown_sink_fpm=None if touchdown is None else touchdown.sink_fpm,
        path_ft=()
        if approach is None or approach.height_error_ft is None
        else at_grid(approach, _above_path(approach)),
        offset_ft=() if approach is None else at_grid(approach, approach.seen.offset_ft),
    )


def at_grid(approach: Approach, column: Array) -> tuple[float, ...]:
    """Return a column at GRID_NM, NaN where the approach had not begun or was over."""
    distance_nm = approach.seen.distance_nm[approach.rows]
    values = column[approach.rows]
    usable = np.isfinite(values)
    if np.count_nonzero(usable) < 2:  # noqa: PLR2004 - a line needs two points
        return (math.nan,) * len(GRID_NM)
    nearing = np.maximum.accumulate(-distance_nm[usable])
    grid = -np.array(GRID_NM)
    found = np.interp(grid, nearing, values[usable], left=math.nan, right=math.nan)
    return tuple(map(float, found))


def groups(rows: Sequence[FlightRow], by: str) -> dict[str, list[FlightRow]]:
    """Return the rows by pilot, aircraft or runway, in the order of their names."""
    found: dict[str, list[FlightRow]] = {}
    for row in rows:
        found.setdefault(str(getattr(row, by)) or "not known", []).append(row)
    return dict(sorted(found.items()))


def average(values: Sequence[int | None]) -> float | None:
    """Return the mean of the known."""
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None


def share(values: Sequence[bool | None]) -> float | None:
    """Return how many of the known are true, 0 to 1."""
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None


def _above_path(approach: Approach) -> Array:
    return approach.seen.height_ft - approach.path_height_ft(approach.seen.distance_nm)


def _day(flown: Flown) -> str:
    return "" if flown.started_s is None else datetime.fromtimestamp(flown.started_s, UTC).strftime("%Y-%m-%d")
