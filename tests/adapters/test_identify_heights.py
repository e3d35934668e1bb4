"""Feet or metres: what settles it is found, and where nothing does no height is written."""

import itertools
from collections.abc import Sequence

import numpy as np
import pytest

from otherseat.adapters.derive import metres_per_degree
from otherseat.adapters.identify import Certainty, Helped, Verdict, identify
from otherseat.adapters.identify.report import layout_text, missing, words
from otherseat.adapters.identify.scale import standard_hpa
from otherseat.adapters.intake import Intake
from otherseat.adapters.layout import decoder_of
from otherseat.adapters.layout_file import parse
from otherseat.advisories.state import State
from tests.adapters.flown import Table, calm_flight, flight
from tests.adapters.steady import CLIMB_AND_DESCENT, FASTER, TURNS, Step, objects, steady
from tests.adapters.test_identify import rows_of, timed

KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)
UNITS = {"m": 0.3048, "ft": 1.0}
EVERY = 6
"""Of the model's sixty rows a second one in so many is sent."""
Array = np.ndarray


def stream(table: Table, unit: str, *more: Array) -> list[tuple[float, bytes]]:
    """Return a stream with altitude and vertical speed in a unit and that a second, and no pitch unless it is given."""
    worth = UNITS[unit]
    ground = np.hypot(table["north_fps"], table["east_fps"]) * KT_PER_FPS
    place = (table["latitude_deg"], table["longitude_deg"])
    climb = (table["altitude_ft"] * worth, table["vertical_speed_fps"] * worth)
    columns = (*place, *climb, ground, table["heading_true_deg"], *more)
    rows = rows_of(*(column[::EVERY] for column in columns))
    return list(zip(table["time_s"][::EVERY].tolist(), rows, strict=True))


def units(verdict: Verdict) -> dict[str, str]:
    """Return the units of the heights that a layout would rely on."""
    return {c.field: c.unit for c in verdict.written() if c.field in {"altitude_ft", "vertical_speed_fpm"}}


def states(verdict: Verdict, datagrams: Sequence[tuple[float, bytes]]) -> list[State]:
    """Return what the written layout makes of the stream."""
    intake = Intake(decoder_of(parse(layout_text(verdict, name="found"), origin="found.toml")))
    return [state for time_s, datagram in datagrams for state in intake.take(datagram, received_s=time_s)]


EITHER = pytest.mark.parametrize("unit", ["m", "ft"])
SEEDS = pytest.mark.parametrize("seed", [0, 3, 4])


@EITHER
@SEEDS
def test_without_evidence_no_height_is_written(unit: str, seed: int) -> None:
    """Neither feet nor metres are guessed: no state has an altitude, both are named, and how to choose is said."""
    datagrams = stream(flight(seed), unit)
    verdict = identify(datagrams)
    last = states(verdict, datagrams)[-1]
    text = layout_text(verdict, name="found")

    assert verdict.found()
    assert (None, None) == (last.altitude_ft, last.vertical_speed_fpm)
    assert all(f'# altitude_ft = {{ column = 2, unit = "{each}" }}' in text for each in UNITS)
    assert any("altitude_ft is in" in line for line in missing(verdict))
    assert "Neither is in the layout until you say which" in words(verdict)


@EITHER
@SEEDS
def test_a_lever_is_no_pitch(unit: str, seed: int) -> None:
    """Throttle, angle of attack, revolutions and fuel flow go with the climb as pitch does; none is taken for it."""
    table = flight(seed)
    percent, revolutions = np.round(table["throttle"] * 100.0), np.round(table["engine_rpm"] / 10.0)
    engine = (table["throttle"], percent, revolutions, table["throttle"] * 12.0)
    verdict = identify(stream(table, unit, *engine, table["alpha_deg"]))

    assert {} == units(verdict)
    assert verdict.claim("pitch_deg") is None


@EITHER
@SEEDS
@pytest.mark.parametrize("size", [0.1, 0.3, 1.0])
def test_no_single_lever_is_pitch(unit: str, seed: int, size: float) -> None:
    """Alone in the stream, whatever its size: the throttle in radians, the fuel flow in degrees."""
    throttle = flight(seed)["throttle"] * size

    assert {} == units(identify(stream(flight(seed), unit, throttle)))
    assert {} == units(identify(stream(flight(seed), unit, throttle * 20.0)))


@EITHER
@SEEDS
def test_a_second_vertical_speed_is_no_pitch(unit: str, seed: int) -> None:
    """A slow needle of the vertical speed, at 111 kt as big in metres a second as pitch in degrees, is not pitch."""
    table = flight(seed)
    slow = np.convolve(table["vertical_speed_fps"] * 0.3048, np.ones(61) / 61.0, mode="same")
    verdict = identify(stream(table, unit, slow * 0.97))

    assert {} == units(verdict)


@EITHER
@SEEDS
@pytest.mark.parametrize("seconds", [2.0, 4.0])
def test_a_needle_that_lags_is_no_pitch(unit: str, seed: int, seconds: float) -> None:
    """A vertical speed in feet a second that comes seconds late: as a pitch it would make metres of feet."""
    table = flight(seed)
    share = 1.0 / (1.0 + seconds * 60.0)
    needle = list(itertools.accumulate(table["vertical_speed_fps"], lambda told, true: told + share * (true - told)))

    assert {} == units(identify(stream(table, unit, np.array(needle))))


@EITHER
@pytest.mark.parametrize("steps", [CLIMB_AND_DESCENT + TURNS + FASTER, TURNS + CLIMB_AND_DESCENT + FASTER])
def test_the_pitch_settles_it_at_a_steady_speed(unit: str, steps: tuple[Step, ...]) -> None:
    """Climb and descent at one speed, as asked for: the pitch runs with the slope, and is a pitch all the same."""
    table = steady(steps, true_kt=95.0)
    climb = {"height": table["altitude_ft"] * UNITS[unit], "rate": table["vertical_speed_fps"] * UNITS[unit]}
    verdict = identify(objects(table, ("pitch_deg", "indicated_airspeed_kt"), **climb))

    assert {"altitude_ft": unit, "vertical_speed_fpm": f"{unit}/s"} == units(verdict)
    assert [] == verdict.open()


@EITHER
@SEEDS
@pytest.mark.parametrize("evidence", ["pitch_deg", "pressure_psf"])
def test_a_law_settles_it(unit: str, seed: int, evidence: str) -> None:
    """Pitch, or the pressure outside, tells metres from feet, and the last altitude is that flown."""
    table = flight(seed)
    datagrams = stream(table, unit, table[evidence])
    verdict = identify(datagrams)

    assert {"altitude_ft": unit, "vertical_speed_fpm": f"{unit}/s"} == units(verdict)
    assert pytest.approx(table["altitude_ft"][::EVERY][-1], abs=1.0) == states(verdict, datagrams)[-1].altitude_ft


@EITHER
@SEEDS
def test_a_climb_angle_settles_it(unit: str, seed: int) -> None:
    """A column that is the climb angle tells metres from feet, and is not taken for a vertical speed."""
    table = flight(seed)
    angle = np.degrees(np.arctan2(table["vertical_speed_fps"], np.hypot(table["north_fps"], table["east_fps"])))
    verdict = identify(stream(table, unit, angle))

    assert {"altitude_ft": unit, "vertical_speed_fpm": f"{unit}/s"} == units(verdict)


def test_a_climb_angle_alone_is_no_vertical_speed() -> None:
    """At 111 kt degrees of climb are as big as a vertical speed that makes metres of feet: read as an angle."""
    table = dict(flight(4))
    ground = np.hypot(table["north_fps"], table["east_fps"]) * KT_PER_FPS
    faster = 111.0 / np.median(ground)
    for name in ("latitude_deg", "longitude_deg"):
        table[name] = table[name][0] + (table[name] - table[name][0]) * faster
    angle = np.degrees(np.arctan2(table["vertical_speed_fps"] * KT_PER_FPS, ground * faster))
    place = (table["latitude_deg"], table["longitude_deg"], table["altitude_ft"])
    verdict = identify(timed(table, rows_of(*place, angle, ground * faster, table["heading_true_deg"])))

    assert verdict.found()
    assert {"altitude_ft": "ft"} == units(verdict)
    assert verdict.claim("vertical_speed_fpm") is None


@EITHER
@SEEDS
def test_another_vertical_speed_settles_it(unit: str, seed: int) -> None:
    """A second vertical speed, in feet a minute, leaves the altitude one unit: a column has one unit."""
    table = flight(seed)

    assert unit == units(identify(stream(table, unit, table["vertical_speed_fps"] * 60.0)))["altitude_ft"]


@EITHER
def test_a_person_settles_it(unit: str) -> None:
    """Told either unit, both heights are read by it."""
    datagrams = stream(flight(4), unit)
    by_altitude = identify(datagrams, helped=Helped(units={"altitude_ft": unit}))
    by_rate = identify(datagrams, helped=Helped(units={"vertical_speed_fpm": f"{unit}/s"}))

    assert {"altitude_ft": unit, "vertical_speed_fpm": f"{unit}/s"} == units(by_altitude) == units(by_rate)
    assert [] == missing(by_altitude)


STOOD_S, ROLL_S = 20.0, 25.0


def from_the_ground(table: Table, field_ft: float) -> Table:
    """Return the flight after standing on a field of this elevation, and a take-off roll to where it begins.

    The flight model is put in the air at speed; stand and roll, speeding up evenly, are added before that.
    """
    times_s = np.arange(0.0, STOOD_S + ROLL_S, 1.0 / 60.0)
    share = np.clip((times_s - STOOD_S) / ROLL_S, 0.0, 1.0)
    to_go_s = ROLL_S / 2.0 * (1.0 - share**2)
    north, east = metres_per_degree(float(table["latitude_deg"][0]))
    before = {name: np.full(len(times_s), values[0]) for name, values in table.items()}
    for name, place, metres in (("north_fps", "latitude_deg", north), ("east_fps", "longitude_deg", east)):
        before[place] = table[place][0] - table[name][0] * 0.3048 * to_go_s / metres
        before[name] = table[name][0] * share
    before["vertical_speed_fps"] = np.zeros(len(times_s))
    whole = {name: np.concatenate([before[name], values]) for name, values in table.items()}
    whole["time_s"] = np.arange(len(whole["time_s"])) / 60.0
    whole["altitude_ft"] += field_ft - table["altitude_ft"][0]
    return whole


@EITHER
@pytest.mark.parametrize("field_ft", [1_500.0, 500.0])
def test_the_airfield_settles_it(unit: str, field_ft: float) -> None:
    """Begun on the ground of an airfield that is known, the elevation tells; of one that isn't known nothing does."""
    datagrams = stream(from_the_ground(flight(4), field_ft), unit)
    verdict = identify(datagrams, helped=Helped(ground_m=lambda _latitude, _longitude: field_ft * 0.3048))
    lone = identify(datagrams, helped=Helped(ground_m=lambda _latitude, _longitude: None))

    assert {"altitude_ft": unit, "vertical_speed_fpm": f"{unit}/s"} == units(verdict)
    assert lone.found()
    assert {} == units(lone)


@EITHER
def test_an_airfield_near_the_sea_settles_nothing(unit: str) -> None:
    """Sixty feet are as near to sixty metres as an altimeter that nobody set."""
    datagrams = stream(from_the_ground(flight(4), 60.0), unit)
    verdict = identify(datagrams, helped=Helped(ground_m=lambda _latitude, _longitude: 60.0 * 0.3048))

    assert verdict.found()
    assert {} == units(verdict)


def test_laws_that_differ_settle_nothing() -> None:
    """A pitch that says metres and a pressure that says feet leave it open."""
    table = flight(4)
    in_metres = table["altitude_ft"] * 0.3048
    pressure = standard_hpa(in_metres * 0.3048)
    verdict = identify(stream(table, "m", table["pitch_deg"], pressure))

    assert {} == units(verdict)
    assert Certainty.OPEN is verdict.claim("altitude_ft").certainty  # type: ignore[union-attr] - it is there


def test_a_slow_climb_in_feet_is_not_called_metres() -> None:
    """A vertical speed so small that feet a second would be hardly any climb leaves feet possible."""
    table = dict(flight(4))
    start = table["altitude_ft"][0]
    table["altitude_ft"] = start + (table["altitude_ft"] - start) * 0.12
    table["vertical_speed_fps"] = table["vertical_speed_fps"] * 0.12

    assert {} == units(identify(stream(table, "ft")))


def test_standard_pressure() -> None:
    """The pressure of the standard atmosphere (ICAO Doc 7488: 1013.25 hPa, 898.75 at 1,000 m, 540.20 at 5,000 m)."""
    assert pytest.approx([1013.25, 898.75, 540.20], abs=0.05) == standard_hpa(np.array([0.0, 1000.0, 5000.0]))


@EITHER
@SEEDS
def test_what_only_goes_with_pitch_settles_nothing(unit: str, seed: int) -> None:
    """A pitch from another datum, 15 deg lower, and one under a slow sway of 6 deg: neither is the pitch of a climb."""
    table = flight(seed)
    sway = 6.0 * np.sin(table["time_s"] / 3.0)

    for column in (table["pitch_deg"] - 15.0, table["pitch_deg"] + sway):
        assert {} == units(identify(stream(table, unit, column)))


@EITHER
def test_high_up_the_airspeed_settles_it(unit: str) -> None:
    """At 18,000 ft the true airspeed is a third more than the indicated; read the other way it would not be."""
    table = calm_flight(0, 18_000.0)

    assert {"altitude_ft": unit, "vertical_speed_fpm": f"{unit}/s"} == units(
        identify(stream(table, unit, table["indicated_airspeed_kt"]))
    )


@EITHER
@SEEDS
def test_low_down_the_airspeed_settles_nothing(unit: str, seed: int) -> None:
    """At 2,000 m it is a tenth more, which the instrument or a warm day may be wrong by."""
    table = flight(seed)

    assert {} == units(identify(stream(table, unit, table["indicated_airspeed_kt"])))
