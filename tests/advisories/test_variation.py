"""The variation's lattice against the magnetic model itself."""

import random
from dataclasses import replace

import pytest

from otherseat.advisories.magnetic import magnetic_field
from otherseat.advisories.variation import YEAR, model_variation_deg, variation_deg
from tests.scripted import make_table


@pytest.mark.parametrize(("up_to_deg", "within_deg"), [(60.0, 0.2), (70.0, 0.7), (90.0, 0.7)])
def test_lattice(up_to_deg: float, within_deg: float) -> None:
    """Between its points the lattice is as near as designators need, and poleward it is the model itself."""
    chance = random.Random(7)
    for _ in range(150):
        latitude_deg, longitude_deg = chance.uniform(-up_to_deg, up_to_deg), chance.uniform(-180.0, 180.0)
        exact = magnetic_field(latitude_deg=latitude_deg, longitude_deg=longitude_deg, decimal_year=YEAR)
        off_deg = (model_variation_deg(latitude_deg, longitude_deg) - exact.variation_deg + 180.0) % 360.0 - 180.0

        assert abs(off_deg) < within_deg


@pytest.mark.parametrize(("east_deg", "own"), [(2.0, True), (4.0, False)])
def test_near_is_sixty_miles_also_far_north(east_deg: float, own: bool) -> None:  # noqa: FBT001 - a table's column
    """At 69 degrees north two degrees of longitude are 43 NM, and four 86: cos 69 is 0.358."""
    end = replace(make_table().end("ZZAA/09"), latitude_deg=69.0, longitude_deg=20.0, magnetic_variation_deg=-40.0)
    found = variation_deg(latitude_deg=69.0, longitude_deg=20.0 + east_deg, ends=(None, end))

    assert own is (found == -40.0)


def test_without_a_place_the_first_end_tells() -> None:
    """Who sends no position has the variation of the plan's airfield; with none named nobody knows."""
    end = replace(make_table().end("ZZAA/09"), magnetic_variation_deg=-4.0)

    assert -4.0 == variation_deg(latitude_deg=None, longitude_deg=None, ends=(None, end))
    assert variation_deg(latitude_deg=None, longitude_deg=None, ends=(None,)) is None
