"""The mark of a binary message: no byte of it is one of a number that goes on, or of a sender's name."""

import struct
from collections.abc import Callable

import numpy as np
import pytest

from otherseat.adapters.identify import identify
from otherseat.adapters.identify.marks import goes_round, mark_of
from otherseat.adapters.identify.report import layout_text
from otherseat.adapters.intake import Intake
from otherseat.adapters.layout import decoder_of
from otherseat.adapters.layout_file import parse
from tests.adapters.flown import flight

RATE_HZ = 10.0
COUNT = 1_200
SINCE_1970_S = 1.7643e9
Head = Callable[[int], bytes]


def seconds(index: int) -> float:
    """Return the time since 1970 at which a datagram is sent, a little late now and then."""
    return SINCE_1970_S + index / RATE_HZ + 0.003 * np.sin(index * 2.3)


def body(index: int, order: str) -> bytes:
    """Return latitude and longitude in degrees, and a speed, of something that moves."""
    return struct.pack(f"{order}ddf", 61.2 + index * 1e-5, -45.0 + index * 2e-5, 55.0 + np.sin(index / 50.0))


def mark(head: Head, order: str, count: int = COUNT) -> bytes:
    """Return the mark that is found of datagrams with such a head."""
    rows = [head(index) + body(index, order) for index in range(count)]
    return mark_of(np.frombuffer(b"".join(rows), dtype=np.uint8).reshape(count, -1))


NUMBERS: dict[str, Callable[[str], Head]] = {
    "u8": lambda _: lambda i: bytes([i % 256]),
    "u16": lambda order: lambda i: struct.pack(f"{order}H", i),
    "u32": lambda order: lambda i: struct.pack(f"{order}I", i),
    "u64": lambda order: lambda i: struct.pack(f"{order}Q", i),
    "late u32": lambda order: lambda i: struct.pack(f"{order}I", 70_000 + i),
    "ticks": lambda order: lambda i: struct.pack(f"{order}I", 1_090_519_040 + 100 * i),
    "s as u32": lambda order: lambda i: struct.pack(f"{order}I", int(seconds(i))),
    "s and parts": lambda order: lambda i: struct.pack(f"{order}II", int(seconds(i)), int(seconds(i) % 1.0 * 2**32)),
    "ns as u64": lambda order: lambda i: struct.pack(f"{order}Q", int(seconds(i) * 1e9)),
    "us as u64": lambda order: lambda i: struct.pack(f"{order}Q", int(seconds(i) * 1e6)),
    "s as f64": lambda order: lambda i: struct.pack(f"{order}d", seconds(i)),
    "ms as f64": lambda order: lambda i: struct.pack(f"{order}d", seconds(i) * 1e3),
    "day as f32": lambda order: lambda i: struct.pack(f"{order}f", seconds(i) % 86_400.0),
    "pull as f32": lambda order: lambda i: struct.pack(f"{order}f", 1.0 + 0.1 * np.sin(i * 2.3)),
    "nothing": lambda _: lambda _i: b"",
}
EACH = pytest.mark.parametrize("name", NUMBERS)
ORDERS = pytest.mark.parametrize("order", ["<", ">"])


@EACH
@ORDERS
@pytest.mark.parametrize("front", [b"NQ01", b"\xaa\x55", b"ABCD", b"NQ01\x01\x00\x2a\x00", b"NQ01ZZA"])
def test_no_byte_behind_the_mark_is_in_it(name: str, order: str, front: bytes) -> None:
    """Whatever counts or tells the time behind a mark, a version, a number or a name of the sender is none of it."""
    known = front[:2] if front[0] > 127 else front[:4]

    assert known.startswith(mark(lambda index: front + NUMBERS[name](order)(index), order))


@EACH
@ORDERS
def test_a_number_at_the_front_is_no_mark(name: str, order: str) -> None:
    """Datagrams that begin with what counts or tells the time have no mark."""
    assert b"" == mark(NUMBERS[name](order), order)


@pytest.mark.parametrize("name", ["u32", "u64", "late u32", "s as u32", "ns as u64", "us as u64", "s as f64"])
def test_the_whole_mark_is_found_before_a_big_endian_number(name: str) -> None:
    """What can be no number's is kept: four letters before a counter or a time."""
    assert b"NQ01" == mark(lambda index: b"NQ01" + NUMBERS[name](">")(index), ">")


@pytest.mark.parametrize("name", [name for name in NUMBERS if name not in {"s as u32", "s and parts"}])
def test_the_whole_mark_is_found_before_a_little_endian_number(name: str) -> None:
    """The byte behind the mark goes round and nothing is carried: the mark ends there."""
    assert b"NQ01" == mark(lambda index: b"NQ01" + NUMBERS[name]("<")(index), "<")


def test_a_byte_that_goes_round() -> None:
    """The lowest byte of a counter does; a flag, a direction's upper byte and one that hardly moves do not."""
    count = np.arange(1_200)

    assert goes_round((count % 256).astype(np.uint8))
    assert not goes_round((count // 300 % 2 * 255).astype(np.uint8))
    assert not goes_round((count // 100).astype(np.uint8))


def test_a_layout_reads_on_when_the_counter_has_passed_65536() -> None:
    """Worked out near its beginning, with a counter behind four letters, it reads the last datagrams of a long day."""
    table = {name: values[::6] for name, values in flight(4).items()}
    speed = np.hypot(table["north_fps"], table["east_fps"]) * 0.3048

    def datagram(index: int, count: int) -> bytes:
        place = (np.radians(table[name][index]) for name in ("latitude_deg", "longitude_deg"))
        heading = np.radians(table["heading_true_deg"][index])
        return struct.pack(">4sIddff", b"NQ01", count, *place, speed[index], heading)

    heard = [(float(time_s), datagram(index, index)) for index, time_s in enumerate(table["time_s"])]
    intake = Intake(decoder_of(parse(layout_text(identify(heard), name="found"), origin="found.toml")))
    (state,) = intake.take(datagram(300, 20_000_000), received_s=1e6)

    assert pytest.approx(table["latitude_deg"][300]) == state.latitude_deg


def test_two_kinds_of_one_length_are_told_by_the_byte_that_names_them() -> None:
    """Behind a mark and a counter that begins in the same bytes a byte says which of two messages it is."""
    table = {name: values[::6] for name, values in flight(4).items()}
    speed = np.hypot(table["north_fps"], table["east_fps"]) * 0.3048
    heard = []
    for index, time_s in enumerate(table["time_s"].tolist()):
        place = struct.pack("<dd", table["latitude_deg"][index], table["longitude_deg"][index])
        track = np.degrees(np.arctan2(table["east_fps"][index], table["north_fps"][index])) % 360.0
        moved = struct.pack("<dd", speed[index], track)
        kinds = ((7, place), (9, moved))
        heard += [
            (time_s + 0.01 * tag, b"\x00\x00" + bytes([tag]) + struct.pack(">I", index) + what) for tag, what in kinds
        ]
    layout = parse(layout_text(identify(heard), name="found"), origin="found.toml")

    assert {(2, b"\x07"), (2, b"\x09")} == {(each.magic_at, each.magic_bytes()) for each in layout.message}


def test_the_name_of_a_sender_before_records_is_skipped() -> None:
    """Behind four letters a record's stream has the sender's name: another one's is read by the same layout."""
    table = {name: values[::6] for name, values in flight(4).items()}
    names = ("latitude_deg", "longitude_deg", "altitude_ft", "heading_true_deg")
    speed = np.hypot(table["north_fps"], table["east_fps"]) * 0.3048
    rows = zip(*(table[name] for name in names), table["vertical_speed_fps"], speed, strict=True)

    def datagram(sender: bytes, row: tuple[float, ...]) -> bytes:
        return b"ROWS" + sender + struct.pack("<i3fi3f", 3, *row[:3], 8, *row[3:])

    heard = [(time_s, datagram(b"ZZAB", row)) for time_s, row in zip(table["time_s"].tolist(), rows, strict=True)]
    layout = parse(layout_text(identify(heard), name="found"), origin="found.toml")
    other = b"ROWSZZCD" + heard[300][1][8:]
    (state,) = Intake(decoder_of(layout)).take(other, received_s=1e6)

    assert ("ROWS", 4) == (layout.records.prefix, layout.records.skip)
    assert pytest.approx(table["latitude_deg"][300], abs=1e-4) == state.latitude_deg
