"""No runway ahead: not said of who still turns onto final. Common practice, no source."""

import pytest

from otherseat.advisories.no_runway import NoRunway, NoRunwayParams
from tests.advisories.rows import ARRIVAL, FINAL, PLAN

LOW = {
    "phase": FINAL["phase"],
    "plan": PLAN,
    "altitude_ft": ARRIVAL.elevation_ft + 350.0,
    "vertical_speed_fpm": -400.0,
    "distance_to_destination_nm": 1.0,
    "distance_to_threshold_nm": 1.0,
    "bank_deg": 0.0,
}


@pytest.mark.parametrize(
    ("offset_ft", "course_difference_deg", "expected"),
    [
        pytest.param(800.0, -15.0, [], id="closing"),
        pytest.param(800.0, 0.0, ["no-runway-ahead"], id="beside"),
        pytest.param(800.0, -5.0, ["no-runway-ahead"], id="too-flat-to-meet-it"),
        pytest.param(None, None, ["no-runway-ahead"], id="nothing-known"),
    ],
)
def test_who_meets_the_centreline(
    offset_ft: float | None, course_difference_deg: float | None, expected: list[str]
) -> None:
    """A mile out and 800 ft beside, 15 degrees meet the centreline half a mile before the threshold."""
    found = NoRunway(NoRunwayParams()).look(
        **LOW,  # type: ignore[arg-type]  # a test's table
        offset_ft=offset_ft,
        course_difference_deg=course_difference_deg,
    )

    assert expected == [finding.alert for finding in found]
