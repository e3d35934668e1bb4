"""The runway frame against geographiclib, all over the earth."""

import math

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.earth import RunwayFrame, earth_centred_m
from otherseat.advisories.path import curvature_ft
from otherseat.advisories.units import FT_PER_M, M_PER_NM

LATITUDE = st.floats(-90.0, 90.0)
LONGITUDE = st.floats(-180.0, 180.0)
COURSE = st.floats(0.0, 360.0)


@given(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, course_deg=COURSE, off_deg=COURSE, nm=st.floats(0.01, 20.0))
def test_the_frame_agrees_with_the_geodesic(
    latitude_deg: float, longitude_deg: float, course_deg: float, off_deg: float, nm: float
) -> None:
    """The end of a geodesic is along and across by its length and angle, to a foot and 0.001 deg within 20 NM."""
    point = Geodesic.WGS84.Direct(latitude_deg, longitude_deg, course_deg + off_deg, nm * M_PER_NM)
    frame = RunwayFrame.at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=0.0, course_true_deg=course_deg
    )
    along_m, across_m, up_m = frame.locate(latitude_deg=point["lat2"], longitude_deg=point["lon2"], height_m=0.0)

    assert nm * M_PER_NM == pytest.approx(math.hypot(along_m, across_m), abs=0.3)
    assert 0.0 == pytest.approx(
        difference_deg(math.degrees(math.atan2(across_m, along_m)), off_deg), abs=0.001 + 0.001 / nm
    )
    assert -curvature_ft(distance_nm=nm) == pytest.approx(up_m * FT_PER_M, rel=0.01, abs=0.01)


@given(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, course_deg=COURSE, height_m=st.floats(-100.0, 15_000.0))
def test_straight_up(latitude_deg: float, longitude_deg: float, course_deg: float, height_m: float) -> None:
    """Above the threshold there is only up."""
    frame = RunwayFrame.at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=0.0, course_true_deg=course_deg
    )

    assert (0.0, 0.0, height_m) == pytest.approx(
        frame.locate(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=height_m), abs=1e-6
    )


@given(latitude_deg=LATITUDE, longitude_deg=LONGITUDE, course_deg=COURSE)
def test_the_axes_are_square(latitude_deg: float, longitude_deg: float, course_deg: float) -> None:
    """Along, right and up are of length 1, square to each other, and right-handed the way a pilot counts."""
    frame = RunwayFrame.at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=0.0, course_true_deg=course_deg
    )

    def dot(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
        return sum(one * other for one, other in zip(a, b, strict=True))

    assert (1.0, 1.0, 1.0) == pytest.approx([dot(axis, axis) for axis in (frame.along, frame.across, frame.up)])
    assert (0.0, 0.0, 0.0) == pytest.approx(
        [dot(frame.along, frame.across), dot(frame.across, frame.up), dot(frame.up, frame.along)], abs=1e-12
    )


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg"),
    [
        pytest.param(-17.75, 179.999, id="antimeridian"),
        pytest.param(89.999, 40.0, id="north-pole"),
        pytest.param(-90.0, 0.0, id="south-pole"),
        pytest.param(-33.9, -70.8, id="south-west"),
    ],
)
def test_places_that_catch_people_out(latitude_deg: float, longitude_deg: float) -> None:
    """Across the date line and at the poles left stays left: 3 NM on final and 1 NM left, from any longitude's turn."""
    course_deg = 250.0
    back = Geodesic.WGS84.Direct(latitude_deg, longitude_deg, course_deg + 180.0, 3.0 * M_PER_NM)
    left = Geodesic.WGS84.Direct(back["lat2"], back["lon2"], back["azi2"] + 90.0, 1.0 * M_PER_NM)
    frame = RunwayFrame.at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=0.0, course_true_deg=course_deg
    )

    for turn_deg in (0.0, 360.0, -360.0):
        along_m, across_m, _ = frame.locate(
            latitude_deg=left["lat2"], longitude_deg=left["lon2"] + turn_deg, height_m=0.0
        )

        assert (-3.0, -1.0) == pytest.approx((along_m / M_PER_NM, across_m / M_PER_NM), abs=1e-4)


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "expected_m"),
    [
        pytest.param(0.0, 0.0, (6_378_137.0, 0.0, 0.0), id="equator"),
        pytest.param(0.0, 90.0, (0.0, 6_378_137.0, 0.0), id="ninety-east"),
        pytest.param(90.0, 0.0, (0.0, 0.0, 6_356_752.3142), id="pole"),
    ],
)
def test_the_ellipsoid(latitude_deg: float, longitude_deg: float, expected_m: tuple[float, float, float]) -> None:
    """The half axes of WGS-84: a = 6378137, b = 6356752.3142 m (NIMA TR8350.2, table 3.3)."""
    assert expected_m == pytest.approx(
        earth_centred_m(latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=0.0), abs=1e-3
    )
