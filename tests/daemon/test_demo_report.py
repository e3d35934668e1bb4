"""What the demo prints."""

import dataclasses
import io

from rich.console import Console

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.demo_log import DemoLog
from otherseat.daemon.demo_report import print_call, print_cut_short, print_tables
from tests.daemon.samples import call
from tests.daemon.test_demo_log import MISTAKE, alert, log_of


def printed(log: DemoLog, *, width: int = 140) -> str:
    """Return the tables as text."""
    console = Console(file=io.StringIO(), width=width)
    print_tables(console, log, kept=log.kept([MISTAKE]), unpromised=list(log.unpromised([MISTAKE])))
    text = console.file.getvalue()  # type: ignore[attr-defined]  # a StringIO, made above
    assert isinstance(text, str)
    return text


def test_tables() -> None:
    """A kept promise, a broken one and what was not expected are told apart in words."""
    legs = {(1, 0): 100.0, (1, 1): 200.0}
    good = printed(log_of(alert(Change.RAISED, 104.0), alert(Change.CLEARED, 205.0), legs=legs))
    bad = printed(log_of(alert(Change.RAISED, 104.0, name="glidepath-low"), legs=legs))

    assert "4 s" in good
    assert "yes" in good
    assert "Not expected" not in good
    assert "never" in bad
    assert "Not expected: glidepath-low (caution) at 0:01:44" in bad


def test_each_level_has_its_own_time() -> None:
    """A caution that became a warning is told as both, each with its seconds; the promise is about the first."""
    changes = (
        alert(Change.RAISED, 103.0),
        alert(Change.CHANGED, 118.0, level=Level.WARNING),
        alert(Change.CLEARED, 205.0, level=Level.WARNING),
    )
    words = " ".join(printed(log_of(*changes, legs={(1, 0): 100.0, (1, 1): 200.0}), width=80).split())

    assert "high caution 3 s 10 s 5 s 20 s yes warning 18 s" in words


def test_nothing_is_torn_in_eighty_columns() -> None:
    """In a window of 80 columns lines break between words, and what follows is set in."""
    log = log_of(alert(Change.RAISED, 103.0), legs={(1, 0): 100.0, (1, 1): 200.0})
    said = dataclasses.replace(call(), text=" ".join(["destination"] * 12))
    log.calls.append(said)
    console = Console(file=io.StringIO(), width=80)
    print_call(console, said)
    print_cut_short(console, log)
    assert isinstance(console.file, io.StringIO)
    lines = [*console.file.getvalue().splitlines(), *printed(log, width=80).splitlines()]

    assert max(map(len, lines)) <= 80
    assert lines[0].startswith("0:10:40  caution  destination")
    assert lines[1].startswith(" " * 18 + "destination")
    assert 36 == " ".join(lines).split().count("destination")
