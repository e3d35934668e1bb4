"""Distances and courses against Karney's test set, NOAA's tools and the formulary; the runway frame beside them."""

from otherseat.advisories import geodesic
from otherseat.advisories.units import M_PER_NM
from tests.standards.topic import Answers, Case, Topic

SPHERE = "on a sphere of 1 NM a minute; ours are on WGS-84, as the other rows"
TOPIC = Topic(
    name="geodesic",
    left_out={f"geo-{number:03d}": SPHERE for number in range(46, 54)},
    unjudged={
        "azimuth2_deg": "the course at the far end, which is the course back turned about",
        "distance_rad": SPHERE,
    },
)


@TOPIC.answer
def inverse(
    *, model: str, latitude1_deg: float, longitude1_deg: float, latitude2_deg: float, longitude2_deg: float
) -> Answers:
    """Answer distance and course."""
    assert model in {"wgs84", "grs80"}  # a tenth of a millimetre apart in the flattening
    distance_nm, course_deg = geodesic.distance_nm_and_course_deg(
        from_latitude_deg=latitude1_deg,
        from_longitude_deg=longitude1_deg,
        to_latitude_deg=latitude2_deg,
        to_longitude_deg=longitude2_deg,
    )
    return {"distance_nm": distance_nm, "distance_m": distance_nm * M_PER_NM, "azimuth1_deg": course_deg}


@TOPIC.answer
def direct(
    *, model: str, latitude1_deg: float, longitude1_deg: float, azimuth1_deg: float, distance_m: float
) -> Answers:
    """Answer where a course leads."""
    assert model == "wgs84"
    latitude_deg, longitude_deg = geodesic.destination_point(
        latitude_deg=latitude1_deg,
        longitude_deg=longitude1_deg,
        course_true_deg=azimuth1_deg,
        distance_nm=distance_m / M_PER_NM,
    )
    return {"latitude2_deg": latitude_deg, "longitude2_deg": longitude_deg}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Geodesics are as published."""
    assert [] == TOPIC.misses(case)
