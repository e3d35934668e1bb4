"""Plain: what a screen tells, in lines for a screen reader or a log.

At once      a line for each alert, each call, each daemon and aircraft that comes, falls silent or goes
The numbers  a line for each chapter of the page, of the one aircraft that the page would show: when it is seen first,
             when its phase, its runway or its plan changes, and every so often; never while they are old
Watched      what the checks do: at first, and when one goes blind or off, or the voice changes
"""

import sys
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NoReturn

from otherseat.daemon.board import waiting_daemons
from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.hanging import say
from otherseat.daemon.messages import Kind, Message
from otherseat.daemon.page import MIDDLE, TITLES, Row, old_words, rows_of
from otherseat.daemon.scene import MISSING_S, Scene, Seat

if TYPE_CHECKING:
    from otherseat.daemon.terminal import Watcher

STANDS, WATCHED = 1, 7
GOES_ON = frozenset({"at work", "waiting", "source", "daemon"})
"""Rows about what is watched that go on changing while all is well."""
COUNTED = frozenset({"source", "daemon"})
"""Of these, what is but counted; `otherseat status` tells it."""


def print_lines(watcher: "Watcher", *, every_s: float | None) -> NoReturn:
    """Print a line for each thing that happens, and the numbers, until interrupted; every_s: None for no numbers."""
    say(CAUTION_LINE, indent=0)
    say(f"waiting for a daemon at {watcher.where}")
    heard, numbers = Heard(), Numbers(every_s=every_s or 0.0)
    while True:
        happened = list(lines_of(watcher.step(timeout_s=1.0)))
        told = [] if every_s is None else list(numbers.lines(watcher))
        for line in [*heard.lines(watcher), *happened, *told]:
            say(line)
        sys.stdout.flush()


def lines_of(messages: Iterable[Message]) -> Iterator[str]:
    """Return a line for each alert and each call."""
    for message in messages:
        if message.kind is Kind.ALERT:
            alert = message.body
            yield f"{clock_words(alert.time_s)} {alert.aircraft} {alert.level.word} {alert.change.value}: {alert.text}"
        elif message.kind is Kind.CALL:
            call, when = message.body, " before" if message.past else ""
            yield f"{clock_words(call.time_s)} {call.aircraft} said{when}: {call.speech}"


class Numbers:
    """Tells what the page's chapters have, when something begins anew and every so often."""

    def __init__(self, *, every_s: float) -> None:
        """every_s: seconds of this program's clock; 0 for only when something begins anew."""
        self._every_s = every_s
        self._told_s = 0.0
        self._situation: tuple[object, ...] | None = None
        self._watched: list[str] = []

    def lines(self, watcher: "Watcher") -> Iterator[str]:
        """Return a line for each chapter, or nothing while it is not yet time."""
        if not watcher.scene.seats:
            return
        seat, now_s = watcher.first(), watcher.now_s
        if seat.picture is None or old_words(seat, now_s=now_s) is not None:
            return
        rows = rows_of(watcher.scene, seat, now_s=now_s)
        situation = _situation(seat)
        if situation != self._situation or (self._every_s > 0.0 and now_s - self._told_s >= self._every_s):
            self._situation, self._told_s = situation, now_s
            yield f"{clock_words(seat.picture.time_s)} {seat.aircraft} {seat.picture.phase.value}"
            yield from (_line(number, rows[number]) for number in (STANDS, *MIDDLE) if rows[number] or number == STANDS)
        watched = [_words(row) for row in rows[WATCHED] if row[0] not in GOES_ON]
        if watched != self._watched:
            self._watched = watched
            yield _line(WATCHED, [row for row in rows[WATCHED] if row[0] not in COUNTED])


def _situation(seat: Seat) -> tuple[object, ...]:
    """Return what the numbers are about; another is worth telling at once."""
    picture = seat.picture
    return seat.session, seat.aircraft, seat.plan, picture and picture.phase, picture and picture.runway


def _line(number: int, rows: Iterable[Row]) -> str:
    return f"  {TITLES[number]}: {'; '.join(map(_words, rows)) or 'nothing'}"


def _words(row: Row) -> str:
    return " ".join(str(part) for part in row if str(part))


class Heard:
    """Tells when a daemon or an aircraft is heard first, when it falls silent, and when it is heard again."""

    def __init__(self) -> None:
        self._found: set[str] = set()
        self._quiet: dict[str, str] = {}

    def lines(self, watcher: "Watcher") -> Iterator[str]:
        """Return a line for each change."""
        scene = watcher.scene
        yield from self._newcomers(scene)
        quiet = dict(_quiet(scene, now_s=watcher.now_s))
        yield from (line for line in sorted(quiet) if line not in self._quiet)
        still = set(quiet.values())  # another reason for the same silence is no end of it
        yield from (again for line, again in sorted(self._quiet.items()) if line not in quiet and again not in still)
        self._quiet = quiet

    def _newcomers(self, scene: Scene) -> Iterator[str]:
        for session in scene.daemons:
            names = {aircraft for owner, aircraft in scene.seats if owner == session}
            of = {f"{session}.{name}" for name in names}
            new = sorted(name for name in names if f"{session}.{name}" not in self._found)
            if session not in self._found:
                yield f"daemon {scene.name_of(session)} found, aircraft {', '.join(new) or 'none yet'}"
            elif new:
                yield f"aircraft {', '.join(new)} of {scene.name_of(session)} found"
            self._found |= {session, *of}


def _quiet(scene: Scene, *, now_s: float) -> Iterator[tuple[str, str]]:
    """Yield what is not as it should be, and what to say once it is again."""
    for session in scene.daemons:
        if scene.is_missing(session, now_s=now_s):
            name = f"daemon {scene.name_of(session)}"
            yield f"{name} is not heard any more", f"{name} is heard again"
    for seat in scene.seats.values():
        name = f"{seat.aircraft} of {scene.name_of(seat.session)}"
        old_s = seat.age.seconds(now_s=now_s) or 0.0
        if seat.silent:
            yield f"{name} is silent: nothing that can be used comes from the simulator", f"{name} is heard again"
        elif old_s > MISSING_S and not scene.is_missing(seat.session, now_s=now_s):
            yield f"{name} has nothing new: its numbers are old", f"{name} has new numbers again"
    for line in waiting_daemons(scene):
        yield f"waiting: {line}", f"no longer waiting: {line.partition(': ')[0]}"
