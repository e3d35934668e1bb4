"""Export: the flight's series as a table: what was reported, and the same as the runway end sees it."""

import csv
from pathlib import Path

import numpy as np

from otherseat.advisories.real import Array
from otherseat.daemon.debrief.report import Report


def series(report: Report) -> dict[str, Array]:
    """Return the columns of the piece of flight that is shown; units are in the names."""
    columns = dict(report.segment.columns)
    approach = report.approach
    if approach is not None:
        columns["distance_to_threshold_nm"] = approach.seen.distance_nm
        columns["offset_ft"] = approach.seen.offset_ft
        columns["height_above_threshold_ft"] = approach.seen.height_ft
        on_path = approach.seen.distance_nm > 0.0
        path_ft = approach.path_height_ft(approach.seen.distance_nm)
        columns["height_above_path_ft"] = np.where(on_path, approach.seen.height_ft - path_ft, np.nan)
    return columns


def write_csv(report: Report, path: Path) -> None:
    """Write the series as CSV; what is missing is an empty cell."""
    columns = series(report)
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(columns)
        for row in zip(*columns.values(), strict=True):
            writer.writerow("" if np.isnan(value) else repr(float(value)) for value in row)


def write_parquet(report: Report, path: Path) -> None:
    """Write the series as Parquet, or raise ImportError when pyarrow is not there."""
    import pyarrow as pa  # noqa: PLC0415 - a large library that only this needs
    from pyarrow import parquet  # noqa: PLC0415 - likewise

    parquet.write_table(
        pa.table({name: pa.array(column, from_pandas=True) for name, column in series(report).items()}), path
    )
