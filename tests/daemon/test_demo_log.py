"""The demo's own judgement: which promise was kept."""

from collections.abc import Mapping

import pytest

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.demo_log import DemoLog
from otherseat.daemon.flight_model.scenes import Mistake
from otherseat.daemon.messages import AlertMessage

MISTAKE = Mistake("high", "glidepath-high", (1, 0), 10.0, (1, 1), 20.0)


def alert(change: Change, time_s: float, *, name: str = "glidepath-high", level: Level = Level.CAUTION) -> AlertMessage:
    """Return one change of an alert."""
    return AlertMessage(
        id=f"{name}.1",
        alert=name,
        aircraft="own",
        change=change,
        level=level,
        phrase=name,
        values={},
        raised_s=0.0,
        time_s=time_s,
        text="",
        speech="",
    )


def log_of(*alerts: AlertMessage, legs: Mapping[tuple[int, int], float]) -> DemoLog:
    """Return a log of a flight with those legs."""
    log = DemoLog()
    for (scene, leg), time_s in legs.items():
        log.flown({"event": "leg", "scene": scene, "leg": leg, "doing": "Final", "time_s": time_s})
    log.alerts.extend(alerts)
    return log


@pytest.mark.parametrize(
    ("raised_s", "cleared_s", "expected"),
    [
        pytest.param(109.0, 215.0, True, id="in-time"),
        pytest.param(110.5, 215.0, False, id="said-late"),
        pytest.param(99.0, 215.0, False, id="said-before-it-began"),
        pytest.param(109.0, 221.0, False, id="cleared-late"),
        pytest.param(None, None, False, id="never-said"),
        pytest.param(109.0, None, False, id="never-cleared"),
    ],
)
def test_promise(raised_s: float | None, cleared_s: float | None, expected: bool) -> None:  # noqa: FBT001 - a parameter
    """A promise is kept when the alert comes after the mistake began, in time, and clears in time once mended."""
    changes = [(Change.RAISED, raised_s), (Change.CLEARED, cleared_s)]
    alerts = [alert(change, time_s) for change, time_s in changes if time_s is not None]
    (kept,) = log_of(*alerts, legs={(1, 0): 100.0, (1, 1): 200.0}).kept([MISTAKE])

    assert expected == kept.ok


def test_what_was_not_flown_is_not_judged() -> None:
    """A mistake whose leg was not flown, because the demo began later, is left out."""
    assert [] == log_of(legs={(2, 0): 0.0}).kept([MISTAKE])


def test_unpromised() -> None:
    """An alert above advice that no mistake accounts for is told once; advice never."""
    other = alert(Change.RAISED, 1.0, name="glidepath-low")
    log = log_of(
        alert(Change.RAISED, 1.0),
        other,
        alert(Change.CLEARED, 2.0, name="glidepath-low"),
        alert(Change.RAISED, 3.0, name="wrong-airfield", level=Level.ADVICE),
        legs={},
    )

    assert [other] == list(log.unpromised([MISTAKE]))


def test_scene_at() -> None:
    """What is said belongs to the scene that was being flown."""
    log = DemoLog()
    for number, time_s in ((1, 0.0), (2, 30.0)):
        log.flown({"event": "scene", "scene": number, "name": f"n{number}", "told": "", "time_s": time_s})
    scenes = [log.scene_at(time_s) for time_s in (0.0, 29.9, 30.0)]

    assert ["n1", "n1", "n2"] == [scene.name if scene else None for scene in scenes]


def test_end() -> None:
    """The end tells when it was and how many datagrams were lost."""
    log = DemoLog()
    log.flown({"event": "end", "time_s": 600.0, "datagrams": 12_000, "lost": 3})

    assert (600.0, 12_000, 3) == (log.end_s, log.datagrams, log.lost)
