"""Wind components and triangles against tables, worked examples and a drifting body in jsbsim."""

import math

import pytest

from otherseat.advisories import rules_of_thumb, wind
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.real import DomainError
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.flight_model.model import FlightModel, Placement, Weather
from tests.standards.topic import Answers, Case, Topic

INVERSE = "asks for a limit; ours answers what a wind is, and a wind in proportion"
TOPIC = Topic(name="wind")


@TOPIC.answer
def on_runway(*, runway_direction_deg: float, wind_from_deg: float, wind_speed_kt: float) -> Answers:
    """Answer head and cross."""
    head_kt, cross_kt = wind.components_kt(
        wind_from_true_deg=wind_from_deg, wind_speed_kt=wind_speed_kt, course_true_deg=runway_direction_deg
    )
    return {"headwind_kt": head_kt, "crosswind_kt": cross_kt}


@TOPIC.answer
def within_limit(
    *, runway_direction_deg: float, wind_from_deg: float, wind_speed_kt: float, crosswind_limit_kt: float
) -> Answers:
    """Answer whether a runway will do."""
    seen = wind.runway_wind(
        wind_from_true_deg=wind_from_deg, wind_speed_kt=wind_speed_kt, course_true_deg=runway_direction_deg
    )
    within, into = seen.worst_crosswind_kt <= crosswind_limit_kt, seen.worst_tailwind_kt == 0.0
    return {"acceptable": within and into, "crosswind_within_limit": within, "headwind_positive": into}


@TOPIC.answer
def limit_by_direction(*, runway_direction_deg: float, wind_from_deg: float, crosswind_limit_kt: float) -> Answers:
    """Answer the strongest wind from a direction, by proportion."""
    _, of_one = wind.components_kt(
        wind_from_true_deg=wind_from_deg, wind_speed_kt=1.0, course_true_deg=runway_direction_deg
    )
    return {"wind_speed_kt": crosswind_limit_kt / of_one}


@TOPIC.answer
def limit_by_angle(*, wind_angle_deg: float, crosswind_limit_kt: float) -> Answers:
    """Answer the strongest wind at an angle, by proportion."""
    return limit_by_direction(
        runway_direction_deg=0.0, wind_from_deg=wind_angle_deg, crosswind_limit_kt=crosswind_limit_kt
    )


@TOPIC.answer
def headwind_by_angle(*, wind_angle_deg: float, headwind_kt: float) -> Answers:
    """Answer the wind at an angle that gives a headwind, by proportion."""
    of_one, _ = wind.components_kt(wind_from_true_deg=wind_angle_deg, wind_speed_kt=1.0, course_true_deg=0.0)
    return {"wind_speed_kt": headwind_kt / of_one}


@TOPIC.answer
def limit_by_speed(*, wind_speed_kt: float, crosswind_limit_kt: float) -> Answers:
    """Answer the angle at which a wind reaches a limit: the heading that would crab against it."""
    heading_deg, _ = wind.heading_and_groundspeed(
        course_deg=0.0, true_airspeed_kt=wind_speed_kt, wind_from_deg=90.0, wind_speed_kt=crosswind_limit_kt
    )
    return {"wind_angle_deg": heading_deg}


def by_angle(*, wind_angle_deg: float, wind_speed_kt: float) -> Answers:
    """Answer head and cross at an angle."""
    return on_runway(runway_direction_deg=0.0, wind_from_deg=wind_angle_deg, wind_speed_kt=wind_speed_kt)


def by_sixths(*, wind_angle_deg: float, wind_speed_kt: float) -> Answers:
    """Answer by the clock code."""
    return {
        "crosswind_kt": rules_of_thumb.crosswind_kt(wind_speed_kt=wind_speed_kt, angle_deg=wind_angle_deg),
    }


TOPIC.answer_by_method(rule_of_sixths=by_sixths)
TOPIC.answer(by_angle)


@TOPIC.answer
def to_course(*, course_deg: float, tas_kt: float, wind_from_deg: float, wind_speed_kt: float) -> Answers:
    """Answer the heading that makes a course."""
    heading_deg, groundspeed_kt = wind.heading_and_groundspeed(
        course_deg=course_deg, true_airspeed_kt=tas_kt, wind_from_deg=wind_from_deg, wind_speed_kt=wind_speed_kt
    )
    return {
        "heading_deg": heading_deg,
        "groundspeed_kt": groundspeed_kt,
        "wind_correction_deg": difference_deg(heading_deg, course_deg),
        "flyable": groundspeed_kt > 0.0,
    }


@TOPIC.answer
def by_triangle(*, course_deg: float, heading_deg: float, tas_kt: float, groundspeed_kt: float) -> Answers:
    """Answer the wind of a triangle."""
    from_deg, speed_kt = wind.wind_from_triangle(
        true_airspeed_kt=tas_kt, heading_true_deg=heading_deg, groundspeed_kt=groundspeed_kt, track_true_deg=course_deg
    )
    return {"wind_from_deg": from_deg, "wind_speed_kt": speed_kt}


@TOPIC.answer
def by_heading(*, heading_deg: float, tas_kt: float, wind_from_deg: float, wind_speed_kt: float) -> Answers:
    """Answer the track that a heading makes."""
    track_deg, groundspeed_kt = wind.track_and_groundspeed(
        heading_deg=heading_deg, true_airspeed_kt=tas_kt, wind_from_deg=wind_from_deg, wind_speed_kt=wind_speed_kt
    )
    return {"track_deg": track_deg, "groundspeed_kt": groundspeed_kt}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Winds are as published."""
    assert [] == TOPIC.misses(case)


def test_a_wind_too_strong_to_hold_a_course_across() -> None:
    """No heading holds a course against a crosswind stronger than the true airspeed (Formulary v1.47, |swc| > 1)."""
    with pytest.raises(DomainError, match="crosswind"):
        wind.heading_and_groundspeed(course_deg=0.0, true_airspeed_kt=50.0, wind_from_deg=90.0, wind_speed_kt=60.0)


@pytest.mark.parametrize("wind_from_deg", [0.0, 75.0, 200.0, 330.0])
@pytest.mark.parametrize("heading_deg", [10.0, 135.0, 260.0])
def test_jsbsim_agrees(heading_deg: float, wind_from_deg: float) -> None:
    """From the flight model's own airspeed, heading, groundspeed and track comes the wind that was set in it."""
    with FlightModel(aircraft="ball", weather=Weather(wind_from_true_deg=wind_from_deg, wind_kt=35.0)) as model:
        model.place(Placement(40.0, 5.0, heading_deg, terrain_ft=0.0, height_agl_ft=5_000.0, airspeed_kt=140.0))
        model.run(2)
        view = model.view()
        north, east = (
            model.get(f"velocities/v-{axis}-fps") - model.get(f"atmosphere/total-wind-{axis}-fps")
            for axis in ("north", "east")
        )

    from_deg, speed_kt = wind.wind_from_triangle(
        true_airspeed_kt=math.hypot(north, east) * 3_600.0 / FT_PER_NM,
        heading_true_deg=math.degrees(math.atan2(east, north)),
        groundspeed_kt=view.groundspeed_kt,
        track_true_deg=view.track_true_deg,
    )

    assert 0.0 == pytest.approx(difference_deg(from_deg, wind_from_deg), abs=0.1)
    assert 35.0 == pytest.approx(speed_kt, abs=0.1)
