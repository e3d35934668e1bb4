"""Rates on a path and rates of a gradient against the FAA's printed tables."""

import math

from otherseat.advisories import path, rules_of_thumb
from otherseat.advisories.units import FT_PER_NM
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(name="descent_rates")


def by_angle(*, path_angle_deg: float, groundspeed_kt: float) -> Answers:
    """Answer the sink rate on a path."""
    return {"descent_rate_fpm": path.sink_rate_to_hold_fpm(groundspeed_kt=groundspeed_kt, angle_deg=path_angle_deg)}


def by_angle_rule(*, path_angle_deg: float, groundspeed_kt: float) -> Answers:
    """Answer the sink rate by 60-to-1: nautical miles a minute, 100 ft a degree."""
    return {"descent_rate_fpm": rules_of_thumb.offset_ft(distance_nm=groundspeed_kt / 60.0, angle_deg=path_angle_deg)}


TOPIC.answer_by_method(rule_60_to_1=by_angle_rule)
TOPIC.answer(by_angle)


@TOPIC.answer
def by_pitch_change(*, groundspeed_kt: float, pitch_change_deg: float) -> Answers:
    """Answer the sink rate of a change of pitch by the same rule."""
    return by_angle_rule(path_angle_deg=pitch_change_deg, groundspeed_kt=groundspeed_kt)


@TOPIC.answer
def along_path(*, path_angle_deg: float, speed_along_path_kt: float) -> Answers:
    """Answer with the groundspeed of a speed along the path."""
    groundspeed_kt = speed_along_path_kt * math.cos(math.radians(path_angle_deg))
    return by_angle(path_angle_deg=path_angle_deg, groundspeed_kt=groundspeed_kt)


@TOPIC.answer
def row(*, path_angle_deg: float, groundspeed_columns_kt: list[float]) -> Answers:
    """Answer a row of the table."""
    per_nm = path.gradient_ft_per_nm(angle_deg=path_angle_deg)
    return {
        "gradient_ft_per_nm": per_nm,
        "gradient_percent": per_nm / FT_PER_NM * 100.0,
        "rates_fpm": [
            path.sink_rate_to_hold_fpm(groundspeed_kt=speed_kt, angle_deg=path_angle_deg)
            for speed_kt in groundspeed_columns_kt
        ],
    }


@TOPIC.answer
def height_by_rule(*, path_angle_deg: float, distance_nm: float) -> Answers:
    """Answer the height by 60-to-1."""
    return {"height_ft": rules_of_thumb.offset_ft(distance_nm=distance_nm, angle_deg=path_angle_deg)}


@TOPIC.answer
def by_speed_rule(*, groundspeed_kt: float) -> Answers:
    """Answer by half the groundspeed and a nought, which is five times it."""
    return {"descent_rate_fpm": rules_of_thumb.sink_rate_fpm(groundspeed_kt=groundspeed_kt)}


@TOPIC.answer
def by_gradient(*, groundspeed_kt: float, gradient_ft_per_nm: float) -> Answers:
    """Answer the rate that a gradient takes."""
    angle_deg = path.angle_of_gradient_deg(gradient_ft_per_nm=gradient_ft_per_nm)
    return {"climb_rate_fpm": path.sink_rate_to_hold_fpm(groundspeed_kt=groundspeed_kt, angle_deg=angle_deg)}


@TOPIC.answer
def flown(*, descent_rate_fpm: float, groundspeed_kt: float) -> Answers:
    """Answer the angle of a rate."""
    return {"path_angle_deg": path.angle_flown_deg(sink_rate_fpm=descent_rate_fpm, groundspeed_kt=groundspeed_kt)}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Rates are as published."""
    assert [] == TOPIC.misses(case)
