"""The variation's lattice against the magnetic model itself."""

import random

import pytest

from otherseat.advisories.magnetic import magnetic_field
from otherseat.advisories.variation import YEAR, model_variation_deg


@pytest.mark.parametrize(("up_to_deg", "within_deg"), [(60.0, 0.2), (70.0, 0.7), (90.0, 0.7)])
def test_lattice(up_to_deg: float, within_deg: float) -> None:
    """Between its points the lattice is as near as designators need, and poleward it is the model itself."""
    chance = random.Random(7)
    for _ in range(150):
        latitude_deg, longitude_deg = chance.uniform(-up_to_deg, up_to_deg), chance.uniform(-180.0, 180.0)
        exact = magnetic_field(latitude_deg=latitude_deg, longitude_deg=longitude_deg, decimal_year=YEAR)
        off_deg = (model_variation_deg(latitude_deg, longitude_deg) - exact.variation_deg + 180.0) % 360.0 - 180.0

        assert abs(off_deg) < within_deg
