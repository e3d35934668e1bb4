"""Hanging: lines that are longer than the window, broken between words with what follows set in.

Only in a window: what goes into a pipe or a file stays one line each, so that other programs can read it.
"""

import shutil
import sys
import textwrap
from typing import TextIO, cast

import click

from otherseat.daemon.clock_words import CLOCK_WIDTH

SAID_AT = CLOCK_WIDTH + 2
"""Where the words begin in a line of what was said, behind its time."""
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


class HungLines:
    """A text stream, as far as print and click need one, that breaks each line it is given for its window."""

    def __init__(self, stream: TextIO, *, indent: int, width: int | None = None) -> None:
        """Write to the stream; width: of its window, None to look whenever a line is written."""
        self._stream = stream
        self._indent = indent
        self._width = width

    @property
    def stream(self) -> TextIO:
        """Return this as what print and click take; they only write and flush."""
        return cast("TextIO", self)

    def write(self, text: str) -> int:
        """Write the text, which is whole lines."""
        width = self._width or (shutil.get_terminal_size().columns if self._stream.isatty() else None)
        lines = text if width is None else "\n".join(self._hung(line, width) for line in text.split("\n"))
        self._stream.write(lines)
        return len(text)

    def flush(self) -> None:
        """Have it seen now."""
        self._stream.flush()

    def _hung(self, line: str, width: int) -> str:
        return hung(line, indent=self._indent, width=width)
