"""`otherseat watch --plain`: everything that the page tells, in lines."""

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from click.testing import CliRunner

from otherseat.advisories.picture import Phase
from otherseat.daemon.client import Client
from otherseat.daemon.messages import HealthMessage, Kind, Message, SourceHealth, StandingMessage
from otherseat.daemon.plain import Heard, Numbers, lines_of
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import Watcher, watch
from tests.daemon.bench import bench
from tests.daemon.samples import BODIES, alert
from tests.daemon.test_scene import OLD, message
from tests.daemon.test_terminal import watcher_of


def test_a_line_for_each_thing() -> None:
    """Plain lines tell time, aircraft, level, what happened, and the words."""
    said = message(Kind.CALL, BODIES[Kind.CALL])
    lines = list(lines_of([message(Kind.ALERT, alert(1)), said, dataclasses.replace(said, past=True)]))

    assert [
        "0:10:40 own caution raised: High, 200 ft. Sink 650.",
        "0:10:40 own said: High, two hundred.",
        "0:10:40 own said before: High, two hundred.",
    ] == lines


def test_silence_is_a_line() -> None:
    """Plain lines tell once when an aircraft falls silent, and when it is heard again."""
    with bench() as standing, watcher_of(standing) as watcher:
        heard = Heard()
        told: list[list[str]] = []
        for silent in (True, True, False):
            body = StandingMessage(aircraft="own", silent=silent)
            watcher.scene.take(message(Kind.STANDING, body), now_s=watcher.now_s)
            told.append(list(heard.lines(watcher)))

    assert [
        [f"own of {OLD} is silent: nothing that can be used comes from the simulator"],
        [],
        [f"own of {OLD} is heard again"],
    ] == told


class Clock:
    """A clock that stands until it is set."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        """Return the time."""
        return self.now_s


def test_a_daemon_is_told_once() -> None:
    """A daemon is told when it is found with its aircraft, when one more comes, when it is missing, and back."""
    clock, told = Clock(), list[list[str]]()
    health = message(Kind.HEALTH, BODIES[Kind.HEALTH])
    with Client(relay="tcp://127.0.0.1:9") as client, client.subscribe(*KINDS) as subscription:
        watcher = Watcher(subscription, where="there", clock=clock)
        heard = Heard()
        for now_s, heard_now in (
            (0.0, [health, message(Kind.PICTURE, BODIES[Kind.PICTURE])]),
            (1.0, [health]),
            (4.0, [health]),
            (4.5, [message(Kind.PICTURE, BODIES[Kind.PICTURE])]),
            (5.0, [message(Kind.ALERT, alert(1, aircraft="a2"))]),
            (9.0, []),
            (9.5, [health]),
        ):
            clock.now_s = now_s
            for one in heard_now:
                watcher.scene.take(one, now_s=now_s)
            told.append(list(heard.lines(watcher)))

    assert [
        ["daemon bench found, aircraft own"],
        [],
        ["own of bench has nothing new: its numbers are old"],
        ["own of bench has new numbers again"],
        ["aircraft a2 of bench found"],
        ["daemon bench is not heard any more"],
        ["own of bench has nothing new: its numbers are old", "daemon bench is heard again"],
    ] == told


def test_what_is_waited_for() -> None:
    """A source that is waited for is told whole, again when the reason is another, and its end when states come."""

    def waiting(**more: Any) -> Message:
        source = SourceHealth(name="mine.toml", adapter="layout", address="127.0.0.1:47910", **more)
        return message(Kind.HEALTH, HealthMessage(seat="seat", version="0", uptime_s=1.0, sources=(source,)))

    with clocked() as (watcher, _):
        heard, lines = Heard(), list[list[str]]()
        for one in (waiting(), waiting(datagrams=3), message(Kind.PICTURE, BODIES[Kind.PICTURE]), waiting()):
            watcher.scene.take(one, now_s=0.0)
            lines.append([line for line in heard.lines(watcher) if "waiting" in line])

    name = "seat, mine.toml at 127.0.0.1:47910"
    assert [
        [f"waiting: {name}: nothing has come: is the simulator's export on, and to this address and port?"],
        [f"waiting: {name}: nothing complete has come yet"],
        [f"no longer waiting: {name}"],
        [],
    ] == lines


@contextmanager
def clocked() -> Iterator[tuple[Watcher, Clock]]:
    """Give a watcher with a clock that is set by hand, and nobody on the line."""
    clock = Clock()
    with Client(relay="tcp://127.0.0.1:9") as client, client.subscribe(*KINDS) as subscription:
        yield Watcher(subscription, where="there", clock=clock), clock


def told(watcher: Watcher, clock: Clock, numbers: Numbers, now_s: float, *heard: Message) -> list[str]:
    """Return the lines after these were heard at this time."""
    clock.now_s = now_s
    for one in heard:
        watcher.scene.take(one, now_s=now_s)
    return list(numbers.lines(watcher))


def seen(**changes: Any) -> Message:
    """Return the sample picture, changed."""
    return message(Kind.PICTURE, dataclasses.replace(BODIES[Kind.PICTURE], **changes))


def test_what_the_page_tells_is_told() -> None:
    """Path, runway, wind, destination, aircraft, what stands and what is blind are lines, as on the page."""
    everything = [message(kind, body) for kind, body in BODIES.items() if kind is not Kind.STATE]
    picture = seen(headwind_kt=8.0, crosswind_kt=-4.0, destination="ZZPS", distance_to_destination_nm=6.25)
    with clocked() as (watcher, clock):
        lines = told(watcher, clock, Numbers(every_s=60.0), 0.5, *everything, picture)

    assert [
        "0:10:40 own final",
        "  What stands: caution High, 200 ft. Sink 650.  for 0 s",
        "  The path down: now 200 ft above the path; to go 4.0 NM to the threshold",
        "  Runway and wind: runway ZZPS/07  by plan; wind headwind 8 kt, crosswind 4 kt from the left",
        "  Destination: to ZZPS  Pelican Sound; distance 6.2 NM",
        "  The aircraft: altitude 1,500 ft, reported; true airspeed 94 kt, rule of thumb",
        "  What is watched: at work glidepath; blind weather: for want of altimeter_hpa; voice espeak-ng",
    ] == lines


def test_the_numbers_come_again() -> None:
    """They come when the time is over, and at once with another phase; not in between, and not while they are old."""
    with clocked() as (watcher, clock):
        numbers = Numbers(every_s=60.0)
        first = told(watcher, clock, numbers, 100.0, seen())
        between = told(watcher, clock, numbers, 159.0, seen())
        over = told(watcher, clock, numbers, 160.0, seen(height_above_path_ft=-90.0))
        phase = told(watcher, clock, numbers, 161.0, seen(phase=Phase.CLIMB))
        old = told(watcher, clock, numbers, 230.0)

    assert "0:10:40 own final" == first[0]
    assert ([], []) == (between, old)
    assert "  The path down: now 90 ft below the path; to go 4.0 NM to the threshold" in over
    assert "0:10:40 own climb" == phase[0]


def test_only_when_something_begins_anew() -> None:
    """With 0 they come with another phase, however long that takes."""
    with clocked() as (watcher, clock):
        numbers = Numbers(every_s=0.0)
        counts = [
            len(told(watcher, clock, numbers, now_s, one))
            for now_s, one in ((0.0, seen()), (9_999.0, seen()), (10_000.0, seen(phase=Phase.LANDED)))
        ]

    assert (True, 0, True) == (counts[0] > 1, counts[1], counts[2] > 1)


def test_a_check_that_goes_blind_is_told() -> None:
    """What the checks do is told again when one goes blind, and not when one has its moment."""
    lives = [{"gates": "lacks runway"}, {"gates": "live"}, {"gates": "lacks bank_deg"}]
    with clocked() as (watcher, clock):
        numbers = Numbers(every_s=0.0)
        first, moment, blind = (
            told(
                watcher, clock, numbers, 1.0, seen(), message(Kind.STANDING, StandingMessage(aircraft="own", live=live))
            )
            for live in lives
        )

    assert [] == moment
    assert ["  What is watched: blind gates: for want of bank_deg"] == blind
    assert len(first) > 1


def test_every_is_about_one_aircraft_in_lines() -> None:
    """--every with a picture, or with a board of everybody, is a mistake that is told."""
    for options in (["--every", "5", "--picture", "screen.svg"], ["--every", "5", "--plain", "--all"]):
        result = CliRunner().invoke(watch, options)
        assert 2 == result.exit_code
        assert "--every is about the numbers" in result.output
