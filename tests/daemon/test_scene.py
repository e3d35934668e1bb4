"""What a screen knows, from the bus alone."""

import dataclasses
from typing import Any

import pytest

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.messages import HealthMessage, Kind, Message, StandingMessage
from otherseat.daemon.scene import CALLS, FORGET_S, MISSING_S, Scene, seriousness
from tests.daemon.samples import BODIES, alert, call

OLD, NEW = "0badcafe", "decade00"


def message(kind: Kind, body: Any, *, session: str = OLD) -> Message:
    """Return a message as the client gives it."""
    aircraft = None if kind is Kind.HEALTH else body.aircraft
    return Message(kind=kind, aircraft=aircraft, session=session, seq=1, time_s=1.0, body=body)


def health(seat: str) -> HealthMessage:
    """Return the health of a daemon of this name."""
    return HealthMessage(seat=seat, version="0", uptime_s=1.0)


def scene_of(*messages: Message, now_s: float = 0.0) -> Scene:
    """Return a scene that took these in."""
    scene = Scene()
    for one in messages:
        scene.take(one, now_s=now_s)
    return scene


def test_everything_has_its_place() -> None:
    """Each kind of message ends where a screen looks for it."""
    scene = scene_of(*(message(kind, body) for kind, body in BODIES.items() if kind is not Kind.STATE))
    seat = scene.seats[OLD, "own"]

    assert (BODIES[Kind.PICTURE], BODIES[Kind.PLAN], BODIES[Kind.STANDING]) == (seat.picture, seat.plan, seat.standing)
    assert ([BODIES[Kind.ALERT]], [BODIES[Kind.CALL]]) == (seat.ranked, list(seat.calls))
    assert "bench" == scene.name_of(OLD)


def test_a_cleared_alert_is_gone() -> None:
    """What was cleared no longer stands on the screen."""
    scene = scene_of(message(Kind.ALERT, alert(1)), message(Kind.ALERT, alert(1, change=Change.CLEARED)))

    assert [] == scene.seats[OLD, "own"].ranked


def test_the_most_serious_alert_comes_first() -> None:
    """Level first; among equals what nobody has acknowledged; then the newest."""
    alerts = [
        dataclasses.replace(alert(1, level=Level.ADVICE), raised_s=9.0),
        dataclasses.replace(alert(2, level=Level.WARNING), raised_s=8.0, acknowledged=True),
        dataclasses.replace(alert(3, level=Level.WARNING), raised_s=1.0),
        dataclasses.replace(alert(4, level=Level.WARNING), raised_s=2.0),
    ]
    scene = scene_of(*(message(Kind.ALERT, one) for one in alerts))

    assert ["4", "3", "2", "1"] == [one.id.rpartition(".")[2] for one in scene.seats[OLD, "own"].ranked]


def test_only_the_last_calls_are_kept() -> None:
    """The screen shows what was said last."""
    scene = scene_of(*(message(Kind.CALL, dataclasses.replace(call(), repeat=number)) for number in range(9)))

    assert list(range(9 - CALLS, 9)) == [one.repeat for one in scene.seats[OLD, "own"].calls]


def test_a_sentence_is_worded_with_the_numbers_of_now() -> None:
    """What stands is shown as the daemon words it now; what has been cleared does not come back with it."""
    now = dataclasses.replace(alert(1), text="High, 300. Sink 1,360.")
    scene = scene_of(
        message(Kind.ALERT, alert(1)),
        message(Kind.STANDING, StandingMessage(aircraft="own", alerts=(now, alert(2)))),
    )

    assert [now.text] == [one.text for one in scene.seats[OLD, "own"].ranked]


def test_a_retired_aircraft_leaves_the_screen() -> None:
    """What the daemon let go of is not shown any more."""
    scene = scene_of(
        message(Kind.STATE, BODIES[Kind.STATE]),
        message(Kind.STANDING, StandingMessage(aircraft="own", retired=True)),
    )

    assert {} == scene.seats


@pytest.mark.parametrize(("now_s", "expected"), [(MISSING_S, False), (MISSING_S + 0.1, True)])
def test_missing(now_s: float, *, expected: bool) -> None:
    """A daemon without a heartbeat for three seconds is missing."""
    scene = scene_of(message(Kind.HEALTH, health("seat")))

    assert expected is scene.is_missing(OLD, now_s=now_s)


def test_a_daemon_that_started_again_takes_its_place() -> None:
    """The new session of a daemon replaces the one that fell silent; two that are alive stay two."""
    scene = scene_of(
        message(Kind.HEALTH, health("seat")),
        message(Kind.ALERT, alert(1)),
        message(Kind.HEALTH, health("other"), session="0000aaaa"),
    )
    scene.take(message(Kind.HEALTH, health("other"), session="1111bbbb"), now_s=0.5)
    scene.take(message(Kind.HEALTH, health("seat"), session=NEW), now_s=4.0)

    assert {"0000aaaa", "1111bbbb", NEW} == scene.daemons.keys()
    assert {} == scene.seats


def test_what_is_missing_for_long_is_forgotten() -> None:
    """A board does not fill up with daemons of yesterday."""
    scene = scene_of(message(Kind.HEALTH, health("seat")), message(Kind.ALERT, alert(1)))

    scene.forget(now_s=FORGET_S + 1.0)

    assert ({}, {}) == (scene.daemons, scene.seats)


def test_seriousness() -> None:
    """A warning comes before blindness, blindness before a caution, and an acknowledged warning is no hurry."""
    done = dataclasses.replace(alert(1, level=Level.WARNING), acknowledged=True)
    cases = {
        "warning": message(Kind.ALERT, alert(1, aircraft="warning", level=Level.WARNING)),
        "caution": message(Kind.ALERT, alert(1, aircraft="caution", level=Level.CAUTION)),
        "blind": message(Kind.STANDING, StandingMessage(aircraft="blind", silent=True)),
        "done": message(Kind.ALERT, dataclasses.replace(done, aircraft="done")),
    }
    scene = scene_of(*cases.values())
    order = sorted(scene.seats.values(), key=lambda seat: seriousness(scene, seat, now_s=0.5), reverse=True)

    assert ["warning", "blind", "caution", "done"] == [seat.aircraft for seat in order]
