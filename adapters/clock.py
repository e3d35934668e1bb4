"""Which time a State carries: the simulator's own while it sends one, else the time of receipt.

A simulator's clock may stand still (pause), run at another rate, or start again. A small step back is a late
datagram; a step back by a whole period of a common counter is a wrap, and the turns are added up; any other step
back, and a long step forward, is a jump, after which nothing remembered holds.
"""

from enum import Enum, auto

LATE_S = 1.0
"""A step back of at most this is a datagram that came late."""
JUMP_S = 30.0
"""A step forward of more than this, while much less time passed here, is a jump."""
WRAP_SLACK_S = 5.0
WRAPS_S = (3600.0, 86_400.0, 604_800.0, 2**31 / 1e3, 2**32 / 1e3, 2**31 / 1e6, 2**32 / 1e6)
"""Hour, day, week; milliseconds and microseconds in 31 and 32 bits."""


class Step(Enum):
    """What the newest time is to the one before."""

    ONWARD = auto()
    LATE = auto()
    JUMP = auto()


ONWARD, LATE, JUMP = Step
"""By names of their own, which are found faster: every message asks."""


class SourceClock:
    """The clock of one aircraft in one stream."""

    def __init__(self, *, stale_s: float) -> None:
        self._stale_s = stale_s
        self._turns_s = 0.0
        self._simulator_s: float | None = None
        self._heard_s = 0.0
        self.now_s: float | None = None

    def step(self, *, sent_s: float | None, received_s: float) -> Step:
        """Move to the time of one message; sent_s is the simulator's, when the message has one."""
        if sent_s is not None:
            return self._sent(sent_s, received_s)
        if self._simulator_s is not None and received_s - self._heard_s <= self._stale_s:
            return ONWARD
        fell_back, self._simulator_s = self._simulator_s is not None, None
        return self._to(received_s, jumped=fell_back)

    def _sent(self, sent_s: float, received_s: float) -> Step:
        """Move to a time that the simulator sent."""
        last, self_heard_s = self._simulator_s, self._heard_s
        if last is None:
            self._simulator_s, self._heard_s = sent_s, received_s
            return self._to(sent_s, jumped=self.now_s is not None)
        forward_s = sent_s + self._turns_s - last
        if -LATE_S <= forward_s < 0.0:
            return LATE
        if forward_s < 0.0:
            wrap_s = next((wrap for wrap in WRAPS_S if abs(forward_s + wrap) < WRAP_SLACK_S), 0.0)
            self._turns_s += wrap_s
            forward_s += wrap_s
        jumped = forward_s < 0.0 or (
            forward_s > JUMP_S and forward_s > JUMP_S + 10.0 * max(0.0, received_s - self_heard_s)
        )
        if jumped:
            self._turns_s, forward_s = 0.0, sent_s - last
        self._simulator_s, self._heard_s = last + forward_s, received_s
        return self._to(self._simulator_s, jumped=jumped)

    def _to(self, time_s: float, *, jumped: bool) -> Step:
        """Set the time; a clock that went back without a word jumped, too."""
        went_back = self.now_s is not None and time_s < self.now_s
        self.now_s = time_s
        return JUMP if jumped or went_back else ONWARD
