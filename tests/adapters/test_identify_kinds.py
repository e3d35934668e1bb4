"""The kinds of a binary stream: a low byte of a time makes none, and those that are there are told apart."""

import struct
from collections.abc import Callable

import numpy as np
import pytest

from otherseat.adapters.identify import identify
from otherseat.adapters.identify.kinds import kinds
from otherseat.adapters.identify.report import layout_text
from otherseat.adapters.layout_file import parse
from tests.adapters.flown import flight

RATE_HZ = 20.0
Datagrams = list[tuple[float, bytes]]
Row = dict[str, float]


def rows(seed: int = 4) -> list[Row]:
    """Return a flight at twenty rows a second."""
    table = {name: values[::3].tolist() for name, values in flight(seed).items()}
    return [dict(zip(table, row, strict=True)) for row in zip(*table.values(), strict=True)]


def monotonic(index: int) -> float:
    """Return the difference of two readings of a clock that has run for a day, in its own steps."""
    return 37.0 + (1e5 + index / RATE_HZ + 1e-4 * np.sin(index * 2.3)) - 1e5


STAMPS: dict[str, Callable[[int], bytes]] = {
    "f64 from 1000": lambda index: struct.pack("<d", 1000.0 + index * 0.05),
    "f64 from 0": lambda index: struct.pack("<d", index * 0.05),
    "f32 from 0": lambda index: struct.pack("<f", index * 0.05),
    "f64 of a clock": lambda index: struct.pack("<d", monotonic(index)),
    "u8 of a cycle": lambda index: bytes([index % 4]),
}


def whole(row: Row) -> bytes:
    """Return what one kind of message says behind its time."""
    place = (row["latitude_deg"], row["longitude_deg"])
    moved = (row["north_fps"] * 0.3048, row["east_fps"] * 0.3048)
    directions = (np.radians(row[name]) for name in ("heading_true_deg", "pitch_deg", "bank_deg"))
    return struct.pack("<fdd7f", 88.5, *place, row["altitude_ft"], *directions, *moved, row["true_airspeed_fps"])


@pytest.mark.parametrize("name", STAMPS)
def test_the_low_byte_of_a_time_makes_no_kinds(name: str) -> None:
    """A counter and a time whose lowest bytes have few values: one message, and its fields in one layout."""
    sent = [
        (index / RATE_HZ, struct.pack("<I", index) + STAMPS[name](index) + whole(row))
        for index, row in enumerate(rows())
    ]
    layout = parse(layout_text(identify(sent), name="found"), origin="found.toml")
    (message,) = layout.message

    assert message.magic_hex is None
    assert {"latitude_deg", "longitude_deg", "velocity_north_kt", "heading_true_deg"} <= set(message.fields)


def place(row: Row) -> bytes:
    """Return a message of sixteen bytes with the place."""
    return struct.pack("<dd", row["latitude_deg"], row["longitude_deg"])


def attitude(row: Row) -> bytes:
    """Return a message of sixteen bytes with the attitude and a speed."""
    names = ("heading_true_deg", "pitch_deg", "bank_deg", "true_airspeed_fps")
    return struct.pack("<4f", *(row[name] for name in names))


def air(row: Row) -> bytes:
    """Return a message of sixteen bytes with height, its rate, an airspeed and a temperature."""
    names = ("altitude_ft", "vertical_speed_fps", "indicated_airspeed_kt", "temperature_r")
    return struct.pack("<4f", *(row[name] for name in names))


def second_place(row: Row) -> bytes:
    """Return the place of another aircraft that flies a mile away."""
    return struct.pack("<dd", row["latitude_deg"] + 0.012, row["longitude_deg"] - 0.012)


HEADS: dict[str, Callable[[int, int], bytes]] = {
    "tag": lambda tag, _: bytes([tag]),
    "mark and tag": lambda tag, _: b"\xaa\x55" + bytes([tag]),
    "tag and time": lambda tag, index: bytes([tag]) + struct.pack("<d", index * 0.05),
    "counter and tag": lambda tag, index: struct.pack("<I", index) + bytes([tag]),
    "time and tag": lambda tag, index: struct.pack("<f", index * 0.05) + bytes([tag]),
    "tag, counter and time": lambda tag, index: struct.pack("<BId", tag, index, index * 0.05),
}
SETS = [(place, attitude), (attitude, air), (place, second_place), (place, attitude, air)]


@pytest.mark.parametrize("kind", SETS, ids=lambda each: " ".join(part.__name__ for part in each))
@pytest.mark.parametrize("head", HEADS)
def test_kinds_of_one_length_are_told_apart(head: str, kind: tuple[Callable[[Row], bytes], ...]) -> None:
    """Whatever stands before it and beside it, a byte that names the message is found, and no other."""
    sent: Datagrams = []
    for index, row in enumerate(rows()):
        for tag, part in enumerate(kind, start=1):
            sent.append((index / RATE_HZ + 0.01 * tag, HEADS[head](tag, index) + part(row)))
    at, parts = kinds(sent)

    assert HEADS[head](77, 0).index(77) == at
    assert len(kind) == len(parts)


@pytest.mark.parametrize("seed", [1, 2])
def test_kinds_that_come_in_no_order_and_one_of_them_seldom(seed: int) -> None:
    """Two kinds at random, one of them every sixth time, are told apart all the same."""
    draw = np.random.default_rng(seed)
    sent: Datagrams = []
    for index, row in enumerate(rows()):
        seldom = draw.random() < 1.0 / 6.0
        sent.append((index / RATE_HZ, bytes([9, 7 if seldom else 5]) + (attitude if seldom else place)(row)))
    at, parts = kinds(sent)

    assert (1, 2) == (at, len(parts))


def test_a_length_that_came_a_few_times_has_no_kinds() -> None:
    """Three datagrams are too few to tell a tag by."""
    at, parts = kinds([(0.0, b"A1"), (1.0, b"B1"), (2.0, b"A1")])

    assert (None, 1) == (at, len(parts))
