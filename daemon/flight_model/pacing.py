"""Pacing: how fast simulated time may run.

RealTime    as fast as the clock on the wall
Window      as fast as whoever receives takes it: never more than so many datagrams ahead of their own count
"""

import time
from collections.abc import Callable
from typing import Protocol

LONGEST_STALL_S = 2.0


class Pace(Protocol):
    """What the pilot asks after every control step."""

    lost: int
    """Datagrams that left and never arrived."""

    def wait(self, *, time_s: float, sent: int) -> None:
        """Return when simulated time may go on from time_s; sent counts the datagrams that have left so far."""
        ...

    def settle(self, *, sent: int) -> None:
        """Return when everything that was sent has been taken."""
        ...


class RealTime:
    """`rate` simulated seconds a second. After a long stall it does not race to catch up."""

    def __init__(self, *, rate: float = 1.0) -> None:
        self._rate = rate
        self._began_s: float | None = None
        self._from_s = 0.0
        self.lost = 0

    def wait(self, *, time_s: float, sent: int) -> None:  # noqa: ARG002 - one signature for both
        """Sleep until the wall clock has come as far."""
        now_s = time.monotonic()
        if self._began_s is None:
            self._began_s, self._from_s = now_s, time_s
        early_s = (time_s - self._from_s) / self._rate - (now_s - self._began_s)
        if early_s > 0.0:
            time.sleep(early_s)
        elif early_s < -LONGEST_STALL_S:
            self._began_s, self._from_s = now_s, time_s

    def settle(self, *, sent: int) -> None:
        """Nothing: in real time whatever was sent is taken at once."""


class Window:
    """At most `ahead` datagrams on their way. When the count stands still for patience_s, the rest counts as lost.

    96 of 450 bytes fit into the smallest default socket buffer of today's systems, 64 KiB; asking less often is what
    makes it fast where the processor is busy.
    """

    def __init__(
        self, *, count: Callable[[], int], ahead: int = 96, patience_s: float = 1.0, pause_s: float = 0.0005
    ) -> None:
        self._count = count
        self._ahead = ahead
        self._patience_s = patience_s
        self._pause_s = pause_s
        self._before = count()
        self._taken = 0
        self.lost = 0

    def wait(self, *, time_s: float, sent: int) -> None:  # noqa: ARG002 - one signature for both
        """When the window is full, wait until most of it has been taken."""
        if sent - self.lost - self._taken >= self._ahead:
            self._until(sent=sent, at_most=self._ahead // 4)

    def settle(self, *, sent: int) -> None:
        """Wait until nothing is on its way."""
        self._until(sent=sent, at_most=0)

    def _until(self, *, sent: int, at_most: int) -> None:
        since_s = time.monotonic()
        while True:
            taken = self._count() - self._before
            if taken != self._taken:
                self._taken, since_s = taken, time.monotonic()
            if sent - self.lost - taken <= at_most:
                return
            if time.monotonic() - since_s > self._patience_s:
                self.lost = sent - taken
                return
            time.sleep(self._pause_s)
