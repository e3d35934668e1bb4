"""Long lines in narrow windows."""

import io

import click
import pytest

from otherseat.daemon.hanging import HungLines, hung


def test_a_long_line_is_broken_between_words() -> None:
    """What follows the first piece is set in, and no word is torn."""
    line = "alert  0:09  caution: This is one three; plan, zero seven.  mended after 24 s"

    assert "alert  0:09  caution: This is one three;\n       plan, zero seven.  mended after\n       24 s" == hung(
        line, indent=7, width=40
    )


@pytest.mark.parametrize("line", ["", "short", "  with its own  blanks"])
def test_a_short_line_stays(line: str) -> None:
    """What fits is left as it is, blanks included."""
    assert line == hung(line, width=40)


def test_no_room_at_all() -> None:
    """Where hardly anything fits beside the indent the line is left to the window."""
    assert "one two three four five six seven" == hung("one two three four five six seven", indent=22, width=30)


def test_a_stream_of_lines() -> None:
    """What click writes through it is broken for a window, and left alone on its way into a file."""
    narrow, file = io.StringIO(), io.StringIO()
    line = "   6:55  caution: Destination passed. Turn back, 266."
    click.echo(line, file=HungLines(narrow, indent=9, width=40).stream)
    click.echo(line, file=HungLines(file, indent=9).stream)

    assert "   6:55  caution: Destination passed.\n         Turn back, 266.\n" == narrow.getvalue()
    assert f"{line}\n" == file.getvalue()
