"""Wind filter: a wind from many triangles that a turn does not corrupt.

In a turn, airspeed and heading and groundspeed and track rarely belong to the same instant (instruments lag, the
receiver averages, the aircraft slips), and a degree of disagreement at 120 kt is 2 kt of wind that isn't there. So
the filter learns only while the heading is steady, and keeps the wind that it has while the aircraft turns and
for a while after. What it learns is the mean of the wind's east and north parts, over all there was at first, then
over time_constant_s.
Why these defaults: 10 s, so that one gust doesn't swing it; 2 kt/s sideways (airspeed x rate of turn), which is what a
bank of 6 degrees does at any speed, and the error that a second of lag would make; 4 s, by which time such a lag has
died away.
"""

import math

from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.wind import wind_from_triangle

RATE_OVER_S = 2.0
"""The rate of turn is a mean over this time, so that a heading that comes in whole degrees is no turn."""
LONGEST_STEP_S = 5.0
"""After a longer silence the heading before it says nothing about a turn."""


class WindFilter:
    """The memory of one aircraft's wind. Time is data, and the rate of the steps hardly matters."""

    def __init__(
        self, *, time_constant_s: float = 10.0, turn_limit_kt_per_s: float = 2.0, settle_s: float = 4.0
    ) -> None:
        self._time_constant_s = time_constant_s
        self._turn_limit_kt_per_s = turn_limit_kt_per_s
        self._settle_s = settle_s
        self.reset()

    def reset(self) -> None:
        """Forget everything, as after a jump."""
        self._time_s: float | None = None
        self._heading_deg = 0.0
        self._rate_deg_per_s = 0.0
        self._steady_s = 0.0
        self._learnt_s = 0.0
        self._east_kt = 0.0
        self._north_kt = 0.0

    @property
    def wind(self) -> tuple[float, float] | None:
        """Where the wind comes from, in [0, 360), and its speed; None before the first steady moment."""
        if self._learnt_s <= 0.0:
            return None
        from_deg = normal_deg(math.degrees(math.atan2(self._east_kt, self._north_kt)))
        return from_deg, math.hypot(self._east_kt, self._north_kt)

    def step(
        self,
        *,
        time_s: float,
        true_airspeed_kt: float,
        heading_true_deg: float,
        groundspeed_kt: float,
        track_true_deg: float,
    ) -> tuple[float, float] | None:
        """Take in one moment and return the wind; time that runs back starts anew."""
        elapsed_s = self._elapsed_s(time_s)
        if elapsed_s > 0.0 and self._is_steady(elapsed_s, heading_true_deg, true_airspeed_kt):
            from_deg, speed_kt = wind_from_triangle(
                true_airspeed_kt=true_airspeed_kt,
                heading_true_deg=heading_true_deg,
                groundspeed_kt=groundspeed_kt,
                track_true_deg=track_true_deg,
            )
            self._learn(elapsed_s, math.radians(from_deg), speed_kt)
        self._heading_deg = heading_true_deg
        return self.wind

    def _elapsed_s(self, time_s: float) -> float:
        """Return the time since the last step; 0 at the first, after a long silence, and when time ran back."""
        before_s, elapsed_s = self._time_s, 0.0
        if before_s is not None and time_s < before_s:
            self.reset()
        elif before_s is not None and time_s - before_s <= LONGEST_STEP_S:
            elapsed_s = time_s - before_s
        else:
            self._steady_s = 0.0
        self._time_s = time_s
        return elapsed_s

    def _is_steady(self, elapsed_s: float, heading_deg: float, speed_kt: float) -> bool:
        now_deg_per_s = difference_deg(heading_deg, self._heading_deg) / elapsed_s
        self._rate_deg_per_s += (now_deg_per_s - self._rate_deg_per_s) * -math.expm1(-elapsed_s / RATE_OVER_S)
        turning = abs(math.radians(self._rate_deg_per_s)) * speed_kt > self._turn_limit_kt_per_s
        self._steady_s = 0.0 if turning else self._steady_s + elapsed_s
        return self._steady_s >= self._settle_s

    def _learn(self, elapsed_s: float, from_rad: float, speed_kt: float) -> None:
        self._learnt_s += elapsed_s
        gain = min(1.0, elapsed_s / min(self._learnt_s, self._time_constant_s))
        self._east_kt += (speed_kt * math.sin(from_rad) - self._east_kt) * gain
        self._north_kt += (speed_kt * math.cos(from_rad) - self._north_kt) * gain
