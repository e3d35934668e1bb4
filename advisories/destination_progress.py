"""How the distance to the destination has gone: nearest point of the latest approach to it, and how far beyond it.

Approach  the distance has shrunk by APPROACHED_NM from the farthest point: only what was flown towards can be passed,
          so a flight that begins at its destination, or is led around it, has not passed it. Turning back begins anew
past_nm   distance now minus the nearest of that approach, once that is at least NOTICEABLE_NM: noise in position and a
          turn at the nearest point are not yet "past"
"""

from dataclasses import dataclass

NOTICEABLE_NM = 0.1
APPROACHED_NM = 2.0


@dataclass(frozen=True, slots=True)
class Progress:
    """Towards or away."""

    distance_nm: float
    nearest_nm: float
    past_nm: float | None
    """None until the nearest point is behind."""


class DestinationProgress:
    """One destination's distances over time."""

    def __init__(self) -> None:
        self._destination: str | None = None
        self._begin()

    def _begin(self) -> None:
        self._farthest_nm = 0.0
        self._nearest_nm = float("inf")
        self._approached = False

    def step(self, *, destination: str, distance_nm: float) -> Progress:
        """Take in the distance now; another destination begins anew."""
        if destination != self._destination:
            self._destination = destination
            self._begin()
        self._farthest_nm = max(self._farthest_nm, distance_nm)
        if distance_nm <= self._farthest_nm - APPROACHED_NM:
            self._approached = True
            self._farthest_nm, self._nearest_nm = distance_nm, distance_nm
        elif distance_nm < self._nearest_nm:
            self._farthest_nm, self._nearest_nm = (
                distance_nm if self._approached else self._farthest_nm,
                distance_nm,
            )
        past_nm = distance_nm - self._nearest_nm
        return Progress(
            distance_nm=distance_nm,
            nearest_nm=self._nearest_nm,
            past_nm=past_nm if self._approached and past_nm >= NOTICEABLE_NM else None,
        )
