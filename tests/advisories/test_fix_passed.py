"""Fix passed: what is seen beyond a fix. Common practice, no source."""

import pytest

from otherseat.advisories.fix_passed import FixPassed, FixPassedParams
from otherseat.advisories.picture import Phase


def look(**changes: object) -> list[tuple[str, float]]:
    """Return (level, amount) of what is seen 3 NM beyond, heading east, with the next point in the north."""
    values: dict[str, object] = {
        "phase": Phase.CRUISE,
        "track_true_deg": 90.0,
        "last_fix": "ZZONE",
        "past_fix_nm": 3.0,
        "bearing_to_next_point_deg": 360.0,
    }
    findings = FixPassed(FixPassedParams()).look(**{**values, **changes})  # type: ignore[arg-type]  # a test's table
    return [(finding.level.word, finding.amount) for finding in findings]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        pytest.param({}, [("advice", 1.5)], id="straight-on"),
        pytest.param({"past_fix_nm": 6.0}, [("caution", 3.0)], id="far-beyond"),
        pytest.param({"bank_deg": 0.5}, [("advice", 1.5)], id="wings-level"),
        pytest.param({"bank_deg": 20.0}, [("advice", 1.5)], id="turning-away"),
        pytest.param({"bank_deg": -20.0}, [], id="turning-towards-it"),
        pytest.param({"track_true_deg": 30.0}, [], id="on-the-way-to-it"),
        pytest.param({"phase": Phase.APPROACH}, [], id="on-approach"),
    ],
)
def test_seen(changes: dict[str, object], expected: list[tuple[str, float]]) -> None:
    """Beyond the fix it is seen unless the next point is ahead or being turned to."""
    assert expected == look(**changes)
