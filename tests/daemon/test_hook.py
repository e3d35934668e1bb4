"""The hook: run once per escalation, without a shell, with its facts, ended in time."""

import sys
from pathlib import Path

import pytest

from otherseat.advisories.levels import Alert, Change, Level
from otherseat.config.settings import HookSettings
from otherseat.daemon.hook import Hook
from otherseat.daemon.messages import AlertMessage, alert_message

WRITE = "import os, sys; f = open(sys.argv[1], 'a'); f.write(os.environ['OTHERSEAT_TEXT'] + '|'); f.close()"


def passed(level: Level, *, change: Change = Change.CHANGED, acknowledged: bool = False) -> AlertMessage:
    """Return a passed destination at a level."""
    alert = Alert(
        id="destination-passed.1",
        alert="destination-passed",
        aircraft="own",
        change=change,
        level=level,
        phrase="destination-passed",
        values={},
        raised_s=1.0,
        time_s=9.0,
        acknowledged=acknowledged,
    )
    return alert_message(alert, text=f"{level.word} $(touch oops); `x`", speech="")


def run(hook: Hook, *alerts: AlertMessage) -> None:
    """Show alerts to the hook and wait for its commands."""
    for alert in alerts:
        hook.look(alert)
    hook.wait(seconds=10.0)


def hook_writing(path: Path) -> Hook:
    """Return a hook that appends the alert's text to a file."""
    return Hook(HookSettings(command=(sys.executable, "-c", WRITE, str(path))))


def test_once_per_escalation_and_no_shell(tmp_path: Path) -> None:
    """It runs at the warning, not before, not again; nothing of the text is interpreted."""
    out = tmp_path / "out"
    warning = passed(Level.WARNING)
    run(hook_writing(out), passed(Level.CAUTION), warning, warning)

    assert "warning $(touch oops); `x`|" == out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "alert",
    [
        pytest.param(passed(Level.WARNING, acknowledged=True), id="acknowledged"),
        pytest.param(passed(Level.WARNING, change=Change.CLEARED), id="cleared"),
        pytest.param(passed(Level.CAUTION), id="below-the-level"),
    ],
)
def test_not_run(tmp_path: Path, alert: AlertMessage) -> None:
    """Somebody is there, or it is over, or not serious enough."""
    out = tmp_path / "out"
    run(hook_writing(out), alert)

    assert not out.exists()


def test_a_program_that_is_not_there() -> None:
    """A wrong command is logged and harms nothing."""
    run(Hook(HookSettings(command=("/no/such/program",))), passed(Level.WARNING))


def test_a_command_that_hangs_is_ended(tmp_path: Path) -> None:
    """Its time limit ends it."""
    out = tmp_path / "out"
    code = f"import time, pathlib; time.sleep(30); pathlib.Path({str(out)!r}).touch()"
    run(Hook(HookSettings(command=(sys.executable, "-c", code), time_limit_s=0.2)), passed(Level.WARNING))

    assert not out.exists()
