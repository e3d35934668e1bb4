"""Pages: a report as one HTML file that needs nothing else, and as a PDF of A4 pages."""

import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from otherseat.daemon.brief.sketch import ACCENT, FAINT, INK
from otherseat.daemon.brief.web import svg_of
from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.debrief import charts
from otherseat.daemon.debrief.report import Report
from otherseat.daemon.debrief.tables import Table, figures, tables

TEMPLATES = Environment(
    loader=PackageLoader("otherseat.daemon.debrief", "."),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
A4_IN = (210 / 25.4, 297 / 25.4)
LEFT, WIDTH = 0.1, 0.84
LINE = 0.0135
TOP, BOTTOM = 0.955, 0.05

Chart = tuple[str, Callable[[Axes], None], float]
"""Title, what draws it, and its height in inches."""


def to_html(report: Report, *, caution: str) -> str:
    """Return the page."""
    drawings = [(title, _svg(draw, height_in)) for title, draw, height_in in _charts(report)]
    return TEMPLATES.get_template("debrief.html.jinja").render(
        title=_title(report),
        report=report,
        figures=figures(report),
        tables=tables(report),
        drawings=drawings,
        calls=[(clock_words(call.time_s), call.level.word, call.text) for call in report.flown.calls],
        caution=caution,
    )


def write_pdf(report: Report, path: Path, *, caution: str) -> None:
    """Write the PDF: figures and tables first, then the charts."""
    with PdfPages(path, metadata={"Title": f"Debrief: {_title(report)}"}) as pdf:
        for figure in [*_table_pages(report), *_chart_pages(report)]:
            figure.text(LEFT, 0.022, textwrap.fill(caution, 130), fontsize=6.5, color=FAINT)
            pdf.savefig(figure)


def _title(report: Report) -> str:
    return " - ".join(part for part in (report.flown.name, report.flown.pilot) if part)


def _charts(report: Report) -> list[Chart]:
    approach = report.approach
    made: list[Chart] = []
    if approach is not None:
        made.append(("Approach from the side", lambda axes: charts.draw_side(axes, approach, report), 2.6))
        made.append(("Approach from above", lambda axes: charts.draw_top(axes, approach, report), 1.7))
        if approach.touchdown is not None:
            made.append(("Touchdown", lambda axes: charts.draw_touchdown(axes, approach), 1.1))
    made.append(("Height", lambda axes: charts.draw_heights(axes, report), 1.4))
    made.append(("Speed", lambda axes: charts.draw_speeds(axes, report), 1.4))
    made.append(("Climb and sink", lambda axes: charts.draw_sink(axes, report), 1.4))
    if report.reactions or report.flown.calls:
        rows = len(report.reactions)
        made.append(("Alerts and calls", lambda axes: charts.draw_calls(axes, report), 0.8 + 0.3 * min(rows, 12)))
    made.append(("Over the ground", lambda axes: charts.draw_ground(axes, report), 3.4))
    return made


def _svg(draw: Callable[[Axes], None], height_in: float) -> str:
    figure = Figure(figsize=(8.6, height_in + 0.5))
    bottom = 0.42 / (height_in + 0.5)
    draw(figure.add_axes((0.085, bottom, 0.9, 1.0 - bottom - 0.03)))
    return svg_of(figure)


def _page(title: str) -> Figure:
    figure = Figure(figsize=A4_IN, facecolor="white")
    figure.text(LEFT, TOP, title, fontsize=14, fontweight="bold", color=ACCENT)
    return figure


def _chart_pages(report: Report) -> list[Figure]:
    """Put charts under each other, as many as a page takes."""
    pages = [_page(_title(report))]
    y = TOP - 0.02
    for title, draw, height_in in _charts(report):
        height = height_in / A4_IN[1]
        if y - height - 0.06 < BOTTOM:
            pages.append(_page(_title(report)))
            y = TOP - 0.02
        pages[-1].text(LEFT, y - 0.012, title, fontsize=9, fontweight="bold", color=ACCENT)
        draw(pages[-1].add_axes((LEFT, y - 0.02 - height, WIDTH, height)))
        y -= height + 0.075
    return pages


def _table_pages(report: Report) -> list[Figure]:
    pages = [_page(_title(report))]
    y = TOP - 0.035
    for name, value in figures(report):
        pages[-1].text(LEFT, y, name, fontsize=8.5, color=FAINT)
        pages[-1].text(LEFT + 0.22, y, value, fontsize=8.5, color=INK)
        y -= LINE * 1.15
    for table in tables(report):
        needed = LINE * (len(table.rows) * _lines_a_row(table) + 5)
        if y - needed < BOTTOM and y < TOP - 0.1:
            pages.append(_page(_title(report)))
            y = TOP - 0.035
        y = _draw_table(pages[-1], table, y=y - 1.2 * LINE)
    y -= 1.5 * LINE
    pages[-1].text(LEFT, y, "What this debrief could not know", fontsize=9.5, fontweight="bold", color=ACCENT)
    for words in report.unknown or ("nothing that it looks for",):
        y -= LINE * 1.1
        pages[-1].text(LEFT, y, f"•  {words}", fontsize=8, color=INK)
    return pages


def _lines_a_row(table: Table) -> int:
    return max((len(textwrap.wrap(cell, 40)) for row in table.rows for cell in row), default=1)


def _draw_table(figure: Figure, table: Table, *, y: float) -> float:
    figure.text(LEFT, y, table.title, fontsize=9.5, fontweight="bold", color=ACCENT)
    places = _places(table)
    y -= LINE * 1.3
    for row, colour in [(table.heads, FAINT), *((row, INK) for row in table.rows)]:
        lines = 1
        for place, cell in zip(places, row, strict=True):
            wrapped = textwrap.wrap(cell, 40) or [""]
            lines = max(lines, len(wrapped))
            for number, line in enumerate(wrapped):
                figure.text(LEFT + place, y - LINE * 0.85 * number, line, fontsize=8, color=colour, va="baseline")
        y -= LINE * (0.85 * lines + 0.25)
    for line in textwrap.wrap(table.note, 118):
        figure.text(LEFT, y, line, fontsize=6.8, color=FAINT)
        y -= LINE * 0.85
    return y - 0.4 * LINE


def _places(table: Table) -> list[float]:
    """Return where each column begins, in shares of the page, as wide as its longest cell wants."""
    rows: Sequence[Sequence[str]] = [table.heads, *table.rows]
    wants = [max(min(len(row[column]), 40) for row in rows) + 3 for column in range(len(table.heads))]
    scale = min(0.0078, WIDTH / sum(wants))
    return [scale * sum(wants[:column]) for column in range(len(wants))]
