"""Sheet: runways and fixes as one runway end sees them, against a geodesic library."""

import math

import pytest

from otherseat.advisories import geodesic
from otherseat.advisories.picture import Phase
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.messages import PlanMessage
from otherseat.daemon.panel.sheet import Anchor, choose_anchor, known_ends, sheet
from otherseat.daemon.panel.trace import Point
from tests.scripted import make_plan, make_table

TABLE = make_table()
PLAN = PlanMessage.of(aircraft="own", resolved=make_plan(TABLE))
ENDS = known_ends(plan=PLAN, near=TABLE.airfield("ZZAA").ends)


@pytest.mark.parametrize("distance_nm", [0.5, 5.0, 20.0])
@pytest.mark.parametrize("bearing_deg", [10.0, 170.0, 275.0])
def test_places_agree_with_the_geodesic(distance_nm: float, bearing_deg: float) -> None:
    """A place drawn on the sheet is where the geodesic says, within 10 ft at 20 NM (geographiclib)."""
    end = TABLE.end("ZZBB/09L")
    latitude_deg, longitude_deg = geodesic.destination_point(
        latitude_deg=end.latitude_deg,
        longitude_deg=end.longitude_deg,
        course_true_deg=bearing_deg,
        distance_nm=distance_nm,
    )
    turn = math.radians(bearing_deg - end.course_true_deg)
    expected = (distance_nm * FT_PER_NM * math.cos(turn), distance_nm * FT_PER_NM * math.sin(turn))

    found = Anchor.at_end(end).place_ft(latitude_deg=latitude_deg, longitude_deg=longitude_deg)

    assert pytest.approx(expected, abs=10.0) == found


def test_a_parallel_lies_beside_and_points_the_same_way() -> None:
    """09R lies 0.12 NM right of 09L and is not turned; 27R, its own other end, is turned by half a circle."""
    drawn = sheet(anchor=Anchor.at_end(ENDS["ZZBB/09L"]), ends=ENDS, plan=PLAN)
    ends = {end["name"]: end for end in drawn["ends"]}

    assert pytest.approx((0.0, 0.12 * FT_PER_NM), abs=1.0) == ends["ZZBB/09R"]["place_ft"]
    assert pytest.approx(0.0, abs=0.01) == ends["ZZBB/09R"]["turned_deg"]
    assert pytest.approx(180.0, abs=0.1) == abs(ends["ZZBB/27R"]["turned_deg"])
    assert ["ZZAA/09", "ZZBB/09L"] == drawn["planned"]
    assert "ZZBB" == drawn["field"]["ident"]


@pytest.mark.parametrize(
    ("phase", "expected"),
    [(Phase.PARKED, "ZZAA/09"), (Phase.TAKE_OFF, "ZZAA/09"), (Phase.CRUISE, "ZZBB/09L"), (Phase.FINAL, "ZZBB/09L")],
)
def test_the_anchor_is_the_runway_that_matters(phase: Phase, expected: str) -> None:
    """Before flight the page is drawn around the departure, afterwards around the arrival."""
    anchor = choose_anchor(phase=phase, runway="ZZBB/09L", surface_runway=None, plan=PLAN, ends=ENDS, here=None)

    assert anchor is not None
    assert expected == anchor.name


def test_without_a_plan_the_runway_beneath_is_the_anchor() -> None:
    """On the ground without a plan, the runway that one stands on is drawn."""
    anchor = choose_anchor(phase=Phase.TAXI, runway=None, surface_runway="ZZAA/18", plan=None, ends=ENDS, here=None)

    assert anchor is not None
    assert "ZZAA/18" == anchor.name


def test_after_landing_elsewhere_the_departure_is_no_anchor() -> None:
    """Parked at the destination, 30 NM from where the plan left, the page is drawn around the runway there."""
    end = TABLE.end("ZZBB/09R")
    here = Point(time_s=0.0, latitude_deg=end.latitude_deg, longitude_deg=end.longitude_deg, altitude_ft=200.0)
    anchor = choose_anchor(
        phase=Phase.PARKED, runway="ZZBB/09L", surface_runway="ZZBB/09R", plan=PLAN, ends=ENDS, here=here
    )

    assert anchor is not None
    assert "ZZBB/09R" == anchor.name


def test_a_place_alone_can_be_drawn_around() -> None:
    """Where no runway is known the sheet has north as its course, and no path."""
    here = Point(time_s=0.0, latitude_deg=10.0, longitude_deg=20.0, altitude_ft=None)

    drawn = sheet(anchor=Anchor.at_point(here), ends={}, plan=None)

    assert (None, 0.0, []) == (drawn["anchor"], drawn["course_deg"], drawn["ends"])
    assert "angle_deg" not in drawn
