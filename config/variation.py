"""Magnetic variation at thousands of places: the World Magnetic Model on a lattice, straight lines between its points.

Poleward of 70 degrees, where the lines bend, the model is asked each time. Good for designators, which are multiples of
ten degrees.
"""

import math
from functools import cache

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.magnetic import magnetic_field

STEP_DEG = 2
EXACT_POLEWARD_DEG = 70.0
YEAR = 2025.0
"""The model's own epoch: variation moves by less than a designator's tolerance in decades."""


class VariationLattice:
    """Degrees of variation, east positive, at a latitude and longitude."""

    def __call__(self, latitude_deg: float, longitude_deg: float) -> float:
        """Return the variation."""
        if abs(latitude_deg) >= EXACT_POLEWARD_DEG:
            return _model(latitude_deg, longitude_deg)
        south, west = math.floor(latitude_deg / STEP_DEG), math.floor(longitude_deg / STEP_DEG)
        up, right = latitude_deg / STEP_DEG - south, longitude_deg / STEP_DEG - west
        low = _between(_node(south, west), _node(south, west + 1), right)
        high = _between(_node(south + 1, west), _node(south + 1, west + 1), right)
        return _between(low, high, up)


def _between(a_deg: float, b_deg: float, share: float) -> float:
    return difference_deg(a_deg + share * difference_deg(b_deg, a_deg), 0.0)


@cache
def _node(row: int, column: int) -> float:
    return _model(float(row * STEP_DEG), float(column * STEP_DEG))


def _model(latitude_deg: float, longitude_deg: float) -> float:
    return magnetic_field(
        latitude_deg=latitude_deg, longitude_deg=difference_deg(longitude_deg, 0.0), decimal_year=YEAR
    ).variation_deg
