"""A column that is a vertical speed or a climb angle: at one steady speed it can't be told, and so it is said."""

import struct

import numpy as np
import pytest

from otherseat.adapters.identify import Certainty, Helped, Verdict, identify
from otherseat.adapters.identify.report import layout_text, missing, words
from otherseat.adapters.identify.settled import is_settled
from tests.adapters.flown import Table
from tests.adapters.steady import CLIMB_AND_DESCENT, FASTER, TURNS, objects, steady
from tests.adapters.test_identify_heights import UNITS

ALL = CLIMB_AND_DESCENT + TURNS + FASTER
RATE = "vertical_speed_fpm"
Datagrams = list[tuple[float, bytes]]


def stream(table: Table, unit: str, *names: str) -> Datagrams:
    """Return a stream with altitude and vertical speed in a unit, and with these columns."""
    rate = table["vertical_speed_fps"] * UNITS[unit]
    return objects(table, (*names, "indicated_airspeed_kt"), height=table["altitude_ft"] * UNITS[unit], up=rate)


def heights(verdict: Verdict, *, open_ones: bool = False) -> dict[str, set[str]]:
    """Return the units of altitude and vertical speed that are written, or of those that are open."""
    claims = verdict.open() if open_ones else verdict.written()
    found = (claim for claim in claims if claim.field in {"altitude_ft", RATE})
    return {claim.field: {each.unit for each in (claim, *claim.others)} for claim in found}


@pytest.mark.parametrize("true_kt", [104.0, 107.0, 110.0])
def test_a_vertical_speed_at_one_speed_is_offered(true_kt: float) -> None:
    """At these speeds metres a second are as many as degrees of climb; by the pitch the altitude alone is known."""
    verdict = identify(stream(steady(ALL, true_kt=true_kt), "m", "pitch_deg"))
    told = words(verdict)

    assert {"altitude_ft": {"m"}} == heights(verdict)
    assert {RATE: {"m/s"}} == heights(verdict, open_ones=True)
    assert '# vertical_speed_fpm = { key = "up", unit = "m/s" }' in layout_text(verdict, name="found")
    assert [f"{RATE} may be key up, in m/s"] == missing(verdict)
    assert "climb or descend 20 kt faster or slower" in told
    assert "none was found" not in told
    assert "no vertical speed was found" not in told
    assert not is_settled(verdict)


def test_feet_by_the_pitch_refute_the_angle() -> None:
    """As an angle it would make metres of the altitude, and the pitch says feet: it is the vertical speed."""
    verdict = identify(stream(steady(ALL), "ft", "pitch_deg"))
    claim = verdict.claim(RATE)

    assert {"altitude_ft": {"ft"}, RATE: {"ft/s"}} == heights(verdict)
    assert claim is not None
    assert Certainty.SURE is claim.certainty
    assert [] == verdict.open()


@pytest.mark.parametrize("unit", UNITS)
def test_without_pitch_all_is_open(unit: str) -> None:
    """Nothing tells feet from metres: both are offered, of altitude and vertical speed, and what it may be is said."""
    datagrams = stream(steady(ALL), unit)
    verdict = identify(datagrams)
    by_altitude = identify(datagrams, helped=Helped(units={"altitude_ft": unit}))
    by_rate = identify(datagrams, helped=Helped(units={RATE: f"{unit}/s"}))

    assert {} == heights(verdict)
    assert {"altitude_ft": {"ft", "m"}, RATE: {"ft/s", "m/s"}} == heights(verdict, open_ones=True)
    assert "vertical speed or climb angle: key up" in words(verdict)
    assert {"altitude_ft": {unit}} == {"altitude_ft": heights(by_altitude)["altitude_ft"]}
    assert {"altitude_ft": {unit}, RATE: {f"{unit}/s"}} == heights(by_rate)


def test_another_speed_tells() -> None:
    """Descended 20 kt faster than climbed, as the hint asks: it is the vertical speed."""
    faster = (*CLIMB_AND_DESCENT[:3], (10.0, 0.0, 0.0, 20.0), *CLIMB_AND_DESCENT[3:])
    verdict = identify(stream(steady(faster + TURNS), "m", "pitch_deg"))

    assert {"altitude_ft": {"m"}, RATE: {"m/s"}} == heights(verdict)
    assert [] == verdict.open()


@pytest.mark.parametrize("unit", UNITS)
def test_a_climb_angle_at_one_speed_is_not_relied_on(unit: str) -> None:
    """In truth an angle: no vertical speed is written, and no altitude in the wrong unit."""
    table = steady(ALL, true_kt=111.0, wind_kt=2.0)
    angle = np.degrees(np.arctan2(table["vertical_speed_fps"], np.hypot(table["north_fps"], table["east_fps"])))
    verdict = identify(objects(table, ("pitch_deg",), height=table["altitude_ft"] * UNITS[unit], slant=angle))

    assert {"altitude_ft": {unit}} == heights(verdict)
    assert {RATE: {"m/s"}} == heights(verdict, open_ones=True)


def test_in_a_binary_stream() -> None:
    """Bytes are no other matter: the altitude is known by the pitch, and what may be its slope waits."""
    table = steady(ALL)
    names = ("heading_true_deg", "pitch_deg", "indicated_airspeed_kt")
    floats = [table["altitude_ft"] * 0.3048, table["vertical_speed_fps"] * 0.3048]
    floats += [np.hypot(table["north_fps"], table["east_fps"]) * 0.3048, *(table[name] for name in names)]
    rows = zip(table["latitude_deg"], table["longitude_deg"], *floats, strict=True)
    datagrams = [
        (time_s, struct.pack(f">4sIdd{len(floats)}f", b"NQ01", index, *row))
        for index, (time_s, row) in enumerate(zip(table["time_s"].tolist(), rows, strict=True))
    ]
    verdict = identify(datagrams)

    assert {"altitude_ft": {"m"}} == heights(verdict)
    assert {RATE: {"m/s"}} == heights(verdict, open_ones=True)
    assert "vertical speed or climb angle: byte 28 as f32" in words(verdict)
