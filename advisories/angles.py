"""Directions: kept in 0 to 360, compared the short way round. Clockwise is positive. Floats or arrays.

The second % is for what lies a hair below a full turn: -1e-15 % 360.0 is 360.0.
"""

from otherseat.advisories.real import Real


def normal_deg(direction_deg: Real) -> Real:
    """Return the direction in [0, 360)."""
    return direction_deg % 360.0 % 360.0


def difference_deg(to_deg: Real, from_deg: Real) -> Real:
    """Return how far to turn from one direction to another, in [-180, 180): right is positive."""
    return (to_deg - from_deg + 180.0) % 360.0 % 360.0 - 180.0


def to_magnetic_deg(true_deg: float, variation_deg: float | None) -> float:
    """Return the magnetic direction, or the true one when the variation (east positive) is not known."""
    return normal_deg(true_deg - (variation_deg or 0.0))
