"""Latch: hold before it rises, margin and hold before it falls. The one timer of the house.

Raised   amount >= 1 without a break for hold_s
Cleared  amount < 1 - margin without a break for clear_s
Between  1 - margin and 1: a raised latch stays raised, a lowered one stays lowered and its hold starts again
Time     is data: it comes with the state; a latch never relies on the rate of its steps
"""


class Latch:
    """The memory of one condition over time."""

    __slots__ = ("_clear_s", "_hold_s", "_margin", "_since_s", "standing")

    def __init__(self, *, hold_s: float, clear_s: float, margin: float) -> None:
        self._hold_s = hold_s
        self._clear_s = clear_s
        self._margin = margin
        self._since_s: float | None = None
        self.standing = False

    def step(self, *, time_s: float, amount: float) -> bool:
        """Return whether the condition stands at time_s. Amount: 1.0 is the limit."""
        turning = amount < 1.0 - self._margin if self.standing else amount >= 1.0
        if not turning:
            self._since_s = None
            return self.standing
        if self._since_s is None:
            self._since_s = time_s
        if time_s - self._since_s >= (self._clear_s if self.standing else self._hold_s):
            self.standing = not self.standing
            self._since_s = None
        return self.standing

    def reset(self) -> None:
        """Forget everything: nothing stands."""
        self._since_s = None
        self.standing = False
