"""Angles, gradients and heights on a path against TERPS, PANS-OPS and the AIM."""

import math

import pytest

from otherseat.advisories import path, rules_of_thumb
from otherseat.advisories.units import FT_PER_NM
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(name="vertical_path")


def gradient(*, path_angle_deg: float) -> Answers:
    """Answer the gradient of an angle."""
    per_nm = path.gradient_ft_per_nm(angle_deg=path_angle_deg)
    return {"gradient_ft_per_nm": per_nm, "gradient_percent": per_nm / FT_PER_NM * 100.0}


TOPIC.answer(gradient)


@TOPIC.answer
def of_percent(*, gradient_percent: float) -> Answers:
    """Answer through the angle of a gradient in percent."""
    angle_deg = path.angle_needed_deg(height_to_lose_ft=gradient_percent / 100.0 * FT_PER_NM, distance_nm=1.0)
    return gradient(path_angle_deg=angle_deg)


@TOPIC.answer
def of_slope(*, slope_run_per_rise: float) -> Answers:
    """Answer through the angle of a slope."""
    return of_percent(gradient_percent=100.0 / slope_run_per_rise)


@TOPIC.answer
def angle(*, gradient_ft_per_nm: float) -> Answers:
    """Answer the angle of a gradient."""
    return {"path_angle_deg": path.angle_of_gradient_deg(gradient_ft_per_nm=gradient_ft_per_nm)}


@TOPIC.answer
def distance(*, path_angle_deg: float, height_ft: float) -> Answers:
    """Answer how far a path is at a height above where it starts."""
    distance_nm = path.descent_distance_nm(height_to_lose_ft=height_ft, angle_deg=path_angle_deg)
    return {"distance_nm": distance_nm, "distance_from_glide_path_origin_nm": distance_nm}


@TOPIC.answer
def angle_to_point(*, distance_nm: float, height_ft: float) -> Answers:
    """Answer the angle that loses a height over a distance."""
    return {"path_angle_deg": path.angle_needed_deg(height_to_lose_ft=height_ft, distance_nm=distance_nm)}


@TOPIC.answer
def height(*, distance_to_threshold_nm: float, path_angle_deg: float, threshold_crossing_height_ft: float) -> Answers:
    """Answer the height on a path."""
    height_ft = path.path_height_ft(
        distance_nm=distance_to_threshold_nm,
        angle_deg=path_angle_deg,
        threshold_crossing_height_ft=threshold_crossing_height_ft,
    )
    return {"height_above_threshold_ft": height_ft, "height_ft": height_ft}


@TOPIC.answer
def height_in_feet(
    *, distance_to_threshold_ft: float, path_angle_deg: float, threshold_crossing_height_ft: float
) -> Answers:
    """Answer the height on a path."""
    return height(
        distance_to_threshold_nm=distance_to_threshold_ft / FT_PER_NM,
        path_angle_deg=path_angle_deg,
        threshold_crossing_height_ft=threshold_crossing_height_ft,
    )


@TOPIC.answer
def angle_to_threshold(
    *, height_above_threshold_ft: float, distance_to_threshold_nm: float, threshold_crossing_height_ft: float
) -> Answers:
    """Answer the angle down to the threshold crossing height."""
    lose_ft = height_above_threshold_ft - threshold_crossing_height_ft
    return {"path_angle_deg": path.angle_needed_deg(height_to_lose_ft=lose_ft, distance_nm=distance_to_threshold_nm)}


@TOPIC.answer
def profile(*, faf_distance_nm: float, faf_altitude_ft: float, distance_nm: float, path_angle_deg: float) -> Answers:
    """Answer the altitude after a fix."""
    lost_ft = path.gradient_ft_per_nm(angle_deg=path_angle_deg) * (faf_distance_nm - distance_nm)
    return {"altitude_ft": faf_altitude_ft - lost_ft}


@TOPIC.answer
def visual_descent_point(*, height_above_touchdown_ft: float) -> Answers:
    """Answer by rule where to leave the minimum."""
    return {"distance_nm": rules_of_thumb.path_distance_nm(height_ft=height_above_touchdown_ft)}


@TOPIC.answer
def half_width(*, distance_from_glide_slope_antenna_nm: float, half_width_deg: float) -> Answers:
    """Answer how high a deviation is at a distance."""
    return {"half_width_ft": path.gradient_ft_per_nm(angle_deg=half_width_deg) * distance_from_glide_slope_antenna_nm}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Paths are as published."""
    assert [] == TOPIC.misses(case)


@pytest.mark.parametrize(
    ("distance_nm", "height_ft"),
    [
        pytest.param(1.0, 0.883, id="1-NM"),
        pytest.param(5.0, 22.07, id="5-NM"),
        pytest.param(10.0, 88.29, id="10-NM"),
        pytest.param(20.0, 353.2, id="20-NM"),
    ],
)
def test_earth_falls_away(distance_nm: float, height_ft: float) -> None:
    """The level falls 0.883 ft x (NM)^2 below the plane (the surveyor's 8 inches a statute mile squared; 0.3 %)."""
    assert height_ft == pytest.approx(path.curvature_ft(distance_nm=distance_nm), rel=3e-3)


TERPS_RADIUS_FT = 20_890_537.0


@pytest.mark.parametrize("distance_nm", [1.0, 3.0, 6.0, 10.0])
@pytest.mark.parametrize("angle_deg", [2.5, 3.0, 4.0])
def test_straight_path_over_a_round_earth(distance_nm: float, angle_deg: float) -> None:
    """FAA Order 8260.3 has a beam at (r + TCH) cos(a) / cos(D / r + a) - r (from memory; plain trigonometry)."""
    around, angle = distance_nm * FT_PER_NM / TERPS_RADIUS_FT, math.radians(angle_deg)
    order_ft = (TERPS_RADIUS_FT + 50.0) * math.cos(angle) / math.cos(around + angle) - TERPS_RADIUS_FT

    ours_ft = path.path_height_ft(
        distance_nm=distance_nm, angle_deg=angle_deg, threshold_crossing_height_ft=50.0
    ) + path.curvature_ft(distance_nm=distance_nm)

    assert order_ft == pytest.approx(ours_ft, abs=1.2)


@pytest.mark.parametrize("distance_nm", [1.0, 3.0, 6.0, 10.0])
def test_barometric_path_over_a_round_earth(distance_nm: float) -> None:
    """FAA Order 8260.3 has a barometric path at h where D = r ln((r + h) / (r + TCH)) / tan(a) (from memory)."""
    height_ft = path.path_height_ft(distance_nm=distance_nm, angle_deg=3.0, threshold_crossing_height_ft=50.0)

    order_ft = (
        TERPS_RADIUS_FT
        * math.log((TERPS_RADIUS_FT + height_ft) / (TERPS_RADIUS_FT + 50.0))
        / math.tan(math.radians(3.0))
    )

    assert distance_nm == pytest.approx(order_ft / FT_PER_NM, abs=0.001)
