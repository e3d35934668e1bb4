"""Stopwatch: how long each advisory may think, and what ends one that does not come back.

The engine reads no clock, so time is measured around it: every advisory is wrapped before the engine gets it.
Slow   an advisory whose mean time is over budget_s fails with TooSlowError; the engine counts that like any other fault
       and benches it after some in a row. The mean is over some fifty answers, each counted as COUNTED_S at most, so
       that a busy machine, which may hold up anybody now and then, benches nobody.
Hung   one that is not back after hang_s is interrupted by a signal, whether it computes or waits. A thread looks
       after that; the signal's handler runs on the loop's own thread, between two of the advisory's instructions.
"""

import contextlib
import functools
import signal
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

import structlog

from otherseat.advisories.advisory import Advisory, Looker
from otherseat.advisories.levels import Finding

BUDGET_S = 0.005
"""Some hundred times what a built-in one takes; at 60 states a second a third of the time that there is."""
COUNTED_S = 0.1
SHARE_OF_NEWEST = 0.02
HANG_S = 0.5
LOOK_EVERY_S = 0.25
RING = getattr(signal, "SIGALRM", signal.SIGFPE)
"""Windows has no alarm; there this signal is only ever raised by the thread here."""

log = structlog.get_logger(__name__)


class TooSlowError(Exception):
    """An advisory took longer than it may."""


class _Rung(BaseException):
    """The time is up. No Exception, so that a plug-in that takes every Exception can't swallow it."""


class Stopwatch:
    """Times advisories on the loop's thread."""

    def __init__(
        self,
        *,
        clock: Callable[[], float] = time.monotonic,
        budget_s: float = BUDGET_S,
        hang_s: float = HANG_S,
    ) -> None:
        self._clock = clock
        self._budget_s = budget_s
        self._hang_s = hang_s
        self._running: tuple[str, float] | None = None
        """Who is thinking, and since when."""

    def timed(self, advisory: Advisory) -> Advisory:
        """Return the advisory with a look that is timed."""

        def make(params: Any) -> Looker:
            return _Timed(look=self._around(advisory.name, advisory.make(params).look))

        return replace(advisory, make=make)

    @contextlib.contextmanager
    def watching(self) -> Iterator[None]:
        """Interrupt what hangs, until the block ends. To be entered on the main thread, where the loop then runs."""
        stop = threading.Event()
        before = signal.signal(RING, self._ring)
        thread = threading.Thread(target=self._watch, args=(stop, threading.get_ident()), name="stopwatch", daemon=True)
        thread.start()
        try:
            yield
        finally:
            stop.set()
            thread.join()
            signal.signal(RING, before)

    def _around(self, name: str, look: Callable[..., Iterable[Finding]]) -> Callable[..., Iterable[Finding]]:
        clock, budget_s, mean_s = self._clock, self._budget_s, 0.0

        @functools.wraps(look)
        def timed(**needs: Any) -> Iterable[Finding]:
            nonlocal mean_s
            began_s = clock()
            try:
                self._running = name, began_s
                found = list(look(**needs))
                self._running = None
            except _Rung:
                raise TooSlowError(f"interrupted after {clock() - began_s:.2f} s") from None
            finally:
                self._running = None
            mean_s += SHARE_OF_NEWEST * (min(clock() - began_s, COUNTED_S) - mean_s)
            if mean_s > budget_s:
                raise TooSlowError(f"takes {mean_s:.4f} s on average, of the {budget_s:g} s that it may take")
            return found

        return timed

    def _watch(self, stop: threading.Event, ident: int) -> None:
        while not stop.wait(LOOK_EVERY_S):
            running = self._running
            if running is not None and self._clock() - running[1] > self._hang_s:
                log.error("advisory_hangs", advisory=running[0])
                _send(ident)

    def _ring(self, _number: int, _frame: object) -> None:
        running = self._running
        if running is not None and self._clock() - running[1] > self._hang_s:
            raise _Rung


class _Timed:
    """A looker whose look is timed; its parameters are still the needs."""

    def __init__(self, *, look: Callable[..., Iterable[Finding]]) -> None:
        self.look = look


def _send(ident: int) -> None:
    """Ring on the loop's thread; where the system can, that also ends a wait inside a system call."""
    kill = getattr(signal, "pthread_kill", None)
    if kill is not None:
        kill(ident, RING)
    else:
        import _thread  # noqa: PLC0415 - Windows only

        _thread.interrupt_main(RING)
