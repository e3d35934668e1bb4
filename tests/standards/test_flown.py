"""Airspeed, wind, turns and joins against an aircraft that the flight model flies in a steady wind.

Control loops fly a light single straight for a while and then round and round to the left. What it exports is all that
our formulas see; the model's own airspeed, wind and path, of six degrees of freedom, are what they are held against.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import pytest

from otherseat.advisories import air, joins, turns
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.earth import RunwayFrame
from otherseat.advisories.units import FT_PER_NM, KELVIN_AT_0_C, M_PER_NM
from otherseat.advisories.wind import heading_and_groundspeed, wind_from_triangle
from otherseat.advisories.wind_filter import WindFilter
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE, Demand, Loops
from otherseat.daemon.flight_model.model import FlightModel, Placement, View, Weather

FROM_DEG, WIND_KT = 300.0, 22.0
SETTLE_S, STRAIGHT_S, TURN_S = 40.0, 40.0, 240.0
STEP_S = 1.0 / 30.0
BANK_DEG = -20.0
PLACE = {"latitude_deg": 12.0, "longitude_deg": -40.0}


@dataclass(frozen=True)
class Moment:
    """One thirtieth of a second."""

    view: View
    pressure_altitude_ft: float
    temperature_c: float


@pytest.fixture(scope="module")
def flight() -> list[Moment]:
    """Return the flight, settled first."""
    weather = Weather(wind_from_true_deg=FROM_DEG, wind_kt=WIND_KT, warmer_c=12.0)
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft, weather=weather) as model:
        model.place(Placement(**PLACE, heading_true_deg=80.0, terrain_ft=0.0, height_agl_ft=5_000.0, airspeed_kt=100.0))
        loops = Loops(LIGHT_SINGLE)
        moments = []
        for count in range(round((SETTLE_S + STRAIGHT_S + TURN_S) / STEP_S)):
            bank_deg = BANK_DEG if count * STEP_S > SETTLE_S + STRAIGHT_S else 0.0
            view = model.view()
            demand = Demand(bank_deg=bank_deg, airspeed_kt=100.0)
            model.control(loops.step(view=view, demand=demand, step_s=STEP_S))
            model.run(4)
            moments.append(
                Moment(
                    view=view,
                    pressure_altitude_ft=model.get("atmosphere/pressure-altitude"),
                    temperature_c=model.get("atmosphere/T-R") / 1.8 - KELVIN_AT_0_C,
                )
            )
    return moments[round(SETTLE_S / STEP_S) :]


def test_true_airspeed(flight: list[Moment]) -> None:
    """From what the airspeed indicator shows, pressure altitude and temperature comes the model's true airspeed."""
    worst_kt = max(
        abs(
            moment.view.true_airspeed_kt
            - air.true_airspeed_kt(
                calibrated_airspeed_kt=moment.view.airspeed_kt,
                pressure_altitude_ft=moment.pressure_altitude_ft,
                temperature_c=moment.temperature_c,
            )
        )
        for moment in flight
    )

    assert worst_kt < 0.05


def off_kt(found: tuple[float, float]) -> float:
    """Return the length of the difference between a wind and the true one."""
    angle = math.radians(difference_deg(found[0], FROM_DEG))
    return math.hypot(found[1] * math.cos(angle) - WIND_KT, found[1] * math.sin(angle))


def triangle(view: View, late: View) -> dict[str, float]:
    """Return what the wind is worked out from, the ground's part late."""
    return {
        "true_airspeed_kt": view.true_airspeed_kt,
        "heading_true_deg": view.heading_true_deg,
        "groundspeed_kt": late.groundspeed_kt,
        "track_true_deg": late.track_true_deg,
    }


def test_wind_through_a_turn(flight: list[Moment]) -> None:
    """With a receiver a second late single triangles of a turn are over 5 kt wrong, the filter under half a knot."""
    late = round(1.0 / STEP_S)
    told, raw, seen = WindFilter(), [], []
    for moment, before in zip(flight[late:], flight, strict=False):
        told_now = triangle(moment.view, before.view)
        raw.append(off_kt(wind_from_triangle(**told_now)))
        found = told.step(time_s=moment.view.time_s, **told_now)
        seen += [] if found is None else [off_kt(found)]

    assert max(raw) > 5.0
    assert len(seen) > len(raw) / 2
    assert max(seen) < 0.5


def in_the_turn(flight: list[Moment]) -> list[View]:
    """Return the steady part of the turn."""
    return [moment.view for moment in flight if moment.view.time_s > flight[0].view.time_s + STRAIGHT_S + 15.0]


def test_rate_and_radius(flight: list[Moment]) -> None:
    """Over two circles the rate, and in the air the radius, are what bank and airspeed say, within 3 %."""
    views = in_the_turn(flight)
    bank_deg = sum(view.bank_deg for view in views) / len(views)
    speed_kt = sum(view.true_airspeed_kt for view in views) / len(views)
    turned_deg = sum(
        difference_deg(after.heading_true_deg, before.heading_true_deg) for before, after in pairwise(views)
    )
    rate = abs(turned_deg) / (views[-1].time_s - views[0].time_s)

    assert turned_deg < -720.0
    assert rate == pytest.approx(turns.rate_deg_per_s(true_airspeed_kt=speed_kt, bank_deg=bank_deg), rel=0.03)
    assert radius_flown_nm(views) == pytest.approx(
        turns.radius_nm(true_airspeed_kt=speed_kt, bank_deg=bank_deg), rel=0.03
    )


def in_the_air_nm(view: View, start: View) -> tuple[float, float]:
    """Return east and north of a place after the wind's drift is taken back."""
    frame = RunwayFrame.at(**PLACE, elevation_m=view.altitude_ft * 0.3048, course_true_deg=0.0)
    north_m, east_m, _ = frame.locate(
        latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg, height_m=view.altitude_ft * 0.3048
    )
    drift_nm = WIND_KT * (view.time_s - start.time_s) / 3_600.0
    from_ = math.radians(FROM_DEG)
    return east_m / M_PER_NM + drift_nm * math.sin(from_), north_m / M_PER_NM + drift_nm * math.cos(from_)


def radius_flown_nm(views: list[View]) -> float:
    """Return half the width of the circle in the air."""
    places = [in_the_air_nm(view, views[0]) for view in views]
    return sum(max(part) - min(part) for part in zip(*places, strict=True)) / 4.0


def test_a_turn_onto_a_course(flight: list[Moment]) -> None:
    """At the heading that holds a course the aircraft is where turn_in_wind says, within 100 ft."""
    views = in_the_turn(flight)
    start = views[0]
    course_deg = start.heading_true_deg - 75.0
    wanted_deg, _ = heading_and_groundspeed(
        course_deg=course_deg,
        true_airspeed_kt=start.true_airspeed_kt,
        wind_from_deg=FROM_DEG,
        wind_speed_kt=WIND_KT,
    )
    end = next(view for view in views if difference_deg(view.heading_true_deg, wanted_deg) <= 0.0)
    during = [view for view in views if view.time_s <= end.time_s]
    turn = joins.turn_in_wind(
        heading_deg=start.heading_true_deg,
        course_deg=course_deg,
        true_airspeed_kt=sum(view.true_airspeed_kt for view in during) / len(during),
        bank_deg=sum(view.bank_deg for view in during) / len(during),
        wind_from_deg=FROM_DEG,
        wind_speed_kt=WIND_KT,
    )
    frame = RunwayFrame.at(
        latitude_deg=start.latitude_deg,
        longitude_deg=start.longitude_deg,
        elevation_m=start.altitude_ft * 0.3048,
        course_true_deg=course_deg,
    )
    along_m, across_m, _ = frame.locate(
        latitude_deg=end.latitude_deg, longitude_deg=end.longitude_deg, height_m=end.altitude_ft * 0.3048
    )

    assert (along_m / M_PER_NM, across_m / M_PER_NM) == pytest.approx(
        (turn.along_nm, turn.across_nm), abs=100.0 / FT_PER_NM
    )
    assert end.time_s - start.time_s == pytest.approx(turn.time_s, rel=0.05)
