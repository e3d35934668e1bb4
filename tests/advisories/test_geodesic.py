"""Distances and courses. Published values stand in tests/standards."""

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import geodesic
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.units import FT_PER_NM, M_PER_NM

LATITUDE = st.floats(-89.0, 89.0)
LONGITUDE = st.floats(-180.0, 180.0)
COURSE = st.floats(0.0, 360.0)


@given(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, course_deg=COURSE, nm=st.floats(0.01, 5_000.0))
def test_there_and_back(latitude_deg: float, longitude_deg: float, course_deg: float, nm: float) -> None:
    """The distance and course to where a course leads are that distance and course."""
    to_latitude_deg, to_longitude_deg = geodesic.destination_point(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, course_true_deg=course_deg, distance_nm=nm
    )
    distance_nm, found_deg = geodesic.distance_nm_and_course_deg(
        from_latitude_deg=latitude_deg,
        from_longitude_deg=longitude_deg,
        to_latitude_deg=to_latitude_deg,
        to_longitude_deg=to_longitude_deg,
    )

    assert nm == pytest.approx(distance_nm, abs=1e-9)
    assert 0.0 <= found_deg < 360.0
    assert 0.0 == pytest.approx(difference_deg(found_deg, course_deg), abs=1e-6)
    assert -180.0 <= to_longitude_deg <= 180.0


@pytest.mark.parametrize(
    ("up_to_nm", "metres", "degrees"),
    [pytest.param(100.0, 0.1, 1e-4, id="100-NM"), pytest.param(299.9, 2.0, 3e-4, id="300-NM")],
)
def test_quick_is_near_enough(up_to_nm: float, metres: float, degrees: float) -> None:
    """The quick answer is off geographiclib's by no more than its data sheet says, in every direction everywhere."""
    worst_m = worst_deg = 0.0
    for latitude_deg in (-85.0, -52.0, -1.0, 0.0, 23.0, 45.0, 67.0, 88.0):
        for longitude_deg in (-179.9, -20.0, 130.0):
            for course_deg in range(0, 360, 15):
                for share in (0.001, 0.3, 1.0):
                    line = Geodesic.WGS84.Direct(latitude_deg, longitude_deg, course_deg, share * up_to_nm * M_PER_NM)
                    distance_nm, found_deg = geodesic.quick_distance_nm_and_course_deg(
                        from_latitude_deg=latitude_deg,
                        from_longitude_deg=longitude_deg,
                        to_latitude_deg=line["lat2"],
                        to_longitude_deg=line["lon2"],
                    )
                    worst_m = max(worst_m, abs(distance_nm - share * up_to_nm) * M_PER_NM)
                    worst_deg = max(worst_deg, abs(difference_deg(found_deg, course_deg)))

    assert worst_m <= metres
    assert worst_deg <= degrees


def test_quick_to_itself() -> None:
    """From a place to itself it is no way at all."""
    distance_nm, course_deg = geodesic.quick_distance_nm_and_course_deg(
        from_latitude_deg=47.0, from_longitude_deg=8.0, to_latitude_deg=47.0, to_longitude_deg=8.0
    )

    assert distance_nm == 0.0
    assert 0.0 <= course_deg < 360.0


def test_far_away_the_exact_one_is_asked() -> None:
    """Beyond 300 NM both are one."""
    places = {
        "from_latitude_deg": 10.0,
        "from_longitude_deg": 20.0,
        "to_latitude_deg": -40.0,
        "to_longitude_deg": 170.0,
    }

    assert geodesic.distance_nm_and_course_deg(**places) == geodesic.quick_distance_nm_and_course_deg(**places)


@given(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, course_deg=COURSE, displaced_ft=st.floats(0.0, 3_000.0))
def test_a_displaced_threshold(
    latitude_deg: float, longitude_deg: float, course_deg: float, displaced_ft: float
) -> None:
    """The landing threshold lies down the runway from the end of the surface."""
    to_latitude_deg, to_longitude_deg = geodesic.landing_threshold(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, course_true_deg=course_deg, displaced_ft=displaced_ft
    )
    line = Geodesic.WGS84.Inverse(latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg)

    assert displaced_ft == pytest.approx(line["s12"] / M_PER_NM * FT_PER_NM, abs=1e-4)
