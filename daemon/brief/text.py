"""Text: the card for a terminal, or any printer."""

import itertools
import textwrap

from otherseat.daemon.brief.card import Card, Table

WIDTH = 60
NAMES = ("far too low", "slightly low", "on path", "slightly high", "far too high")
RED, WHITE = "R", "W"


def to_text(card: Card, *, caution: str) -> str:
    """Return the card as lines of text."""
    blocks = [f"{card.title}\n{card.subtitle}".rstrip()]
    blocks += [_block(table) for table in card.tables]
    if card.lights_deg is not None:
        blocks.append(_lights(card.lights_deg))
    if card.watch:
        blocks.append("Watch\n" + "\n".join(f"  * {point}" for point in card.watch))
    if card.unknown:
        blocks.append("Not known\n" + "\n".join(f"  {point}" for point in card.unknown))
    blocks.append(textwrap.fill(caution, WIDTH))
    return "\n\n".join(blocks) + "\n"


def _block(table: Table) -> str:
    lines = [table.title]
    rows = [table.heads, *table.rows] if table.heads else list(table.rows)
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        first, *others = (
            cell.ljust(width) if column == 0 else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        lines.append(f"  {'   '.join([first, *others])}".rstrip())
    if table.note:
        lines.append(f"  ({table.note})")
    return "\n".join(lines)


def _lights(settings_deg: tuple[float, ...]) -> str:
    bounds = [f"below {settings_deg[0]:.2f}°"]
    bounds += [f"{low:.2f}° to {high:.2f}°" for low, high in itertools.pairwise(settings_deg)]
    bounds.append(f"above {settings_deg[-1]:.2f}°")
    lines = [f"  {WHITE * white + RED * (4 - white)}   {NAMES[white]:<14} {bounds[white]}" for white in range(5)]
    return "Approach lights, if they are on the left (white W, red R)\n" + "\n".join(lines)
