"""Legs and lines: geometry against a geodesic library, and when a leg is done."""

from dataclasses import replace

import pytest
from geographiclib.geodesic import Geodesic

from otherseat.daemon.flight_model.legs import Base, Final, Line, Stand, Turn, geodetic
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE
from otherseat.daemon.flight_model.model import View
from otherseat.daemon.flight_model.world import World, line_of

VIEW = View(
    time_s=0.0, latitude_deg=-6.2, longitude_deg=-9.2, altitude_ft=2_500.0, height_agl_ft=2_336.0, airspeed_kt=90.0,
    true_airspeed_kt=94.0, groundspeed_kt=90.0, track_true_deg=75.0, heading_true_deg=75.0, pitch_deg=2.0,
    bank_deg=0.0, vertical_speed_fpm=0.0, roll_rate_deg_s=0.0, pitch_rate_deg_s=0.0, yaw_rate_deg_s=0.0,
    sideslip_deg=0.0, on_ground=False,
)  # fmt: skip


@pytest.mark.parametrize(("course_deg", "along_ft"), [(259.0, -120_000.0), (79.0, 30_000.0), (0.0, 1_000.0)])
def test_position_on_a_line(course_deg: float, along_ft: float) -> None:
    """A place on a line is where the geodesic (GeographicLib) ends, within 0.5 m out to 20 NM."""
    line = Line.through(latitude_deg=-6.2, longitude_deg=-9.2, course_true_deg=course_deg)
    latitude_deg, longitude_deg = line.position(along_ft=along_ft)
    expected = Geodesic.WGS84.Direct(-6.2, -9.2, course_deg, along_ft * 0.3048)
    apart = Geodesic.WGS84.Inverse(latitude_deg, longitude_deg, expected["lat2"], expected["lon2"])

    assert 0.0 == pytest.approx(apart["s12"], abs=0.5)


def test_locate_undoes_position() -> None:
    """A position made from a line is found at the same place of it."""
    line = Line.through(latitude_deg=52.0, longitude_deg=170.0, course_true_deg=33.0)
    latitude_deg, longitude_deg = line.position(along_ft=20_000.0, across_ft=-700.0)
    along_nm, across_ft = line.locate_position(latitude_deg=latitude_deg, longitude_deg=longitude_deg)

    assert (20_000.0, -700.0) == pytest.approx((along_nm * 6_076.1155, across_ft), abs=0.05)


def test_geodetic() -> None:
    """Earth-centred to geodetic: the pole's neighbour and the equator (WGS-84 axes, NIMA TR8350.2)."""
    assert (0.0, 0.0, 100.0) == pytest.approx(geodetic(x_m=6_378_237.0, y_m=0.0, z_m=0.0), abs=1e-6)


def test_stand_lasts_as_long_as_asked() -> None:
    """Standing counts from its first moment, whenever that is."""
    leg = Stand(seconds=10.0, heading_true_deg=59.0)
    leg.demand(view=replace(VIEW, time_s=100.0), handling=LIGHT_SINGLE)

    assert [False, True] == [leg.done(view=replace(VIEW, time_s=time_s)) for time_s in (109.9, 110.0)]


@pytest.mark.parametrize(("right", "expected"), [(True, 22.0), (False, -22.0)], ids=["right", "left"])
def test_turn_goes_the_way_that_is_asked_for(right: bool, expected: float) -> None:  # noqa: FBT001 - a parameter
    """A half turn banks the way asked, also where the other way would be shorter."""
    leg = Turn(course_true_deg=259.0, right=right, altitude_ft=2_500.0, airspeed_kt=90.0)

    assert expected == leg.demand(view=VIEW, handling=LIGHT_SINGLE).bank_deg


def test_final_is_done_near_enough_or_lined_up() -> None:
    """A final ends at its distance, or at once when near enough to the centreline if that was asked for."""
    end = World.make().landing
    latitude_deg, longitude_deg = line_of(end).position(along_ft=-3.0 * 6_076.1155, across_ft=200.0)
    here = replace(VIEW, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    far = Final(end=end, airspeed_kt=70.0, flaps=0.0, until_to_go_nm=2.9)

    assert not far.done(view=here)
    assert replace(far, until_to_go_nm=3.1).done(view=here)
    assert replace(far, until_within_ft=250.0).done(view=here)


def based(*, right_nm: float, turned_deg: float, altitude_ft: float) -> tuple[Base, View]:
    """Return a base leg from the right of the runway, two miles out, and the view from it."""
    end = World.make().landing
    course_deg = (end.course_true_deg - 90.0) % 360.0
    latitude_deg, longitude_deg = line_of(end).position(along_ft=-2.0 * 6_076.1, across_ft=right_nm * 6_076.1)
    view = replace(
        VIEW,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_ft=altitude_ft,
        track_true_deg=(course_deg + turned_deg) % 360.0,
        groundspeed_kt=75.0,
    )
    base = Base(end=end, course_true_deg=course_deg, altitude_ft=1_164.0, airspeed_kt=75.0, flaps=0.33)
    return base, view


@pytest.mark.parametrize(("right_nm", "expected_deg"), [(1.0, 0.0), (0.2, LIGHT_SINGLE.most_bank_deg)])
def test_base_turns_when_the_radius_is_left(right_nm: float, expected_deg: float) -> None:
    """At 75 kt and 19 degrees a turn takes 0.24 NM and rolling into it 0.05: at 1 NM it flies on, at 0.2 it turns."""
    base, view = based(right_nm=right_nm, turned_deg=0.0, altitude_ft=1_164.0)

    assert expected_deg == pytest.approx(base.demand(view=view, handling=LIGHT_SINGLE).bank_deg, abs=0.01)


def test_base_comes_down_the_path_as_measured_along_the_way() -> None:
    """2 NM out and 1 NM beside, the way is 2.9 NM long: 972 ft of path above the runway; 200 ft lower it is level."""
    base, high = based(right_nm=1.0, turned_deg=0.0, altitude_ft=164.0 + 972.0 + 100.0)
    _, low = based(right_nm=1.0, turned_deg=0.0, altitude_ft=164.0 + 972.0 - 200.0)

    assert base.demand(view=high, handling=LIGHT_SINGLE).vertical_speed_fpm < -600.0
    assert 0.0 == base.demand(view=low, handling=LIGHT_SINGLE).vertical_speed_fpm
