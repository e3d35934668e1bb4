"""Listening for `otherseat identify`: studies what came, says what is still open, and ends when nothing is.

The study runs beside the listening in a thread of its own, one at a time, so that no datagram waits for it.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Protocol

import click

from otherseat.adapters.identify.settled import fingerprint, is_settled, so_far
from otherseat.adapters.identify.verdict import Verdict

Datagrams = Sequence[tuple[float, bytes]]

FIRST_S = 20.0
EVERY_S = 10.0
"""Of the stream: between two studies."""
AGREEING = 2
"""So many studies in a row must find the same, all of it sure."""


class Runner(Protocol):
    """What runs a study: an executor."""

    def submit(self, fn: Callable[[Datagrams], Verdict], datagrams: Datagrams, /) -> "Future[Verdict]":
        """Begin the study."""
        ...


class Progress:
    """The studies of one listening."""

    def __init__(self, study: Callable[[Datagrams], Verdict], runner: Runner) -> None:
        self._study = study
        self._runner = runner
        self._running: tuple[float, Future[Verdict]] | None = None
        self._due_s = FIRST_S
        self._said: list[str] = []
        self._agreed = 0
        self._found: tuple[str, ...] = ()

    def step(self, came: Datagrams) -> bool:
        """Begin or end a study when it is time, and say what it found; return whether all is settled."""
        seconds = came[-1][0] - came[0][0]
        if self._running is not None and self._running[1].done():
            begun_s, future = self._running
            self._running = None
            if self._take(future.result(), begun_s):
                return True
        if self._running is None and seconds >= self._due_s:
            self._due_s = seconds + EVERY_S
            self._running = (seconds, self._runner.submit(self._study, list(came)))
        return False

    def _take(self, verdict: Verdict, seconds: float) -> bool:
        """Say what is new in a study, and return whether nothing more is to be found out."""
        said = so_far(verdict)
        if said != self._said:
            click.echo(f"{seconds:4.0f} s  {said[0]}")
            for line in said[1:]:
                if line not in self._said:
                    click.echo(f"        {line}")
        self._said = said
        found = fingerprint(verdict)
        self._agreed = self._agreed + 1 if found == self._found else 1
        self._found = found
        enough = is_settled(verdict) and (self._agreed >= AGREEING or bool(verdict.known_as))
        if enough:
            click.echo(f"{seconds:4.0f} s  all is settled; no need to fly on")
        return enough


def executor() -> ThreadPoolExecutor:
    """Return what runs the studies."""
    return ThreadPoolExecutor(max_workers=1, thread_name_prefix="study")
