"""Log: one line for every thing that was said or stood."""

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.messages import AlertMessage, CallMessage
from otherseat.daemon.panel.log import LINES, Log


def alert(change: Change, *, level: Level = Level.CAUTION, time_s: float = 10.0) -> AlertMessage:
    """Return a change of one alert."""
    return AlertMessage(
        id="glidepath-high.1",
        alert="glidepath-high",
        aircraft="own",
        change=change,
        level=level,
        phrase="glidepath-high",
        values={},
        raised_s=10.0,
        time_s=time_s,
        acknowledged=change is Change.ACKNOWLEDGED,
        text="High, 200.",
        speech="",
    )


def call(
    *, alert_id: str | None = "glidepath-high.1", time_s: float = 10.0, level: Level = Level.CAUTION
) -> CallMessage:
    """Return something that is said."""
    return CallMessage(
        time_s=time_s,
        aircraft="own",
        level=level,
        phrase="",
        values={},
        alert_id=alert_id,
        text="High, 200.",
        speech="",
    )


def test_repeats_are_counted_on_one_line() -> None:
    """An alert that is said three times is one line that says so."""
    log = Log()
    log.note(alert(Change.RAISED), session="a")
    for second in (10, 30, 50):
        log.hear(call(time_s=second), session="a")

    assert [("High, 200.", 3)] == [(line["text"], line["said"]) for line in log.entries()]


def test_the_end_is_noted() -> None:
    """A cleared alert has the time at which it was over."""
    log = Log()
    log.note(alert(Change.RAISED), session="a")
    log.note(alert(Change.CLEARED, time_s=25.0), session="a")

    assert [25.0] == [line["over_s"] for line in log.entries()]


def test_a_higher_level_is_a_new_line() -> None:
    """The line of the lower level is over when the higher one begins."""
    log = Log()
    log.note(alert(Change.RAISED, level=Level.ADVICE), session="a")
    log.note(alert(Change.CHANGED, level=Level.CAUTION, time_s=20.0), session="a")

    assert [("advice", 20.0), ("caution", None)] == [(line["level"], line["over_s"]) for line in log.entries()]


def test_an_acknowledgement_is_noted() -> None:
    """The line of an acknowledged alert says so."""
    log = Log()
    log.note(alert(Change.RAISED), session="a")
    log.note(alert(Change.ACKNOWLEDGED), session="a")

    assert [True] == [line["acknowledged"] for line in log.entries()]


def test_another_run_of_the_daemon_has_lines_of_its_own() -> None:
    """Ids begin anew with each run, so the same id of another session is another line."""
    log = Log()
    log.note(alert(Change.RAISED), session="a")
    log.note(alert(Change.RAISED), session="b")

    assert 2 == len(log.entries())


def test_the_log_is_bounded() -> None:
    """Only the latest lines are kept."""
    log = Log()
    for second in range(LINES + 50):
        log.hear(call(alert_id=None, time_s=float(second), level=Level.CALL), session="a")

    assert LINES == len(log.entries())
    assert 50.0 == log.entries()[0]["time_s"]
