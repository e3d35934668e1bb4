"""Approach lights against ICAO Annex 14 and the AIM's figure."""

import pytest

from otherseat.advisories import path
from tests.standards.topic import Answers, Case, Topic

WORDS = "what a picture of lights is called; ours is the number of red ones"
TOPIC = Topic(
    name="papi",
    left_out={
        "Pattern meaning, four units (nearest runway first)": WORDS,
        "Pattern meaning, abbreviated (two-unit) system": WORDS,
        "papi-030": "how far the lights carry, not where they show",
    },
    unjudged={"indication": WORDS},
)


@TOPIC.answer
def settings(*, approach_slope_deg: float, harmonised_with_ils: bool = False) -> Answers:
    """Answer the four settings, the unit nearest the runway first."""
    low, lower, upper, high = path.light_settings_deg(setting_deg=approach_slope_deg, wide=harmonised_with_ils)
    return {
        "unit_angles_deg": [high, upper, lower, low],
        "two_red_two_white_from_deg": lower,
        "two_red_two_white_to_deg": upper,
        "high_above_deg": high,
        "slightly_high_deg": round(upper, 1),
        "on_path_deg": approach_slope_deg,
        "slightly_low_deg": round(lower, 1),
        "low_below_deg": low,
    }


@TOPIC.answer
def seen(*, approach_slope_deg: float, eye_angle_deg: float) -> Answers:
    """Answer how many are red and white."""
    red = path.lights(angle_seen_deg=eye_angle_deg, setting_deg=approach_slope_deg)
    return {"red": red, "white": 4 - red}


@TOPIC.answer
def height(*, distance_from_papi_nm: float, angle_deg: float) -> Answers:
    """Answer the height of an angle."""
    height_ft = path.gradient_ft_per_nm(angle_deg=angle_deg) * distance_from_papi_nm
    return {"height_ft": height_ft}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Lights show as published."""
    assert [] == TOPIC.misses(case)


def test_steep_paths_have_wider_steps() -> None:
    """Above 4 degrees neighbours stand 30 minutes apart (Aerodrome Design Manual part 4, from memory)."""
    assert (4.75, 5.25, 5.75, 6.25) == path.light_settings_deg(setting_deg=5.5)


def test_four_degrees_is_not_yet_steep() -> None:
    """The wider steps begin just above 4 degrees, not at it (Aerodrome Design Manual part 4, from memory)."""
    at_deg, above_deg = (path.light_settings_deg(setting_deg=setting_deg) for setting_deg in (4.0, 4.01))

    assert (0.5, 0.75) == pytest.approx((at_deg[3] - 4.0, above_deg[3] - 4.01))
