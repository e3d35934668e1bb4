"""Page: the card on one A5 page, as PDF, PNG or whatever else matplotlib writes.

Two columns of tables that fill evenly, the picture of the path and of the approach lights below them, then what to
watch for. A card with more rows than usual is set smaller, never over two pages.
"""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from otherseat.daemon.brief.card import Card, Table
from otherseat.daemon.brief.sketch import ACCENT, FAINT, INK, draw_lights, draw_path

WIDTH_IN, HEIGHT_IN = 148 / 25.4, 210 / 25.4
MARGIN_IN, GAP_IN = 0.36, 0.28
ROW_IN, TITLE_IN, SPACE_IN = 0.128, 0.185, 0.105
HEADER_IN, SKETCH_IN, FOOTER_IN = 0.52, 1.12, 0.34
POINTS = 6.9
SMALLEST = 0.72
COLUMN_IN = (WIDTH_IN - 2 * MARGIN_IN - GAP_IN) / 2
DPI = 200
POINTS_PER_IN = 72.0
LETTERS_ACROSS, LETTERS_OF_A_COLUMN = 96, 52
"""What fits between the margins whatever the letters are, in the small print of notes and points."""


def write_page(card: Card, path: Path, *, caution: str) -> None:
    """Write the page in the format of the file's suffix."""
    figure = make_page(card, caution=caution)
    metadata = {"Title": f"Brief: {card.title}"} if path.suffix.lower() in {".pdf", ".png"} else None
    figure.savefig(path, dpi=DPI, metadata=metadata)


def make_page(card: Card, *, caution: str) -> Figure:
    """Draw the page."""
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), facecolor="white")
    words = _Words(figure=figure, scale=1.0)
    words.put(MARGIN_IN, MARGIN_IN + 0.16, card.title, size=15.0, weight="bold", colour=ACCENT)
    words.put(MARGIN_IN, MARGIN_IN + 0.36, card.subtitle, size=9.0)
    _rule(figure, y_in=MARGIN_IN + 0.44)
    watch = [*(f"•  {point}" for point in card.watch), *([_unknown(card)] if card.unknown else [])]
    lines = [line for point in watch for line in textwrap.wrap(point, LETTERS_ACROSS, subsequent_indent="    ")]
    sketch_in = SKETCH_IN if card.end is not None else 0.0
    bottom_in = HEIGHT_IN - MARGIN_IN - FOOTER_IN - len(lines) * ROW_IN - TITLE_IN - sketch_in - 2 * SPACE_IN
    top_in = MARGIN_IN + HEADER_IN
    columns = _columns(card.tables)
    needed_in = max((sum(map(height_in, column)) for column in columns), default=0.0)
    scale = max(min(1.0, (bottom_in - top_in) / max(needed_in, 0.1)), SMALLEST)
    scaled = _Words(figure=figure, scale=scale)
    for number, column in enumerate(columns):
        _draw_column(scaled, column, x_in=MARGIN_IN + number * (COLUMN_IN + GAP_IN), y_in=top_in)
    if card.end is not None:
        _draw_sketch(figure, card, y_in=bottom_in + SPACE_IN)
    _draw_watch(words, lines, y_in=bottom_in + sketch_in + 2 * SPACE_IN)
    _draw_footer(words, caution)
    return figure


def height_in(table: Table) -> float:
    """Return how high a table stands at full size."""
    rows = len(table.rows) + bool(table.heads) + len(_note_lines(table))
    return TITLE_IN + rows * ROW_IN + SPACE_IN


@dataclass(frozen=True, slots=True)
class _Words:
    """Text at a place in inches from the top left."""

    figure: Figure
    scale: float

    def put(
        self,
        x_in: float,
        y_in: float,
        words: str,
        *,
        size: float = POINTS,
        align: str = "left",
        colour: str = INK,
        weight: str = "normal",
    ) -> None:
        """Write one line, its baseline at y_in."""
        self.figure.text(
            x_in / WIDTH_IN,
            1.0 - y_in / HEIGHT_IN,
            words,
            fontsize=size * self.scale,
            horizontalalignment=align,
            verticalalignment="baseline",
            color=colour,
            fontweight=weight,
        )


def _columns(tables: Sequence[Table]) -> tuple[list[Table], list[Table]]:
    """Split the tables, in order, where the two columns come out most alike."""
    heights = [height_in(table) for table in tables]
    best = min(range(len(tables) + 1), key=lambda cut: max(sum(heights[:cut]), sum(heights[cut:])))
    return list(tables[:best]), list(tables[best:])


def _draw_column(words: _Words, tables: Sequence[Table], *, x_in: float, y_in: float) -> None:
    for table in tables:
        _draw_table(words, table, x_in=x_in, y_in=y_in)
        y_in += height_in(table) * words.scale


def _draw_table(words: _Words, table: Table, *, x_in: float, y_in: float) -> None:
    row_in = ROW_IN * words.scale
    y_in += 0.12 * words.scale
    words.put(x_in, y_in, table.title, weight="bold", colour=ACCENT, size=POINTS + 0.6)
    _rule(words.figure, y_in=y_in + 0.035, x_in=x_in, width_in=COLUMN_IN, width=0.5)
    y_in += (TITLE_IN - 0.12) * words.scale + 0.07 * words.scale
    if table.heads:
        _draw_row(words, table.heads, x_in=x_in, y_in=y_in, colour=FAINT)
        y_in += row_in
    for row in table.rows:
        _draw_row(words, row, x_in=x_in, y_in=y_in, colour=INK)
        y_in += row_in
    for line in _note_lines(table):
        words.put(x_in, y_in, line, size=POINTS - 1.2, colour=FAINT)
        y_in += row_in


def _draw_row(words: _Words, row: Sequence[str], *, x_in: float, y_in: float, colour: str) -> None:
    words.put(x_in, y_in, row[0], colour=colour)
    first_in = 0.28 if len(row) > 3 else 0.42  # noqa: PLR2004 - wide tables have short first cells
    for number, cell in enumerate(row[1:], start=1):
        share = first_in + (1.0 - first_in) * number / (len(row) - 1)
        words.put(x_in + COLUMN_IN * share, y_in, cell, align="right", colour=colour)


def _note_lines(table: Table) -> list[str]:
    return textwrap.wrap(table.note, LETTERS_OF_A_COLUMN)


def _draw_sketch(figure: Figure, card: Card, *, y_in: float) -> None:
    height, whole_in = (SKETCH_IN - 0.18) / HEIGHT_IN, WIDTH_IN - 2 * MARGIN_IN
    bottom = 1.0 - (y_in + SKETCH_IN - 0.18) / HEIGHT_IN
    path_axes = figure.add_axes((MARGIN_IN / WIDTH_IN, bottom, whole_in * 0.66 / WIDTH_IN, height))
    draw_path(path_axes, card, size=POINTS - 1.0)
    left = (MARGIN_IN + whole_in * 0.72) / WIDTH_IN
    lights_axes = figure.add_axes((left, bottom, whole_in * 0.28 / WIDTH_IN, height))
    draw_lights(lights_axes, card, size=POINTS - 1.0)


def _draw_watch(words: _Words, lines: Sequence[str], *, y_in: float) -> None:
    words.put(MARGIN_IN, y_in + 0.12, "Watch", weight="bold", colour=ACCENT, size=POINTS + 0.6)
    _rule(words.figure, y_in=y_in + 0.155, width=0.5)
    for number, line in enumerate(lines):
        words.put(MARGIN_IN, y_in + TITLE_IN + 0.09 + number * ROW_IN, line, size=POINTS - 0.2)


def _draw_footer(words: _Words, caution: str) -> None:
    for number, line in enumerate(textwrap.wrap(caution, 124)):
        words.put(MARGIN_IN, HEIGHT_IN - MARGIN_IN - 0.08 + number * 0.1, line, size=5.6, colour=FAINT)


def _unknown(card: Card) -> str:
    return f"Not known: {'; '.join(card.unknown)}."


def _rule(
    figure: Figure,
    *,
    y_in: float,
    x_in: float = MARGIN_IN,
    width_in: float = WIDTH_IN - 2 * MARGIN_IN,
    width: float = 1.0,
) -> None:

    y = 1.0 - y_in / HEIGHT_IN
    line = Line2D(
        [x_in / WIDTH_IN, (x_in + width_in) / WIDTH_IN], [y, y], transform=figure.transFigure, color=ACCENT, lw=width
    )
    figure.add_artist(line)
