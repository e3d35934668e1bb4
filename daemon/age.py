"""Age: how old the numbers on a screen are. Messages of one aircraft in, seconds out; no clock in here.

Since the newest picture was heard; or, where that is more, what the newest standing message says of the newest state
and the time since it was heard. The second matters to a screen that came late: its snapshot brings a picture just now
that may be an hour old. A picture that is younger in the simulator's own time than the standing message shows that
the stream goes on; then only the first counts, until the next standing message comes.
"""

from dataclasses import dataclass

from otherseat.daemon.messages import Kind, Message


@dataclass(slots=True)
class Age:
    """When the messages that tell the age were heard, by the screen's own clock, in seconds."""

    _picture: tuple[float, float] | None = None
    """When it was heard, and the simulator's time that it is about."""
    _standing: tuple[float, float] | None = None
    """When the newest state was heard by the daemon, on this clock, and the simulator's time of the message."""

    def take(self, message: Message, *, now_s: float) -> None:
        """Take in a message that was heard now; only pictures and standing messages tell anything."""
        if message.kind is Kind.PICTURE:
            self._picture = now_s, message.time_s
        elif message.kind is Kind.STANDING:
            age_s = message.body.age_s
            self._standing = None if age_s is None else (now_s - age_s, message.time_s)

    def seconds(self, *, now_s: float) -> float | None:
        """Return how old the newest picture is; None before the first."""
        if self._picture is None:
            return None
        heard_s, about_s = self._picture
        if self._standing is not None and self._standing[1] >= about_s:
            heard_s = min(heard_s, self._standing[0])
        return now_s - heard_s
