"""The lower half of a number, and numbers with and without a sign, in a big-endian structure."""

import struct

import numpy as np
import pytest

from otherseat.adapters.identify import Verdict, identify
from otherseat.adapters.identify.columns import Column, is_low_part
from tests.adapters.flown import Table, flight, level_flight

KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)
EVERY = 6
ABOUT_FT = 2_990.0
"""Here the upper half of hundredths of a foot goes from four to five, and the lower half on through zero."""


def structure(t: Table) -> list[tuple[float, bytes]]:
    """Return a flight in whole numbers, moved to that height, ten datagrams a second."""
    altitude_ft = t["altitude_ft"] - t["altitude_ft"][0] + ABOUT_FT
    ground_kt = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    whole = (
        np.round(t["time_s"] * 1e3),
        np.round(t["latitude_deg"] * 1e7),
        np.round(t["longitude_deg"] * 1e7),
        np.round(altitude_ft * 100.0),
        np.round(t["indicated_airspeed_kt"] * 10.0),
        np.round(t["heading_true_deg"] * 100.0),
    )
    more = (np.round(t["vertical_speed_fps"] * 60.0), np.round(t["pitch_deg"] * 100.0), np.round(t["bank_deg"] * 100.0))
    rows = zip(
        *(values.astype(int).tolist() for values in whole),
        ground_kt.tolist(),
        *(values.astype(int).tolist() for values in more),
        t["engine_rpm"].tolist(),
        t["fuel_lb"].tolist(),
        (t["temperature_r"] * 5.0 / 9.0).tolist(),
        strict=True,
    )
    packed = [struct.pack(">IiiiHHfhhhfff", *row) for row in rows]
    return list(zip((1e9 + t["time_s"]).tolist(), packed, strict=True))[::EVERY]


def place_of(verdict: Verdict, field: str) -> tuple[object, object]:
    """Return where and as what a field was found."""
    claim = verdict.claim(field)
    assert claim is not None
    return claim.column.place["at"], claim.column.place["type"]


@pytest.mark.parametrize("seconds", [90, 105, 111, 117, 120])
@pytest.mark.parametrize("seed", [1, 3])
def test_half_a_height_is_none(seed: int, seconds: int) -> None:
    """Whenever it ends the altitude is the whole number; its lower half is wrong by one that never changes."""
    datagrams = structure({name: values[: seconds * 60] for name, values in flight(seed).items()})
    verdict = identify(datagrams)

    assert (12, "i32") == place_of(verdict, "altitude_ft")
    assert (16, "u16") == place_of(verdict, "indicated_airspeed_kt")


def test_a_heading_has_no_sign() -> None:
    """Flown below 327 degrees nothing tells a sign, and read with one every heading beyond is wrong."""
    headings = {seed: flight(seed)["heading_true_deg"] for seed in range(12)}
    south = [seed for seed, heading_deg in headings.items() if heading_deg.max() < 320.0]

    assert south
    for seed in south[:2]:
        assert (18, "u16") == place_of(identify(structure(flight(seed))), "heading_true_deg")


@pytest.mark.parametrize("seed", range(6))
def test_there_is_no_position_before_a_turn(seed: int) -> None:
    """Straight on two numbers made of others' bytes pass for a position: it waits for the turn, and says so."""
    verdict = identify(structure(level_flight(seed)))

    assert not verdict.found()
    assert any("fly a turn of 90 deg or more" in text for text in verdict.cannot_tell)


def test_what_a_lower_part_is() -> None:
    """By byte order: at the end of a big-endian number, at the beginning of a little-endian one."""

    def column(at: int, kind: str, order: str) -> Column:
        return Column({"at": at, "type": kind}, 0, np.zeros(1), whole=True, order=order)

    assert is_low_part(column(14, "i16", "big"), column(12, "i32", "big"))
    assert is_low_part(column(12, "u16", "little"), column(12, "i32", "little"))
    assert is_low_part(column(15, "u8", "little"), column(12, "i32", "big"))
    assert not is_low_part(column(12, "i16", "big"), column(12, "i32", "big"))
    assert not is_low_part(column(14, "i16", "little"), column(12, "i32", "big"))
    assert not is_low_part(column(12, "i32", "big"), column(14, "i16", "big"))
    assert not is_low_part(column(14, "i16", "big"), column(12, "f32", "big"))
