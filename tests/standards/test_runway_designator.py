"""Runway designators against ICAO Annex 14 and the AIM."""

from otherseat.advisories import magnetic
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(name="runway_designator")


@TOPIC.answer
def of_magnetic(*, magnetic_azimuth_deg: float) -> Answers:
    """Answer the designator of a magnetic course."""
    found = magnetic.designator(course_magnetic_deg=magnetic_azimuth_deg)
    return {
        "designator": found,
        "designator_any_of": found,
        "reciprocal": magnetic.opposite_designator(found),
    }


@TOPIC.answer
def of_true(*, true_azimuth_deg: float, declination_east_deg: float) -> Answers:
    """Answer the designator of a true course."""
    course_deg = magnetic.magnetic_deg(true_deg=true_azimuth_deg, variation_deg=declination_east_deg)
    return {"magnetic_azimuth_deg": course_deg, **of_magnetic(magnetic_azimuth_deg=course_deg)}


@TOPIC.answer
def opposite(*, designator: str) -> Answers:
    """Answer the other end."""
    return {"reciprocal": magnetic.opposite_designator(designator)}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Runways are numbered as published."""
    assert [] == TOPIC.misses(case)
