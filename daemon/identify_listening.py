"""Listening for `otherseat identify`: studies what came, says what is still open, and ends when nothing is.

Where a study finds nothing new a single line says so: what is open, the first thing in full, the others by name. It is
the same line until something changes; a number in it, such as the height of that moment, is no change. A person who
flies for the listening sees that it goes on, for how long, and what to fly.

The study runs beside the listening in a thread of its own, one at a time, so that no datagram waits for it. Every line
begins with the time at which it is said, so that they are in order, however long a study takes.
"""

import re
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Protocol

import click

from otherseat.adapters.identify.settled import fingerprint, is_all_there, is_settled, known_names, so_far
from otherseat.adapters.identify.verdict import Verdict

Datagrams = Sequence[tuple[float, bytes]]
MOMENTARY = re.compile(r"-?\d[\d,.]*(?=%| ft| m\b| at the end)")
"""A height or a misfit, and not which column or byte it is of."""

FIRST_S = 20.0
EVERY_S = 10.0
"""Of the stream: between two studies."""
OVERDUE_S = 15.0
"""A study that takes so long is not waited for in silence."""
LATE_S = 5.0
"""What a study says that took longer is not yet about what was flown while it ran, and says so."""
UNCHANGED = 4
"""So many studies in a row that find the same after climb and descent end it, though something is open."""
AGREEING = 2
"""So many studies in a row must find the same, all of it sure."""


class Runner(Protocol):
    """What runs a study: an executor."""

    def submit(self, fn: Callable[[Datagrams], Verdict], datagrams: Datagrams, /) -> "Future[Verdict]":
        """Begin the study."""
        ...


class Progress:
    """The studies of one listening."""

    def __init__(self, study: Callable[[Datagrams], Verdict], runner: Runner, *, seconds: float) -> None:
        """Begin; seconds: how long the listening goes on at most."""
        self._study = study
        self._runner = runner
        self._longest_s = seconds
        self._spoke_s = 0.0
        self._running: tuple[float, Future[Verdict]] | None = None
        self._due_s = FIRST_S
        self._said: list[str] = []
        self._agreed = 0
        self._found: tuple[str, ...] = ()
        self._known: list[str] = []
        self._count = 0
        self.settled_by = 0
        """How many datagrams the study had that settled all; 0 while none has."""

    def step(self, came: Datagrams) -> bool:
        """Begin or end a study when it is time, and say what it found; return whether all is settled."""
        seconds = came[-1][0] - came[0][0]
        if self._running is not None and self._running[1].done():
            begun_s, future = self._running
            self._running = None
            if self._take(future.result(), seconds, begun_s):
                return True
            self._spoke_s = seconds
        elif seconds - self._spoke_s >= OVERDUE_S and self._said:
            self._remind(seconds)
            self._spoke_s = seconds
        if self._running is None and seconds >= self._due_s:
            self._due_s = seconds + EVERY_S
            self._count = len(came)
            self._running = (seconds, self._runner.submit(self._study, list(came)))
        return False

    def _take(self, verdict: Verdict, seconds: float, begun_s: float) -> bool:
        """Say what is new in a study, and return whether nothing more is to be found out."""
        said = so_far(verdict, self._found)
        known = known_names(verdict, self._found)
        lost = [name for name in self._known if name not in known]
        self._known = known
        before = {lasting(line) for line in self._said}
        news = {lasting(line) for line in said} != before
        if news:
            of = f" (by the first {begun_s:.0f} s)" if seconds - begun_s > LATE_S else ""
            click.echo(f"{seconds:4.0f} s  {said[0]}{of}")
            if lost:
                click.echo(f"        no longer known: {', '.join(lost)}; two studies in a row must agree")
            for line in said[1:]:
                if lasting(line) not in before:
                    click.echo(f"        {line}")
        self._said = said
        found = fingerprint(verdict)
        self._agreed = self._agreed + 1 if found == self._found else 1
        self._found = found
        agreed = self._agreed >= AGREEING or bool(verdict.known_as)
        nothing_more = is_all_there(verdict) and self._agreed >= UNCHANGED
        enough = (is_settled(verdict) and agreed) or nothing_more
        if enough:
            self.settled_by = self._count
            click.echo(f"{seconds:4.0f} s  enough: flying on would add nothing")
        elif not news:
            self._remind(seconds)
        return enough

    def _remind(self, seconds: float) -> None:
        """Say in a line that it goes on, for how long, and what is open: the first thing, and the others by name."""
        left_s = max(0.0, self._longest_s - seconds)
        line = f"{seconds:4.0f} s  nothing new, what you flew counts; {left_s:.0f} s left at most"
        if self._said[1:]:
            first, *others = self._said[1:]
            names = [other.removeprefix("open: ").partition(":")[0] for other in others]
            line += f"; still {first}" + (f"; open too: {', '.join(names)}" if names else "")
        click.echo(line)


def lasting(line: str) -> str:
    """Return the line with a mark in place of the numbers that are others at every moment."""
    return MOMENTARY.sub("#", line)


def executor() -> ThreadPoolExecutor:
    """Return what runs the studies."""
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="study")
