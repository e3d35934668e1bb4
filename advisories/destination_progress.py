"""How the distance to the destination has gone: nearest point so far, and how far beyond it.

past_nm  distance now minus the nearest distance so far, once that is at least 0.1 NM: noise in position and a
         turn at the nearest point are not yet "past"
Back     whoever has come BACK_NM nearer again is on the way to it once more: what was nearest before is forgotten
"""

from dataclasses import dataclass

NOTICEABLE_NM = 0.1
BACK_NM = 0.5


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
        self._nearest_nm = float("inf")
        self._farthest_nm = 0.0

    def step(self, *, destination: str, distance_nm: float) -> Progress:
        """Take in the distance now; another destination begins anew."""
        if destination != self._destination:
            self._destination, self._nearest_nm = destination, float("inf")
        if distance_nm <= self._nearest_nm or distance_nm < self._farthest_nm - BACK_NM:
            self._nearest_nm = self._farthest_nm = distance_nm
        self._farthest_nm = max(self._farthest_nm, distance_nm)
        past_nm = distance_nm - self._nearest_nm
        return Progress(
            distance_nm=distance_nm,
            nearest_nm=self._nearest_nm,
            past_nm=past_nm if past_nm >= NOTICEABLE_NM else None,
        )
