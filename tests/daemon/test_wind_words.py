"""The parts of a wind, alike from both ends of a runway."""

import math

import pytest

from otherseat.daemon.wind_words import knots, sided


@pytest.mark.parametrize(
    ("speed_kt", "whole_kt"),
    [
        (7.5, 8),
        (-7.5, 8),
        (12.5, 13),
        (15.0 * math.sin(math.radians(30.0)), 8),
        (15.0 * math.sin(math.radians(210.0)), 8),
        (7.4972, 8),
        (7.49, 7),
        (0.49, 0),
        (-0.5, 1),
    ],
)
def test_half_up_from_both_sides(speed_kt: float, whole_kt: int) -> None:
    """A half goes up, with whatever sign it comes, and also if the sine made a shade less of it."""
    assert whole_kt == knots(speed_kt)


@pytest.mark.parametrize(("speed_kt", "words"), [(7.5, "head 8"), (-7.5, "tail 8"), (0.2, "0"), (-1e-15, "0")])
def test_nothing_has_no_side(speed_kt: float, words: str) -> None:
    """What rounds to nothing blows from nowhere."""
    assert words == sided(speed_kt, positive="head {}", negative="tail {}")
