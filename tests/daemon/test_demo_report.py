"""What the demo prints."""

import io

from rich.console import Console

from otherseat.advisories.levels import Change
from otherseat.daemon.demo_log import DemoLog
from otherseat.daemon.demo_report import clock, print_tables
from tests.daemon.test_demo_log import MISTAKE, alert, log_of


def printed(log: DemoLog) -> str:
    """Return the tables as text."""
    console = Console(file=io.StringIO(), width=140)
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
    assert "Not expected: glidepath-low (caution) at 1:44" in bad


def test_clock() -> None:
    """Minutes and seconds, as on a stop watch."""
    assert ["0:00", "1:05", "12:59"] == [clock(time_s).strip() for time_s in (0.0, 65.2, 779.9)]
