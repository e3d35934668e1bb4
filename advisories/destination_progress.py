"""How the distance to the destination has gone: nearest point so far, and how far beyond it.

past_nm  distance now minus the nearest distance so far, once that is at least 0.1 NM: noise in position and a
         turn at the nearest point are not yet "past"
"""

from dataclasses import dataclass

NOTICEABLE_NM = 0.1


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

    def step(self, *, destination: str, distance_nm: float) -> Progress:
        """Take in the distance now; another destination begins anew."""
        if destination != self._destination:
            self._destination, self._nearest_nm = destination, float("inf")
        self._nearest_nm = min(self._nearest_nm, distance_nm)
        past_nm = distance_nm - self._nearest_nm
        return Progress(
            distance_nm=distance_nm,
            nearest_nm=self._nearest_nm,
            past_nm=past_nm if past_nm >= NOTICEABLE_NM else None,
        )
