"""Top of descent against handbook examples and the 3-to-1 rule."""

from otherseat.advisories import path, rules_of_thumb
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(
    name="descent_planning",
    left_out={"tod-030": "a rule for tailwind of its own; ours takes the wind in the groundspeed"},
)


def exact(*, altitude_to_lose_ft: float, path_angle_deg: float) -> Answers:
    """Answer the distance of an angle."""
    distance_nm = path.descent_distance_nm(height_to_lose_ft=altitude_to_lose_ft, angle_deg=path_angle_deg)
    assert distance_nm == path.top_of_descent_nm(
        height_to_lose_ft=altitude_to_lose_ft,
        angle_deg=path_angle_deg,
        speed_to_lose_kt=0.0,
        headwind_kt=0.0,
        true_airspeed_kt=200.0,
    )
    return {"distance_nm": distance_nm}


TOPIC.answer(exact)


@TOPIC.answer
def at_rate(*, altitude_to_lose_ft: float, descent_rate_fpm: float, groundspeed_kt: float) -> Answers:
    """Answer time and distance at a rate."""
    distance_nm = path.descent_distance_at_rate_nm(
        height_to_lose_ft=altitude_to_lose_ft, sink_rate_fpm=descent_rate_fpm, groundspeed_kt=groundspeed_kt
    )
    return {"distance_nm": distance_nm, "time_min": distance_nm / groundspeed_kt * 60.0}


@TOPIC.answer
def at_rate_between(
    *, altitude_from_ft: float, altitude_to_ft: float, descent_rate_fpm: float, groundspeed_kt: float
) -> Answers:
    """Answer time and distance at a rate."""
    return at_rate(
        altitude_to_lose_ft=altitude_from_ft - altitude_to_ft,
        descent_rate_fpm=descent_rate_fpm,
        groundspeed_kt=groundspeed_kt,
    )


@TOPIC.answer
def by_rule(
    *, altitude_from_ft: float, altitude_to_ft: float, groundspeed_kt: float = 0.0, level_segment_nm: float = 0.0
) -> Answers:
    """Answer by 3 NM for 1,000 ft."""
    descent_nm = rules_of_thumb.descent_distance_nm(height_to_lose_ft=altitude_from_ft - altitude_to_ft)
    return {
        "distance_nm": descent_nm + level_segment_nm,
        "descent_rate_fpm": rules_of_thumb.sink_rate_fpm(groundspeed_kt=groundspeed_kt),
    }


@TOPIC.answer
def crossing(*, altitude_to_lose_ft: float, distance_nm: float, groundspeed_kt: float) -> Answers:
    """Answer the rate and gradient that make a crossing."""
    angle_deg = path.angle_needed_deg(height_to_lose_ft=altitude_to_lose_ft, distance_nm=distance_nm)
    return {
        "descent_rate_fpm": path.sink_rate_needed_fpm(
            height_to_lose_ft=altitude_to_lose_ft, distance_nm=distance_nm, groundspeed_kt=groundspeed_kt
        ),
        "gradient_ft_per_nm": path.gradient_ft_per_nm(angle_deg=angle_deg),
    }


@TOPIC.answer
def angle(*, altitude_to_lose_ft: float, distance_nm: float) -> Answers:
    """Answer the angle now needed."""
    return {"path_angle_deg": path.angle_needed_deg(height_to_lose_ft=altitude_to_lose_ft, distance_nm=distance_nm)}


@TOPIC.answer
def deceleration(*, speed_from_kt: float, speed_to_kt: float) -> Answers:
    """Answer by 1 NM for 10 kt."""
    return {"distance_nm": rules_of_thumb.deceleration_distance_nm(speed_to_lose_kt=speed_from_kt - speed_to_kt)}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Descents are as published."""
    assert [] == TOPIC.misses(case)
