"""Magnetic variation anywhere, at a glance: the World Magnetic Model on a lattice, straight lines between its points.

Poleward of 70 degrees, where the lines bend, the model is asked each time. Within 0.7 degrees of the model: good for
designators, which are multiples of ten degrees, and for a heading by compass where nobody tells a variation.
"""

import math
from collections.abc import Iterable
from functools import cache

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.magnetic import magnetic_field
from otherseat.advisories.runway import RunwayEnd

STEP_DEG = 2
EXACT_POLEWARD_DEG = 70.0
YEAR = 2027.5
"""The middle of the newest model's years: variation moves by 0.2 degrees a year where it moves fast, so it is within
half a degree through all of them, and within a designator's tolerance for decades."""
NEAR_DEG = 1.0
"""An airfield's own variation holds so far around it, 60 NM: common practice, no source."""


def model_variation_deg(latitude_deg: float, longitude_deg: float) -> float:
    """Return the model's variation at a place, degrees, east positive; within 0.7 degrees of it."""
    if abs(latitude_deg) >= EXACT_POLEWARD_DEG:
        return _model(latitude_deg, longitude_deg)
    south, west = math.floor(latitude_deg / STEP_DEG), math.floor(longitude_deg / STEP_DEG)
    up, right = latitude_deg / STEP_DEG - south, longitude_deg / STEP_DEG - west
    low = _between(_node(south, west), _node(south, west + 1), right)
    high = _between(_node(south + 1, west), _node(south + 1, west + 1), right)
    return _between(low, high, up)


def variation_deg(
    *, latitude_deg: float | None, longitude_deg: float | None, ends: Iterable[RunwayEnd | None]
) -> float | None:
    """Return the variation at a place: that of the first of these ends near it, or else the model's.

    Without a place it is that of the first end that has one; None when none has.
    """
    told = [end for end in ends if end is not None and end.magnetic_variation_deg is not None]
    if latitude_deg is None or longitude_deg is None:
        return told[0].magnetic_variation_deg if told else None
    for end in told:
        if _is_near(end, latitude_deg=latitude_deg, longitude_deg=longitude_deg):
            return end.magnetic_variation_deg
    return model_variation_deg(latitude_deg, longitude_deg)


def _is_near(end: RunwayEnd, *, latitude_deg: float, longitude_deg: float) -> bool:
    east_deg = difference_deg(longitude_deg, end.longitude_deg) * math.cos(math.radians(latitude_deg))
    return abs(latitude_deg - end.latitude_deg) < NEAR_DEG and abs(east_deg) < NEAR_DEG


def _between(a_deg: float, b_deg: float, share: float) -> float:
    return difference_deg(a_deg + share * difference_deg(b_deg, a_deg), 0.0)


@cache
def _node(row: int, column: int) -> float:
    return _model(float(row * STEP_DEG), float(column * STEP_DEG))


def _model(latitude_deg: float, longitude_deg: float) -> float:
    return magnetic_field(
        latitude_deg=latitude_deg, longitude_deg=difference_deg(longitude_deg, 0.0), decimal_year=YEAR
    ).variation_deg
