"""The path: order, symmetry, and what can't be saved. Published values stand in tests/standards."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import path

ANGLE = st.floats(2.5, 6.0)
CROSSING = st.floats(0.0, 70.0)
DISTANCE = st.floats(0.05, 20.0)


@given(angle_deg=ANGLE, crossing_ft=CROSSING, near_nm=DISTANCE, further_nm=st.floats(0.01, 5.0))
def test_it_rises_all_the_way(angle_deg: float, crossing_ft: float, near_nm: float, further_nm: float) -> None:
    """Further out is higher."""
    near_ft, far_ft = (
        path.path_height_ft(distance_nm=distance_nm, angle_deg=angle_deg, threshold_crossing_height_ft=crossing_ft)
        for distance_nm in (near_nm, near_nm + further_nm)
    )

    assert crossing_ft < near_ft < far_ft


@given(angle_deg=ANGLE, crossing_ft=st.floats(20.0, 70.0), distance_nm=DISTANCE, slope_percent=st.floats(-2.0, 2.0))
def test_on_the_path_there_is_no_deviation(
    angle_deg: float, crossing_ft: float, distance_nm: float, slope_percent: float
) -> None:
    """Seen from where it meets the runway, sloping or not, the path is at its angle; above is positive."""
    height_ft = path.path_height_ft(
        distance_nm=distance_nm, angle_deg=angle_deg, threshold_crossing_height_ft=crossing_ft
    )
    on, above, below = (
        path.deviation_deg(
            height_ft=height_ft + off_ft,
            distance_nm=distance_nm,
            angle_deg=angle_deg,
            threshold_crossing_height_ft=crossing_ft,
            slope_percent=slope_percent,
        )
        for off_ft in (0.0, 5.0, -5.0)
    )

    assert 0.0 == pytest.approx(on, abs=1e-9)
    assert below < 0.0 < above


def test_the_same_height_is_a_larger_angle_near_the_runway() -> None:
    """100 ft low is a third of a degree at 3 NM and nearly a degree at 1 NM."""
    far_deg, near_deg = (
        path.deviation_deg(
            height_ft=path.path_height_ft(distance_nm=distance_nm, angle_deg=3.0, threshold_crossing_height_ft=50.0)
            - 100.0,
            distance_nm=distance_nm,
            angle_deg=3.0,
            threshold_crossing_height_ft=50.0,
        )
        for distance_nm in (3.0, 1.0)
    )

    # 100 ft / (3 NM + 954 ft) and 100 ft / (1 NM + 954 ft) in radians, times cos(3 deg)^2
    assert (-0.298, -0.816) == pytest.approx((far_deg, near_deg), abs=0.012)


def test_uphill_runways_are_met_sooner() -> None:
    """On a runway that rises by 2 % a 3 degree path from 50 ft meets it after 690 ft, on a level one after 954."""
    assert (690.5, 954.1) == pytest.approx(
        tuple(
            path.aiming_point_ft(angle_deg=3.0, threshold_crossing_height_ft=50.0, slope_percent=slope_percent)
            for slope_percent in (2.0, 0.0)
        ),
        abs=0.2,
    )


@given(angle_deg=ANGLE, crossing_ft=CROSSING, gate_ft=st.floats(200.0, 3_000.0))
def test_a_gate_lies_on_the_path(angle_deg: float, crossing_ft: float, gate_ft: float) -> None:
    """The path has a gate's height at its distance."""
    gate_nm = path.gate_distance_nm(
        gate_height_ft=gate_ft, angle_deg=angle_deg, threshold_crossing_height_ft=crossing_ft
    )

    assert gate_ft == pytest.approx(
        path.path_height_ft(distance_nm=gate_nm, angle_deg=angle_deg, threshold_crossing_height_ft=crossing_ft)
    )


@given(
    angle_deg=ANGLE, groundspeed_kt=st.floats(40.0, 90.0), gate_ft=st.sampled_from([500.0, 1_000.0]), out_nm=DISTANCE
)
def test_on_the_path_regaining_is_holding(
    angle_deg: float, groundspeed_kt: float, gate_ft: float, out_nm: float
) -> None:
    """An aircraft on the path needs the rate that holds it."""
    gate_nm = path.gate_distance_nm(gate_height_ft=gate_ft, angle_deg=angle_deg, threshold_crossing_height_ft=50.0)
    rate_fpm = path.sink_rate_to_regain_fpm(
        height_ft=path.path_height_ft(
            distance_nm=gate_nm + out_nm, angle_deg=angle_deg, threshold_crossing_height_ft=50.0
        ),
        distance_nm=gate_nm + out_nm,
        gate_height_ft=gate_ft,
        groundspeed_kt=groundspeed_kt,
        angle_deg=angle_deg,
        threshold_crossing_height_ft=50.0,
    )

    assert path.sink_rate_to_hold_fpm(groundspeed_kt=groundspeed_kt, angle_deg=angle_deg) == pytest.approx(rate_fpm)


@given(height_ft=st.floats(0.0, 6_000.0), distance_nm=DISTANCE, groundspeed_kt=st.floats(50.0, 180.0))
def test_flying_the_rate_meets_the_gate(height_ft: float, distance_nm: float, groundspeed_kt: float) -> None:
    """Second by second at the rate advised the aircraft comes to the gate's height at the gate, and never too fast."""
    rate_fpm = path.sink_rate_to_regain_fpm(
        height_ft=height_ft,
        distance_nm=distance_nm,
        gate_height_ft=500.0,
        groundspeed_kt=groundspeed_kt,
        angle_deg=3.0,
        threshold_crossing_height_ft=50.0,
    )
    gate_nm = path.gate_distance_nm(gate_height_ft=500.0, angle_deg=3.0, threshold_crossing_height_ft=50.0)
    minutes = (distance_nm - gate_nm) / groundspeed_kt * 60.0

    if rate_fpm is None:
        assert minutes <= 0.0 or (height_ft - 500.0) / minutes > path.SINK_LIMIT_FPM
    else:
        assert rate_fpm <= path.SINK_LIMIT_FPM
        assert 500.0 == pytest.approx(height_ft - rate_fpm * minutes, abs=1e-6)


@pytest.mark.parametrize(
    ("distance_nm", "groundspeed_kt"),
    [pytest.param(1.0, 90.0, id="gate-behind"), pytest.param(5.0, 0.0, id="standing")],
)
def test_what_cannot_be_saved(distance_nm: float, groundspeed_kt: float) -> None:
    """Behind the gate, or without moving, there is no rate."""
    assert None is path.sink_rate_to_regain_fpm(
        height_ft=900.0,
        distance_nm=distance_nm,
        gate_height_ft=500.0,
        groundspeed_kt=groundspeed_kt,
        angle_deg=3.0,
        threshold_crossing_height_ft=50.0,
    )


def test_above_a_thousand_feet_steep_is_allowed() -> None:
    """Down to the 1,000 ft gate more than 1,000 fpm may be needed; the limit is for below."""
    rate_fpm = path.sink_rate_to_regain_fpm(
        height_ft=3_000.0,
        distance_nm=5.0,
        gate_height_ft=1_000.0,
        groundspeed_kt=120.0,
        angle_deg=3.0,
        threshold_crossing_height_ft=50.0,
    )

    assert rate_fpm is not None
    assert rate_fpm > path.SINK_LIMIT_FPM


@pytest.mark.parametrize(
    ("height_ft", "expected"), [(3_000.0, 1_000.0), (1_000.0, 500.0), (600.0, 500.0), (500.0, None), (90.0, None)]
)
def test_the_next_gate(height_ft: float, expected: float | None) -> None:
    """The highest gate that is still below."""
    assert expected == path.next_gate_ft(height_ft=height_ft, gates_ft=(500.0, 1_000.0))


@given(height_ft=st.floats(500.0, 40_000.0), angle_deg=ANGLE)
def test_the_angle_needed_is_the_angle_flown(height_ft: float, angle_deg: float) -> None:
    """The distance of an angle needs that angle; past the place nothing less than straight down does."""
    distance_nm = path.descent_distance_nm(height_to_lose_ft=height_ft, angle_deg=angle_deg)

    assert angle_deg == pytest.approx(path.angle_needed_deg(height_to_lose_ft=height_ft, distance_nm=distance_nm))
    assert path.angle_needed_deg(height_to_lose_ft=height_ft, distance_nm=-1.0) > 90.0


def test_top_of_descent_with_wind_and_speed_to_lose() -> None:
    """30,000 ft at 3 degrees is 94.2 NM (30000 / 318.4); 80 kt off take 8 NM of air, 7 of ground into 50 of 400 kt."""
    still_nm, into_nm, before_nm = (
        path.top_of_descent_nm(
            height_to_lose_ft=30_000.0,
            angle_deg=3.0,
            speed_to_lose_kt=80.0,
            headwind_kt=headwind_kt,
            true_airspeed_kt=400.0,
        )
        for headwind_kt in (0.0, 50.0, -50.0)
    )

    assert (102.2, 101.2, 103.2) == pytest.approx((still_nm, into_nm, before_nm), abs=0.03)


def test_a_steady_deceleration() -> None:
    """From 250 to 180 kt at 1 kt/s takes 70 s at a mean of 215 kt: 4.18 NM, as summing every tenth of a second does."""
    speeds_kt = np.arange(250.0, 180.0, -0.1) - 0.05
    summed_nm = float(np.sum(speeds_kt * 0.1 / 3_600.0))

    assert summed_nm == pytest.approx(
        path.deceleration_distance_nm(from_groundspeed_kt=250.0, to_groundspeed_kt=180.0, deceleration_kt_per_s=1.0),
        rel=1e-6,
    )


@given(setting_deg=ANGLE, seen_deg=st.floats(0.5, 9.0))
def test_lights_turn_one_by_one(setting_deg: float, seen_deg: float) -> None:
    """Higher shows no more red; on the setting two are red; as many are white above as red below."""
    red = path.lights(angle_seen_deg=seen_deg, setting_deg=setting_deg)

    assert path.lights(angle_seen_deg=seen_deg + 0.1, setting_deg=setting_deg) <= red
    assert 2 == path.lights(angle_seen_deg=setting_deg, setting_deg=setting_deg)
    low, lower, upper, high = path.light_settings_deg(setting_deg=setting_deg)
    assert (setting_deg - low, setting_deg - lower) == pytest.approx((high - setting_deg, upper - setting_deg))


def test_level_off() -> None:
    """Without delay, 1/4 g at 2,000 fpm loses v^2 / (g/2) = 69 ft of height."""
    assert 69.0 == pytest.approx(
        path.height_to_level_off_ft(sink_rate_fpm=2_000.0, delay_s=0.0, pull_up_g=0.25), abs=0.1
    )


@pytest.mark.parametrize(
    ("distance_nm", "angle_deg", "beside"),
    [
        (6.0, 0.0, False),
        (6.0, 30.0, False),
        (6.0, -30.0, False),
        (6.0, 33.0, True),
        (6.0, -33.0, True),
        (12.0, 31.0, True),
    ],
)
def test_beside_the_final_approach(distance_nm: float, angle_deg: float, beside: bool) -> None:  # noqa: FBT001 - a table's column
    """Thirty degrees off the centreline, seen from the threshold: common practice, no source."""
    offset_ft = distance_nm * 6_076.115 * math.tan(math.radians(angle_deg))

    assert beside is path.is_beside(offset_ft=offset_ft, distance_nm=distance_nm)


@pytest.mark.parametrize(("offset_ft", "beside"), [(900.0, False), (-1_100.0, True)])
def test_beside_the_threshold(offset_ft: float, beside: bool) -> None:  # noqa: FBT001 - likewise
    """At the threshold and beyond it a thousand feet are allowed, as an angle would allow nothing there."""
    assert beside is path.is_beside(offset_ft=offset_ft, distance_nm=0.0)
    assert beside is path.is_beside(offset_ft=offset_ft, distance_nm=-2.0)
