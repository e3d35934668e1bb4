"""Pacing: how fast simulated time may run.

RealTime    as fast as the clock on the wall
Window      as fast as whoever receives takes it: never more than so many datagrams ahead of their own count
"""

import time
from collections.abc import Callable
from typing import Protocol


class Pace(Protocol):
    """Called after every datagram that has left; returns when the next may."""

    def wait(self, *, time_s: float, sent: int) -> None:
        """Wait until simulated time may pass time_s; sent counts the datagrams that have left so far."""
        ...


class RealTime:
    """One simulated second a second. After a stall it does not race to catch up."""

    def __init__(self, *, rate: float = 1.0) -> None:
        self._rate = rate
        self._began: float | None = None
        self._offset_s = 0.0

    def wait(self, *, time_s: float, sent: int) -> None:  # noqa: ARG002 - one signature for both
        """Sleep until the wall clock has come as far."""
        now = time.monotonic()
        if self._began is None:
            self._began, self._offset_s = now, time_s
        behind_s = (time_s - self._offset_s) / self._rate - (now - self._began)
        if behind_s > 0.0:
            time.sleep(behind_s)
        elif behind_s < -LONGEST_STALL_S:
            self._began, self._offset_s = now, time_s


class Window:
    """At most `ahead` datagrams on their way. A count that stands still for patience_s counts the rest as lost."""

    def __init__(
        self, *, count: Callable[[], int], ahead: int = 48, patience_s: float = 1.0, pause_s: float = 0.0005
    ) -> None:
        self._count = count
        self._ahead = ahead
        self._patience_s = patience_s
        self._pause_s = pause_s
        self._taken = 0
        self._base: int | None = None
        self.lost = 0

    def wait(self, *, time_s: float, sent: int) -> None:  # noqa: ARG002 - one signature for both
        """Ask for the receiver's count until few enough are on their way."""
        if self._base is None:
            self._base = self._count() - sent
        if sent - self.lost - self._taken < self._ahead:
            return
        self._catch_up(sent)

    def _catch_up(self, sent: int) -> None:
        seen, since = self._taken, time.monotonic()
        while sent - self.lost - self._taken > self._ahead // 4:
            self._taken = self._count() - (self._base or 0)
            now = time.monotonic()
            if self._taken != seen:
                seen, since = self._taken, now
            elif now - since > self._patience_s:
                self.lost = sent - self._taken
                return
            time.sleep(self._pause_s)


LONGEST_STALL_S = 2.0
