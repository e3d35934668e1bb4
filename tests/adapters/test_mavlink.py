"""MAVLink, made by the independent library pymavlink, both versions."""

import math
from typing import Any

import pytest
from pymavlink.dialects.v10 import common as first
from pymavlink.dialects.v20 import common as second

from otherseat.adapters.adapter import Decoder, Reason, RejectError
from otherseat.adapters.mavlink import ADAPTER, MESSAGES

DIALECTS = [pytest.param(first, id="version-1"), pytest.param(second, id="version-2")]


def sender(dialect: Any, system: int = 1) -> Any:
    """Return the library's packer for one system."""
    return dialect.MAVLink(None, srcSystem=system, srcComponent=1)


def position(dialect: Any, system: int = 1) -> bytes:
    """Return a position at 47.397742 N 8.545594 E, 488 m, 30 m/s east and 2 m/s up, heading 085."""
    link = sender(dialect, system)
    packed: bytes = link.global_position_int_encode(
        12_500, 473_977_420, 85_455_940, 488_000, 10_000, 0, 3_000, -200, 8_500
    ).pack(link)
    return packed


@pytest.mark.parametrize("dialect", DIALECTS)
def test_position(dialect: Any) -> None:
    """GLOBAL_POSITION_INT gives position, height, track, speeds and heading."""
    assert [
        {
            "aircraft": "1",
            "time_s": 12.5,
            "latitude_deg": pytest.approx(47.397742),
            "longitude_deg": pytest.approx(8.545594),
            "altitude_ft": pytest.approx(488.0 / 0.3048),
            "groundspeed_kt": pytest.approx(30.0 * 3600 / 1852),
            "track_true_deg": pytest.approx(90.0),
            "vertical_speed_fpm": pytest.approx(2.0 / 0.3048 * 60),
            "heading_true_deg": 85.0,
        }
    ] == ADAPTER.make({}).decode(position(dialect))


@pytest.mark.parametrize("dialect", DIALECTS)
def test_the_other_messages(dialect: Any) -> None:
    """Attitude, speeds, pressure and the ground all arrive from one datagram; a heartbeat brings nothing."""
    link = sender(dialect, 7)
    packets = [
        link.heartbeat_encode(1, 3, 0, 0, 4),
        link.attitude_encode(1_000, math.radians(10), math.radians(-3), math.radians(-90), 0, 0, 0),
        link.vfr_hud_encode(51.4444444, 60.0, 270, 65, 900.0, -2.54),
        link.scaled_pressure_encode(1_000, 899.0, 0.0, 512),
        link.extended_sys_state_encode(0, 1),
    ]
    attitude, hud, air, ground = ADAPTER.make({"own": 7}).decode(b"".join(p.pack(link) for p in packets))

    assert pytest.approx(10.0, abs=1e-5) == attitude["bank_deg"]
    assert pytest.approx(-3.0, abs=1e-5) == attitude["pitch_deg"]
    assert pytest.approx(-90.0, abs=1e-5) == attitude["heading_true_deg"]
    assert pytest.approx(100.0, abs=1e-4) == hud["indicated_airspeed_kt"]
    assert pytest.approx(-500.0, abs=1e-3) == hud["vertical_speed_fpm"]
    assert 0.65 == hud["throttle_ratio"]
    assert pytest.approx(3_275, abs=30) == air["pressure_altitude_ft"]  # Doc 7488: 898.76 hPa at 1,000 m
    assert 5.12 == air["outside_air_temperature_c"]
    assert ground["on_ground"] is True
    assert "own" == ground["aircraft"]


def test_raw_position_only_until_the_fused_one_comes() -> None:
    """GPS_RAW_INT is read alone, and left aside once the same system sends its own estimate."""
    link = sender(second)
    raw = link.gps_raw_int_encode(1, 3, 473_977_420, 85_455_940, 488_000, 1, 1, 3_000, 9_000, 12).pack(link)
    decoder = ADAPTER.make({})

    assert pytest.approx(90.0) == decoder.decode(raw)[0]["track_true_deg"]
    decoder.decode(position(second))
    assert [] == decoder.decode(raw)


def test_several_systems() -> None:
    """Each system is an aircraft of its own."""
    messages = ADAPTER.make({}).decode(position(second, 3) + position(first, 4))

    assert ["3", "4"] == [message["aircraft"] for message in messages]


@pytest.mark.parametrize("message", sorted(MESSAGES))
def test_extra_bytes_are_the_library_s(message: int) -> None:
    """The extra byte of every checksum is that of the independent library."""
    theirs = {m.id: m.crc_extra for m in second.mavlink_map.values()}

    assert theirs[message] == MESSAGES[message][0]


def decode_any(decoder: Decoder, datagram: bytes) -> Reason | None:
    """Return the reason of the refusal, None when there was none."""
    try:
        decoder.decode(datagram)
    except RejectError as error:
        return error.reason
    return None


@pytest.mark.parametrize("dialect", DIALECTS)
def test_damage_is_refused(dialect: Any) -> None:
    """No truncation gets through, nor any flipped bit but those that make it a message of another kind."""
    whole = position(dialect)
    others = 0
    for cut in range(1, len(whole)):
        assert decode_any(ADAPTER.make({}), whole[:cut]) is Reason.LENGTH
    for bit in range(len(whole) * 8):
        damaged = bytearray(whole)
        damaged[bit // 8] ^= 1 << bit % 8
        others += decode_any(ADAPTER.make({}), bytes(damaged)) is None

    assert others <= 24  # the bits of the message's number, whose extra byte is then unknown
