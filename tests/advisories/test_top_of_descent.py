"""Top of descent: whose business a late one is. Common practice, no source; distances by plain geometry."""

import math

import pytest

from otherseat.advisories.picture import Phase
from otherseat.advisories.top_of_descent import TopOfDescent, TopOfDescentParams
from otherseat.config.profiles import read_profile
from tests.advisories.rows import PLAN

AIRLINER = read_profile("airliner")


def late(*, before_ft: float = 11_000.0, **changes: object) -> list[tuple[str, float]]:
    """Return (level, NM past) of what is seen level at 11,000 ft, 3 NM past a straight way's point, with changes."""
    values: dict[str, object] = {
        "phase": Phase.CRUISE,
        "plan": PLAN,
        "groundspeed_kt": 300.0,
        "closing_speed_kt": 250.0,
        "altitude_ft": 11_000.0,
        "distance_to_go_nm": 30.0,
        "top_of_descent_nm": -3.0,
        "descent_angle_needed_deg": 3.4,
        "next_point": "ZZBB",
        "profile": AIRLINER,
    }
    check = TopOfDescent(TopOfDescentParams())
    list(check.look(**{**values, "altitude_ft": before_ft}))  # type: ignore[arg-type]  # a test's table
    findings = check.look(**{**values, **changes})  # type: ignore[arg-type]  # likewise
    return [(f.level.word, float(f.values["past_nm"])) for f in findings if f.amount >= 1.0 and "past_nm" in f.values]


def test_straight_in_it_is_late() -> None:
    """Straight before the runway the way to it is the way to the field."""
    assert [("advice", pytest.approx(3.0))] == late(distance_to_threshold_nm=30.0, offset_ft=0.0)


def test_the_way_round_by_a_final_counts() -> None:
    """Towards a runway's far end, 20 NM beyond and 22 NM beside it, the way round is longer: the point is ahead."""
    final_nm = 138.0 * 180.0 / 3_600.0
    longer_nm = math.hypot(final_nm + 20.0, 22.4) + final_nm - 30.0

    assert longer_nm > 3.0
    assert [] == late(distance_to_threshold_nm=-20.0, offset_ft=22.4 * 6_076.1)


def test_a_fix_that_is_left_has_the_way_in_it() -> None:
    """With a fix still ahead the route says how far it is; nothing is added."""
    assert [("advice", pytest.approx(3.0))] == late(
        next_point="ZZONE", distance_to_threshold_nm=-20.0, offset_ft=22.4 * 6_076.1
    )


def test_a_level_stretch_of_a_descent_is_no_late_one() -> None:
    """Who has come down 1,000 ft is at work, and is kept high by a controller; 25 NM of it is too much all the same."""
    straight_in = {"distance_to_threshold_nm": 30.0, "offset_ft": 0.0}

    assert [] == late(before_ft=15_000.0, **straight_in)
    assert [] != late(before_ft=15_000.0, top_of_descent_nm=-25.0, **straight_in)


def test_a_field_alone_is_given_the_way_round() -> None:
    """Where no end is planned nobody knows the way round: a long final there and back is allowed for."""
    allowed_nm = 2.0 * 138.0 * 180.0 / 3_600.0

    assert [] == late(top_of_descent_nm=-allowed_nm)
    assert [] != late(top_of_descent_nm=-allowed_nm - 2.1)
