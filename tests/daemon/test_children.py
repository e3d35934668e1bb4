"""Child processes: read line by line, and ended for certain."""

import sys

import pytest

from otherseat.daemon.children import Child, ChildError, start_daemon

TALKS = "import time\nfor n in range(2): print(n, flush=True)\ntime.sleep(60)"
STUBBORN = "import signal, time\nsignal.signal(signal.SIGTERM, signal.SIG_IGN)\nprint('up', flush=True)\ntime.sleep(60)"


def test_lines_arrive_as_they_are_printed() -> None:
    """Each line is handed over once; without a new one None comes, and the child is not silent yet."""
    with Child([sys.executable, "-c", TALKS]) as child:
        lines = [child.line(timeout_s=10.0), child.line(timeout_s=10.0), child.line(timeout_s=0.0)]
        silent = child.silent

    assert ["0", "1", None] == lines
    assert not silent


def test_silent_at_the_end() -> None:
    """A child that has ended is silent once all of its lines have been handed over."""
    with Child([sys.executable, "-c", "print('last')"]) as child:
        lines = [child.line(timeout_s=10.0), child.line(timeout_s=10.0), child.line(timeout_s=10.0)]

        assert ["last", None, None] == lines
        assert child.silent
        assert 0 == child.stop()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGTERM to ignore")
def test_a_stubborn_child_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    """A child that does not listen when asked to end is ended all the same."""
    monkeypatch.setattr("otherseat.daemon.children.GRACE_S", 0.2)
    child = Child([sys.executable, "-c", STUBBORN])
    child.line(timeout_s=10.0)

    assert -9 == child.stop()


def test_a_daemon_that_does_not_start_says_why() -> None:
    """The error is what the daemon said, not that it failed."""
    with pytest.raises(ChildError, match=r"missing\.toml"):
        start_daemon("--plan", "missing.toml", "--voice", "none")


def test_interrupted_while_it_starts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C before the daemon is ready leaves no daemon behind that would hold its ports."""
    started: list[Child] = []

    def interrupted(child: Child, *, timeout_s: float) -> str | None:
        started.append(child)
        raise KeyboardInterrupt(timeout_s)

    monkeypatch.setattr(Child, "line", interrupted)
    with pytest.raises(KeyboardInterrupt):
        start_daemon("--port", "0", "--voice", "none", "--no-world", "--no-recording")

    assert started[0].exit_code is not None
