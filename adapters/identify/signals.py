"""Tools of the study: slopes and means over a moving window, directions without wraps, and fits.

Every array has time along its first axis. Windows are of WINDOW_S seconds, so that a position with steps of a metre
still gives a speed to a tenth of a metre a second.
"""

import copy
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

WINDOW_S = 2.0


class Windows:
    """Moving windows over one set of times."""

    def __init__(self, times_s: Array) -> None:
        self.times_s = times_s - times_s[0]
        half = WINDOW_S / 2.0
        self._first = np.searchsorted(self.times_s, self.times_s - half)
        self._last = np.searchsorted(self.times_s, self.times_s + half, side="right")
        inside = (self.times_s >= half) & (self.times_s <= self.times_s[-1] - half)
        self.inside = np.flatnonzero(inside & (self._last - self._first >= 3))  # noqa: PLR2004 - a slope needs three
        """The samples whose window is whole; every result has these alone."""

    def only(self, wanted: NDArray[np.bool_]) -> "Windows":
        """Return the same windows, with those alone inside that are wanted; wanted: one for each inside."""
        fewer = copy.copy(self)
        fewer.inside = self.inside[wanted]
        return fewer

    def _sum(self, values: Any) -> Any:
        total = np.concatenate([np.zeros((1, *values.shape[1:]), dtype=values.dtype), np.cumsum(values, axis=0)])
        return total[self._last[self.inside]] - total[self._first[self.inside]]

    def mean(self, values: Any) -> Any:
        """Return the mean over each window; real or complex."""
        count = self._last[self.inside] - self._first[self.inside]
        return self._sum(values) / count.reshape((-1, *(1,) * (values.ndim - 1)))

    def slope(self, values: Array) -> Array:
        """Return the slope per second of the line of least squares through each window."""
        shift = (-1, *(1,) * (values.ndim - 1))
        centred = values - values.mean(axis=0)
        times = self.times_s.reshape(shift)
        count = (self._last[self.inside] - self._first[self.inside]).reshape(shift)
        sum_t, sum_tt = self._sum(times), self._sum(times * times)
        sum_x, sum_tx = self._sum(centred), self._sum(times * centred)
        bottom = count * sum_tt - sum_t * sum_t
        result: Array = (count * sum_tx - sum_t * sum_x) / np.maximum(bottom, 1e-12)
        return result


def through_origin(target: Array, given: Array) -> tuple[float, float]:
    """Return (factor, misfit) of target = factor * given; misfit is the rms error over the rms of the target."""
    power = float(given @ given)
    if power <= 0.0 or not np.isfinite(power):
        return 0.0, float("inf")
    factor = float(given @ target) / power
    whole = float(np.sqrt(np.mean(target * target)))
    return factor, float(np.sqrt(np.mean((target - factor * given) ** 2))) / max(whole, 1e-12)


def wrapped(angle_rad: Array) -> Array:
    """Return the angle in [-pi, pi)."""
    result: Array = (angle_rad + np.pi) % (2.0 * np.pi) - np.pi
    return result


def middle_angle(angle_rad: Array) -> float:
    """Return the mean direction."""
    return float(np.angle(np.mean(np.exp(1j * angle_rad))))


def turned(angle_rad: Array) -> float:
    """Return how much of the circle, in radians, a direction covered on its way."""
    return float(np.ptp(np.unwrap(angle_rad)))


def correlation(one: Array, other: Array) -> float:
    """Return the correlation of two signals, 0 when one is constant."""
    if one.std() == 0.0 or other.std() == 0.0:
        return 0.0
    return float(np.corrcoef(one, other)[0, 1])
