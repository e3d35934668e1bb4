"""The mender: opens a listener again after its socket failed or its interface went, with growing pauses.

FIRST_PAUSE_S, then twice as long each time up to LONGEST_PAUSE_S. One line is logged when it breaks and one when it
is mended. Times come in as data.
"""

from collections.abc import Callable

import structlog

from otherseat.adapters.listener import Listener

FIRST_PAUSE_S = 0.5
LONGEST_PAUSE_S = 30.0


class Mender:
    """Keeps one listener open. `listener` is None while it could not be opened."""

    def __init__(self, make: Callable[[], Listener], *, name: str = "source") -> None:
        """Open the first time at once; what is wrong then is raised, because a person can put it right."""
        self._make = make
        self._log = structlog.get_logger().bind(source=name)
        self.listener: Listener | None = make()
        self.mended = 0
        self._pause_s = FIRST_PAUSE_S
        self._next_s = float("-inf")

    def tend(self, now_s: float) -> bool:
        """Look after the listener; return True when there is another one, or none, than before."""
        if self.listener is None:
            return self._try(now_s)
        if self.listener.failing is None:
            return False
        self._log.warning("socket failed", error=str(self.listener.failing))
        self.listener.close()
        self.listener = None
        self._pause_s, self._next_s = FIRST_PAUSE_S, now_s
        self._try(now_s)
        return True

    def _try(self, now_s: float) -> bool:
        """Open again when the pause is over; return whether it worked."""
        if now_s < self._next_s:
            return False
        try:
            self.listener = self._make()
        except OSError:
            self._next_s = now_s + self._pause_s
            self._pause_s = min(2.0 * self._pause_s, LONGEST_PAUSE_S)
            return False
        self.mended += 1
        self._log.warning("socket mended", port=self.listener.port)
        return True

    def close(self) -> None:
        """Close the listener."""
        if self.listener is not None:
            self.listener.close()
