"""School page: the table and the plots over many flights, as one HTML file; and the table for other programs."""

import csv
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from otherseat.advisories.real import Array
from otherseat.daemon.brief.sketch import ACCENT, FAINT, INK
from otherseat.daemon.brief.web import svg_of
from otherseat.daemon.debrief.charts import LEVEL_COLOURS, SIZE, finish
from otherseat.daemon.debrief.flight_row import GRID_NM, TABLE, FlightRow, average, groups, share
from otherseat.daemon.debrief.pages import TEMPLATES
from otherseat.daemon.debrief.tables import Table

BANDS = ((5, 95, 0.12), (25, 75, 0.25))
"""Shares of the flights that lie between, and how dark they are drawn."""
FEWEST = 3
"""A spread of fewer approaches is drawn line by line."""
MOST_IN_TREND = 12
FEW_GROUPS = 12
WINDOW = 10


@dataclass(frozen=True, slots=True)
class School:
    """Many flights."""

    rows: tuple[FlightRow, ...]

    @property
    def flights(self) -> list[FlightRow]:
        """The rows with a flight in them."""
        return [row for row in self.rows if not row.error]

    @property
    def bad(self) -> list[FlightRow]:
        """The rows of files that could not be read."""
        return [row for row in self.rows if row.error]


def to_school_html(school: School, *, title: str, caution: str) -> str:
    """Return the page."""
    return TEMPLATES.get_template("school.html.jinja").render(
        title=title,
        figures=figures(school),
        tables=[table for table in map(partial(by, school), ("pilot", "aircraft", "runway")) if _tells(table, school)],
        drawings=[(name, _svg(draw, height_in)) for name, draw, height_in in _charts(school)],
        flights=flights(school),
        bad=[(row.file, row.error) for row in school.bad],
        caution=caution,
    )


def _tells(table: Table, school: School) -> bool:
    """Say whether a table of groups says more than the list of flights: not when most groups are a single flight."""
    return len(table.rows) <= FEW_GROUPS or len(table.rows) < len(school.flights) / 2


def figures(school: School) -> list[tuple[str, str]]:
    """Return the school in a few figures."""
    rows = school.flights
    landed = [row.touchdown_sink_fpm for row in rows if row.touchdown_sink_fpm is not None]
    found = [
        ("flights", f"{len(rows):,}"),
        ("files that can't be read", str(len(school.bad))),
        ("stable at 1,000 ft", percent(share([row.stable_1000 for row in rows]))),
        ("stable at 500 ft", percent(share([row.stable_500 for row in rows]))),
    ]
    found.append(("alerts a flight", tenths(average([row.alerts for row in rows]))))
    if landed:
        found.append(("sink at touchdown, median", f"{np.median(landed):.0f} fpm"))
    return found


def by(school: School, name: str) -> Table:
    """Return the table by pilot, aircraft or runway."""
    rows = []
    for key, group in groups(school.flights, name).items():
        landed = [row.touchdown_sink_fpm for row in group if row.touchdown_sink_fpm is not None]
        began = [row.began_to_mend_s for row in group if row.began_to_mend_s is not None]
        rows.append(
            (
                key,
                str(len(group)),
                percent(share([row.stable_1000 for row in group])),
                percent(share([row.stable_500 for row in group])),
                tenths(average([row.alerts for row in group])),
                "-" if not began else f"{np.median(began):.0f} s",
                "-" if not landed else f"{np.median(landed):.0f} fpm",
            )
        )
    heads = (name, "flights", "stable 1,000", "stable 500", "alerts", "began to mend", "touchdown sink")
    return Table(title=f"By {name}", heads=heads, rows=tuple(rows))


def flights(school: School) -> Table:
    """Return every flight in a row."""
    rows = tuple(
        (
            row.file,
            row.flown,
            row.pilot,
            row.aircraft,
            row.runway or "-",
            row.gate_1000 or "-",
            row.gate_500 or "-",
            "-" if row.alerts is None else str(row.alerts),
            "-" if row.touchdown_ft is None else f"{row.touchdown_ft:,.0f}",
            "-" if row.touchdown_sink_fpm is None else f"{row.touchdown_sink_fpm:.0f}",
        )
        for row in school.flights
    )
    heads = ("file", "day", "pilot", "aircraft", "runway", "1,000 ft", "500 ft", "alerts", "touchdown ft", "sink fpm")
    return Table(title="Flights", heads=heads, rows=rows)


def percent(part: float | None) -> str:
    """Return a share as per cent, or a dash."""
    return "-" if part is None else f"{100.0 * part:.0f} %"


def tenths(value: float | None) -> str:
    """Return a number with one decimal, or a dash."""
    return "-" if value is None else f"{value:.1f}"


def write_table(school: School, path: Path) -> None:
    """Write every row as CSV, bad files too, with the spread at each distance after the other columns."""
    spread = [f"{name}_{distance:.1f}_nm" for name in ("path_ft", "offset_ft") for distance in GRID_NM]
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow([*TABLE, *spread])
        for row in school.rows:
            at_grid = [*(row.path_ft or [np.nan] * len(GRID_NM)), *(row.offset_ft or [np.nan] * len(GRID_NM))]
            cells = [getattr(row, name) for name in TABLE]
            writer.writerow([*("" if cell is None else cell for cell in cells), *map(_number, at_grid)])


def _number(value: float) -> str:
    return "" if np.isnan(value) else f"{value:.1f}"


def _charts(school: School) -> list[tuple[str, Callable[[Axes], None], float]]:
    rows = school.flights
    told = [row for row in rows if row.alerts is not None]
    charts: list[tuple[str, Callable[[Axes], None], float]] = [
        (
            "Height above the path, by distance",
            lambda axes: draw_spread(axes, rows, "path_ft", "ft above the path"),
            2.2,
        ),
        (
            "Offset from the centreline, by distance",
            lambda axes: draw_spread(axes, rows, "offset_ft", "ft right of centreline"),
            2.2,
        ),
        ("Where they touched down", lambda axes: draw_touchdowns(axes, rows), 1.6),
        ("Stable at 500 ft, over time", lambda axes: draw_trend(axes, rows), 2.0),
    ]
    if told:
        charts.append(("Alerts a flight", lambda axes: draw_alerts(axes, told), 1.6))
    return charts


def draw_spread(axes: Axes, rows: Sequence[FlightRow], name: str, label: str) -> None:
    """Draw where the middle half and nine tenths of the approaches lay, and the median."""
    values = [getattr(row, name) for row in rows if getattr(row, name)]
    table: Array = np.array(values, dtype=np.float64).reshape(-1, len(GRID_NM))
    grid = np.array(GRID_NM)
    enough = np.isfinite(table).sum(axis=0) >= FEWEST
    if enough.any():
        kept = table[:, enough]
        for low, high, alpha in BANDS:
            below, above = np.nanpercentile(kept, [low, high], axis=0)
            axes.fill_between(
                grid[enough], below, above, color=ACCENT, alpha=alpha, lw=0, label=f"{high - low} % of them"
            )
        axes.plot(grid[enough], np.nanmedian(kept, axis=0), color=INK, lw=1.4, label="median")
        axes.legend(fontsize=SIZE - 1, frameon=False, loc="upper right")
    else:
        for line in table:
            axes.plot(grid, line, color=INK, lw=0.8)
    axes.axhline(0.0, color=FAINT, lw=0.7)
    finish(axes, x="NM to the threshold", y=label)
    axes.set_xlim(GRID_NM[-1], 0.0)


def draw_touchdowns(axes: Axes, rows: Sequence[FlightRow]) -> None:
    """Draw every touchdown along and across the runway."""
    along = [row.touchdown_ft for row in rows if row.touchdown_ft is not None]
    across = [row.touchdown_offset_ft for row in rows if row.touchdown_offset_ft is not None]
    axes.axhline(0.0, color=FAINT, lw=0.7, ls="--")
    axes.axvline(0.0, color=FAINT, lw=0.7)
    axes.scatter(along, across, s=14, color=ACCENT, alpha=0.5, lw=0)
    finish(axes, x="ft beyond the threshold", y="ft right")
    axes.invert_yaxis()


def draw_alerts(axes: Axes, rows: Sequence[FlightRow]) -> None:
    """Draw how many flights had how many warnings, cautions and alerts in all."""
    most = max((row.alerts or 0 for row in rows), default=0)
    kinds = {"warning": "warnings", "caution": "cautions", "all": "alerts"}
    edges = np.arange(most + 2) - 0.5
    for place, (label, name) in enumerate(kinds.items()):
        counts, _ = np.histogram([getattr(row, name) for row in rows], bins=edges)
        colour = LEVEL_COLOURS.get(label, ACCENT)
        axes.bar(np.arange(most + 1) + 0.27 * (place - 1), counts, width=0.25, color=colour, label=label)
    finish(axes, x="in a flight", y="flights")
    axes.set_xticks(range(most + 1))
    axes.legend(fontsize=SIZE - 1, frameon=False, loc="upper right")


def draw_trend(axes: Axes, rows: Sequence[FlightRow]) -> None:
    """Draw the share of stable approaches over the last ten flights, by pilot, in the order flown."""
    for name, group in list(groups(sorted(rows, key=lambda r: (r.flown, r.file)), "pilot").items())[:MOST_IN_TREND]:
        known = [float(row.stable_500) for row in group if row.stable_500 is not None]
        if known:
            window = min(WINDOW, len(known))
            line = 100.0 * np.convolve(known, np.ones(window) / window, mode="valid")
            axes.plot(np.arange(window, len(known) + 1), line, lw=1.4, marker=".", label=name)
    finish(axes, x=f"flights flown; mean of the last {WINDOW}", y="% stable")
    axes.set_ylim(-3.0, 103.0)
    if axes.lines:
        axes.legend(fontsize=SIZE - 1, frameon=False, loc="lower right", ncols=3)


def _svg(draw: Callable[[Axes], None], height_in: float) -> str:
    figure = Figure(figsize=(8.6, height_in + 0.5))
    bottom = 0.42 / (height_in + 0.5)
    draw(figure.add_axes((0.085, bottom, 0.9, 1.0 - bottom - 0.03)))
    return svg_of(figure)
