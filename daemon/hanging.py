"""Hanging: lines that are longer than the window, broken between words with what follows set in.

Only in a window: what goes into a pipe or a file stays one line each, so that other programs can read it.
"""

import shutil
import sys
import textwrap

import click

NARROWEST = 20
"""Columns; where there is less room than that beside the indent, the window itself breaks the line."""


def hung(line: str, *, indent: int = 4, width: int) -> str:
    """Return the line in pieces of at most so many columns, every one but the first set in."""
    if width - indent < NARROWEST:
        return line
    pieces = textwrap.wrap(
        line,
        width,
        subsequent_indent=" " * indent,
        drop_whitespace=True,
        break_on_hyphens=False,
        break_long_words=False,
    )
    return "\n".join(pieces) or line


def say(line: str, *, indent: int = 4) -> None:
    """Print a line on standard output, broken where that is a window too narrow for it."""
    if sys.stdout.isatty():
        line = hung(line, indent=indent, width=shutil.get_terminal_size().columns)
    click.echo(line)
