"""Approach speed: when fast is meant. Limits and levels stand in the timelines' rows."""

import pytest

from otherseat.advisories.approach_speed import ApproachSpeed, ApproachSpeedParams
from tests.advisories.rows import FINAL


@pytest.mark.parametrize(
    ("speed_kt", "rate_fpm", "expected"),
    [
        pytest.param(80.0, -400.0, ["too-fast"], id="fast-on-the-way-down"),
        pytest.param(80.0, 500.0, [], id="fast-in-a-go-around"),
        pytest.param(59.0, 500.0, ["too-slow"], id="slow-in-a-go-around"),
    ],
)
def test_a_go_around_is_flown_faster(speed_kt: float, rate_fpm: float, expected: list[str]) -> None:
    """Who climbs is not too fast for an approach, but may well be too slow. Common practice, no source."""
    needs = ("phase", "height_above_threshold_ft", "plan", "profile")
    given = {name: FINAL[name] for name in needs} | {"indicated_airspeed_kt": speed_kt, "vertical_speed_fpm": rate_fpm}
    found = ApproachSpeed(ApproachSpeedParams()).look(**given)  # type: ignore[arg-type]  # a test's table

    assert expected == [finding.alert for finding in found if finding.amount >= 1.0]
