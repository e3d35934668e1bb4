"""The conversion factors. Published values stand in tests/standards."""

import pytest

from otherseat.advisories import units


@pytest.mark.parametrize(
    ("factor", "expected"),
    [
        pytest.param(units.M_PER_FT * units.FT_PER_M, 1.0, id="foot-and-back"),
        pytest.param(units.MPS_PER_KT * units.KT_PER_MPS, 1.0, id="knot-and-back"),
        pytest.param(units.FPM_PER_KT, 101.26859, id="knot-in-feet-a-minute"),
        pytest.param(units.FT_PER_NM, 6_076.11549, id="mile-in-feet"),
    ],
)
def test_factors(factor: float, expected: float) -> None:
    """A factor and its inverse make one; knots and miles in feet follow from the exact foot and mile (NIST SP 811)."""
    assert expected == pytest.approx(factor, abs=1e-5)
