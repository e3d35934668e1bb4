"""The quick geodesic against geographiclib (C. F. F. Karney), the reference for geodesics on WGS-84."""

import math

from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import geodesic
from otherseat.advisories.angles import difference_deg


@given(
    latitude_deg=st.floats(-85.0, 85.0),
    longitude_deg=st.floats(-180.0, 180.0),
    course_deg=st.floats(0.0, 359.99),
    distance_nm=st.floats(0.05, 299.0),
)
def test_quick_is_as_good_as_exact(
    latitude_deg: float, longitude_deg: float, course_deg: float, distance_nm: float
) -> None:
    """Anywhere short of the poles, up to 300 NM: 1 in 10,000,000 and a thousandth of a degree."""
    to = geodesic.destination_point(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, course_true_deg=course_deg, distance_nm=distance_nm
    )
    quick_nm, quick_deg = geodesic.quick_distance_nm_and_course_deg(
        from_latitude_deg=latitude_deg,
        from_longitude_deg=longitude_deg,
        to_latitude_deg=to[0],
        to_longitude_deg=to[1],
    )

    assert math.isclose(distance_nm, quick_nm, rel_tol=1e-7, abs_tol=1e-6)
    assert abs(difference_deg(quick_deg, course_deg)) < 1e-3


def test_far_away_the_exact_one_is_asked() -> None:
    """Beyond 300 NM both are one."""
    places = {
        "from_latitude_deg": 10.0,
        "from_longitude_deg": 20.0,
        "to_latitude_deg": -40.0,
        "to_longitude_deg": 170.0,
    }

    assert geodesic.distance_nm_and_course_deg(**places) == geodesic.quick_distance_nm_and_course_deg(**places)
