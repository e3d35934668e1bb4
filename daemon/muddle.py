"""Muddle: two aircraft under one name. Their states take turns, so that time or place leaps at nearly each one.

Nobody can be advised on that: the engine forgets at each leap, or passes one of them over. So the pilot is told what to
do about it, once. Done for every state, so by plain differences of degrees.

Leap       time goes back by more than BACK_S, or the place moves by more than NEAR_DEG and FASTEST_DEG_PER_S
Return     a leap that leads on from one of the few states before, as if nothing had been in between
Muddle     RETURNS of the latest LOOKED_AT states; who moves the aircraft about by hand makes one leap at a time
           and does not return, nor does a stream that comes backwards
"""

from collections import deque

from otherseat.advisories.state import State

BACK_S = 1.0
NEAR_DEG = 0.02
FASTEST_DEG_PER_S = 0.01
"""2,160 kt along a meridian."""
POLAR_DEG = 80.0
"""Beyond it a degree of longitude is next to nothing."""
LOOKED_AT = 20
RETURNS = 8
FEW = 4
"""States of the one that may come between two of the other."""


class Muddle:
    """Watches the states of one name."""

    def __init__(self) -> None:
        self._returns: deque[bool] = deque(maxlen=LOOKED_AT)
        self._before: State | None = None
        self._earlier: deque[State] = deque(maxlen=FEW)
        """The states before that one."""
        self._told = False

    def noticed(self, state: State) -> bool:
        """Take in a state; say, once, when there have been too many returns for one aircraft."""
        before, self._before = self._before, state
        if self._told or before is None:
            return False
        returns = is_leap(before=before, after=state) and not all(
            is_leap(before=earlier, after=state) for earlier in self._earlier
        )
        self._earlier.append(before)
        self._returns.append(returns)
        self._told = returns and sum(self._returns) >= RETURNS
        return self._told


def is_leap(*, before: State, after: State) -> bool:
    """Say whether these two can't be one aircraft, unless it was moved by hand or begun again."""
    elapsed_s = after.time_s - before.time_s
    if elapsed_s < -BACK_S:
        return True
    if before.latitude_deg is None or before.longitude_deg is None:
        return False
    if after.latitude_deg is None or after.longitude_deg is None:
        return False
    east_deg = abs(after.longitude_deg - before.longitude_deg) % 360.0
    across_deg = 0.0 if abs(after.latitude_deg) > POLAR_DEG else min(east_deg, 360.0 - east_deg)
    moved_deg = max(abs(after.latitude_deg - before.latitude_deg), across_deg)
    return moved_deg > NEAR_DEG + FASTEST_DEG_PER_S * max(elapsed_s, 0.0)
