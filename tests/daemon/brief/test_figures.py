"""The brief's numbers against published tables."""

import dataclasses

import pytest

from otherseat.advisories.holding import Entry
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.brief import enroute, figures
from otherseat.daemon.brief.conditions import Conditions, Holding, Wind
from tests.scripted import make_plan, make_table

AT_SEA_LEVEL = dataclasses.replace(make_table().end("ZZBB/09L"), elevation_ft=0.0)
"""The tables are printed for a station at sea level."""


@pytest.mark.parametrize(
    ("distance_nm", "height_ft"),
    [
        (1.0, 368.4),
        (2.0, 686.9),
        (3.0, 1005.3),
        (4.0, 1323.7),
        (5.0, 1642.2),
        (6.0, 1960.6),
        (8.0, 2597.5),
        (10.0, 3234.4),
    ],
)
def test_path_heights(distance_nm: float, height_ft: float) -> None:
    """Each mile of a 3 degree path over 50 ft: closed form, computed outside this project."""
    points = figures.path_points(end=AT_SEA_LEVEL, angle_deg=3.0, day=Conditions())
    (point,) = (point for point in points if point.distance_nm == distance_nm)

    assert height_ft == pytest.approx(point.height_ft, abs=0.1)
    assert 300.0 * distance_nm == point.rule_height_ft
    assert point.correction_ft is None


@pytest.mark.parametrize(
    ("angle_deg", "groundspeed_kt", "sink_fpm"),
    [
        (2.5, 60, 265),
        (2.5, 120, 530),
        (3.0, 60, 320),
        (3.0, 120, 635),
        (3.0, 150, 795),
        (3.0, 180, 955),
        (3.5, 90, 555),
        (3.5, 150, 925),
    ],
)
def test_sink_rates(angle_deg: float, groundspeed_kt: float, sink_fpm: float) -> None:
    """FAA/NOS Instrument Approach Procedure Charts, Rate of Descent Table, printed to 5 fpm."""
    (point,) = figures.sink_points(groundspeeds_kt=[groundspeed_kt], angle_deg=angle_deg)

    assert sink_fpm == pytest.approx(point.exact_fpm, abs=5.0)
    assert 5.0 * groundspeed_kt == point.rule_fpm


@pytest.mark.parametrize(
    ("temperature_c", "height_ft", "correction_ft"), [(-15.0, 1000.0, 116.7), (-40.0, 450.0, 106.4)]
)
def test_cold_corrections(temperature_c: float, height_ft: float, correction_ft: float) -> None:
    """ICAO Doc 8168 vol. I, part III, section 1, ch. 4: values of the printed formula."""
    day = Conditions(temperature_c=temperature_c)

    assert correction_ft == pytest.approx(
        figures.correction_ft(height_ft=height_ft, elevation_ft=0.0, day=day), abs=0.5
    )


def test_cold_is_in_what_to_read() -> None:
    """At -30 C and 1,000 ft the printed table adds 190 ft (FAA AIM TBL 7-3-1, rounded up to 10)."""
    gate = figures.gates(end=AT_SEA_LEVEL, angle_deg=3.0, day=Conditions(temperature_c=-30.0))[0]

    assert 180.0 <= gate.read_ft - 1000.0 <= 190.0


@pytest.mark.parametrize("temperature_c", [None, 1.0, 15.0])
def test_not_cold(temperature_c: float | None) -> None:
    """Above freezing, or without a temperature, nothing is corrected."""
    day = Conditions(temperature_c=temperature_c)

    assert figures.correction_ft(height_ft=1000.0, elevation_ft=0.0, day=day) is None


@pytest.mark.parametrize(
    ("course_deg", "wind", "headwind_kt", "crosswind_kt", "within_kt"),
    [
        (170.0, Wind(140.0, 25.0), 22.0, -13.0, 0.6),
        (180.0, Wind(220.0, 30.0), 23.0, 19.0, 0.6),
        (30.0, Wind(60.0, 20.0), 17.32, 10.0, 0.005),
    ],
    ids=["FAA-H-8083-25B ch. 11 sample problem 10", "FAA-CT-8080-2 figure 36", "Aviation Formulary 1.47"],
)
def test_wind_components(
    course_deg: float, wind: Wind, headwind_kt: float, crosswind_kt: float, within_kt: float
) -> None:
    """Head- and crosswind of the named handbooks; from the right is positive."""
    end = dataclasses.replace(AT_SEA_LEVEL, course_true_deg=course_deg)
    on = figures.wind_on(end=end, surface=wind)

    assert headwind_kt == pytest.approx(on.headwind_kt, abs=within_kt)
    assert crosswind_kt == pytest.approx(on.crosswind_kt, abs=within_kt)


def sea_level_plan(**values: object) -> ResolvedPlan:
    """Return a plan that lands at sea level."""
    return dataclasses.replace(make_plan(make_table(), **values), arrival=AT_SEA_LEVEL)


@pytest.mark.parametrize(
    ("altitude_ft", "calibrated_kt", "temperature_c", "true_kt"),
    [(5000.0, 100.0, 15.0, 107.67), (10000.0, 100.0, 15.0, 116.22), (5000.0, 120.0, -5.0, 124.44)],
)
def test_true_airspeed(altitude_ft: float, calibrated_kt: float, temperature_c: float, true_kt: float) -> None:
    """aerocalc3 0.10: ISA, and ISA - 20 C; the cruise is as far from ISA as the field is."""
    plan = sea_level_plan(cruise_altitude_ft=altitude_ft)
    speed = enroute.cruise_speed(
        plan=plan, day=Conditions(cruise_airspeed_kt=calibrated_kt, temperature_c=temperature_c)
    )

    assert speed is not None
    assert true_kt == pytest.approx(speed.exact_kt, abs=0.06)
    assert calibrated_kt * (1.0 + 0.02 * altitude_ft / 1000.0) == pytest.approx(speed.propeller_rule_kt)


def test_top_of_descent() -> None:
    """10,000 ft on 3 degrees is 31.40 NM, and 30 NM by the 3:1 rule; the path has 2.98 NM left at the gate."""
    down = enroute.descent(plan=sea_level_plan(cruise_altitude_ft=11_000.0), day=Conditions())

    assert down is not None
    assert 31.40 + 2.98 == pytest.approx(down.exact_nm, abs=0.02)
    assert 30.0 + 1000.0 / 300.0 == pytest.approx(down.rule_nm)
    assert down.wind_nm is None


def test_top_of_descent_in_wind() -> None:
    """A headwind brings the same sink rate's start nearer, by groundspeed over true airspeed."""
    plan = sea_level_plan(cruise_altitude_ft=11_000.0)
    day = Conditions(cruise_airspeed_kt=120.0, cruise_wind=Wind(90.0, 40.0))
    calm = enroute.descent(plan=plan, day=dataclasses.replace(day, cruise_wind=Wind(90.0, 0.0)))
    windy = enroute.descent(plan=plan, day=day)

    assert calm is not None
    assert windy is not None
    assert calm.wind_nm == pytest.approx(calm.exact_nm)
    assert windy.wind_nm is not None
    assert windy.still_air_sink_fpm is not None
    assert windy.wind_sink_fpm is not None
    assert windy.wind_nm < windy.exact_nm - 5.0
    assert windy.wind_sink_fpm < windy.still_air_sink_fpm


@pytest.mark.parametrize("cruise_ft", [None, 900.0])
def test_nothing_to_descend(cruise_ft: float | None) -> None:
    """Without a cruise altitude, or below the gate, there is no place to start down."""
    assert enroute.descent(plan=sea_level_plan(cruise_altitude_ft=cruise_ft), day=Conditions()) is None


@pytest.mark.parametrize(
    ("inbound_deg", "entry"),
    [(90.0 - 45.0, Entry.DIRECT), (90.0 - 150.0 + 360.0, Entry.TEARDROP), (90.0 - 230.0 + 360.0, Entry.PARALLEL)],
)
def test_hold_entry(inbound_deg: float, entry: Entry) -> None:
    """FAA AIM 5-3-8 j 3: arriving 45, 150 and 230 degrees off the inbound course, right turns."""
    plan = make_plan(make_table(), cruise_altitude_ft=3000.0)
    day = Conditions(approach_airspeed_kt=80.0, holding=Holding(inbound_true_deg=inbound_deg))
    hold = enroute.hold_figures(plan=plan, day=day)

    assert hold is not None
    assert entry == hold.entry
    assert 240.0 == pytest.approx(hold.lap_s)
    assert (inbound_deg + 180.0) % 360.0 == pytest.approx(hold.outbound_true_deg)


def test_a_wind_too_strong_to_hold_in() -> None:
    """Where no outbound leg could bring the aircraft back, the brief has no hold rather than a wrong one."""
    day = Conditions(approach_airspeed_kt=60.0, cruise_wind=Wind(90.0, 70.0), holding=Holding(inbound_true_deg=90.0))

    assert enroute.hold_figures(plan=make_plan(make_table(), cruise_altitude_ft=3000.0), day=day) is None


def test_parallels() -> None:
    """The runway beside the planned one is found; the other direction and the crossing one are not."""
    table = make_table()
    names = [end.name for end in figures.parallels(end=table.end("ZZBB/09L"), airfield=table.airfield("ZZBB"))]

    assert ["ZZBB/09R"] == names


def test_sink_speeds() -> None:
    """Tens of knots around the approach's own groundspeed, or a wide choice."""
    end: RunwayEnd = AT_SEA_LEVEL
    day = Conditions(approach_airspeed_kt=75.0, surface_wind=Wind(end.course_true_deg, 10.0))

    assert 65.0 == pytest.approx(figures.approach_groundspeed_kt(end=end, day=day), abs=0.5)
    assert (40.0, 50.0, 60.0, 70.0, 80.0, 90.0) == figures.sink_speeds_kt(65.0)
    assert 60.0 == figures.sink_speeds_kt(None)[0]
