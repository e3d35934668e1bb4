"""Layouts of every other kind: pairs, JSON, msgpack, binary and records."""

import json
import struct
import zlib

import msgpack
import pytest

from otherseat.adapters.adapter import Decoder, Reason, RejectError
from otherseat.adapters.layout import decoder_of
from otherseat.adapters.layout_file import LayoutError, parse


def decoder(text: str) -> Decoder:
    """Return a decoder of the layout in the text."""
    return decoder_of(parse('name = "sample"\n' + text, origin="sample.toml"))


PAIRS = """
kind = "pairs"
[pairs]
joined_by = ":"
between = ";"
[[message]]
[message.fields]
groundspeed_kt = { key = "gs", unit = "km/h" }
gear_down = { key = "gear" }
"""

TREE = """
kind = "{kind}"
[[message]]
tag = "fix"
[message.fields]
latitude_deg = {{ key = "own.position.0" }}
longitude_deg = {{ key = "own.position.1" }}
[[message]]
tag = "air"
[message.fields]
altimeter_hpa = {{ key = "setting", unit = "inHg" }}
"""

BINARY = """
kind = "binary"
[binary]
byte_order = "{order}"
[[message]]
magic = "ZK"
length = 31
checksum = {{ kind = "crc32", at = -4, byte_order = "{order}" }}
[message.fields]
on_ground = {{ at = 2, type = "u8", bit = 3 }}
paused = {{ at = 2, type = "u8", bit = 0, invert = true }}
latitude_deg = {{ at = 3, type = "i32", unit = "semicircles", scale = {semicircle} }}
longitude_deg = {{ at = 7, type = "f64", unit = "rad" }}
bank_deg = {{ at = 15, type = "i24", scale = 0.001, sign = -1 }}
altitude_ft = {{ at = 18, type = "f32", unit = "m", missing = -9999 }}
time_s = {{ at = 22, type = "u8", wraps_at = 256 }}
aircraft = {{ at = 23, type = "text", length = 4 }}
"""

RECORDS = """
kind = "records"
[records]
prefix = "ROWS"
skip = 1
values = 4
[[message]]
[message.fields]
latitude_deg = { group = 9, item = 0 }
altitude_ft = { group = 9, item = 2 }
pitch_deg = { group = 4, item = 3, missing = -999 }
"""


def record(number: int, *values: float) -> bytes:
    """Return one record."""
    return struct.pack("<i4f", number, *values)


def test_pairs() -> None:
    """Known keys are read with their units, others skipped, an empty value is not told; 185.2 km/h is 100 kt."""
    made = decoder(PAIRS)

    assert [{"groundspeed_kt": pytest.approx(100.0), "gear_down": True}] == made.decode(b"gs: 185.2;x:9; gear:on\n")
    assert [{"gear_down": False}] == made.decode(b"gs:;gear:0")


@pytest.mark.parametrize(("kind", "pack"), [("json", lambda t: json.dumps(t).encode()), ("msgpack", msgpack.packb)])
def test_trees(kind: str, pack) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001 - any packer
    """Paths go through maps and lists, the tag picks the message; 29.92 inHg is 1013.21 hPa (NIST SP 811)."""
    made = decoder(TREE.format(kind=kind))

    assert [{"latitude_deg": 1.5, "longitude_deg": -2}] == (
        made.decode(pack({"type": "fix", "own": {"position": [1.5, -2]}}))
    )
    assert [{"altimeter_hpa": pytest.approx(1013.21, abs=0.005)}] == made.decode(
        pack({"type": "air", "setting": 29.92})
    )


@pytest.mark.parametrize("order", ["little", "big"])
def test_binary(order: str) -> None:
    """Widths, orders, bits, scale, sign, missing values, wrapping clocks, names and checksums."""
    made = decoder(BINARY.format(order=order, semicircle=2.0**-31))
    mark = "<" if order == "little" else ">"
    bank = (-30_500).to_bytes(3, "little" if order == "little" else "big", signed=True)

    def pack(seconds: int) -> bytes:
        body = b"ZK" + bytes([0b1000]) + struct.pack(f"{mark}id", 2**30, 0.5) + bank
        body += struct.pack(f"{mark}fB", -9999.0, seconds) + b"ZZ1\0"
        return body + struct.pack(f"{mark}I", zlib.crc32(body))

    made.decode(pack(250))

    assert [
        {
            "on_ground": True,
            "paused": True,
            "latitude_deg": 90.0,
            "longitude_deg": pytest.approx(28.64788976),
            "bank_deg": 30.5,
            "time_s": 260.0,
            "aircraft": "ZZ1",
        }
    ] == made.decode(pack(4))


def test_records() -> None:
    """Groups come in any order, unknown ones are skipped, and a missing value leaves its field out."""
    datagram = b"ROWS*" + record(77, 1, 1, 1, 1) + record(9, 1.5, 2, 3000, 4) + record(4, 0, 0, 0, -999)

    assert [{"latitude_deg": 1.5, "altitude_ft": 3000.0}] == decoder(RECORDS).decode(datagram)


@pytest.mark.parametrize(
    ("layout", "datagram", "reason"),
    [
        pytest.param(PAIRS, b"a:1;b:2", Reason.FOREIGN, id="no-known-key"),
        pytest.param(PAIRS, b"gs:fast", Reason.SYNTAX, id="no-number"),
        pytest.param(TREE.format(kind="json"), b'{"type": "fix"', Reason.SYNTAX, id="cut-json"),
        pytest.param(TREE.format(kind="json"), b"[" * 60_000, Reason.SYNTAX, id="deep-json"),
        pytest.param(TREE.format(kind="json"), b"17", Reason.FOREIGN, id="no-tree"),
        pytest.param(TREE.format(kind="json"), b'{"type": "x"}', Reason.FOREIGN, id="unknown-tag"),
        pytest.param(TREE.format(kind="msgpack"), b"\xdf\xff\xff\xff\xff", Reason.SYNTAX, id="cut-msgpack"),
        pytest.param(TREE.format(kind="msgpack"), b"\x91" * 60_000, Reason.SYNTAX, id="deep-msgpack"),
        pytest.param(BINARY.format(order="little", semicircle=1), b"XX" + bytes(29), Reason.FOREIGN, id="magic"),
        pytest.param(BINARY.format(order="little", semicircle=1), b"ZK" + bytes(28), Reason.LENGTH, id="length"),
        pytest.param(BINARY.format(order="little", semicircle=1), b"ZK" + bytes(29), Reason.CHECKSUM, id="checksum"),
        pytest.param(RECORDS, b"ROWS*" + bytes(19), Reason.LENGTH, id="part-of-a-record"),
        pytest.param(RECORDS, b"COLS*" + bytes(20), Reason.FOREIGN, id="prefix"),
    ],
)
def test_refusals(layout: str, datagram: bytes, reason: Reason) -> None:
    """What can't be used is refused by a named reason."""
    with pytest.raises(RejectError) as refused:
        decoder(layout).decode(datagram)

    assert reason is refused.value.reason


def test_a_wrong_length_is_told_with_the_right_one() -> None:
    """Exactly so many bytes, or as many as the fields need."""
    exact = BINARY.format(order="little", semicircle=1)
    with pytest.raises(RejectError) as refused:
        decoder(exact).decode(b"ZK" + bytes(28))
    with pytest.raises(RejectError) as too_short:
        decoder(exact.replace("length = 31\n", "")).decode(b"ZK")

    assert "30 bytes, the layout has 31" == refused.value.detail
    assert "2 bytes, the layout has 27 or more" == too_short.value.detail


@pytest.mark.parametrize(
    ("layout", "complaint"),
    [
        pytest.param(PAIRS.replace("key = ", "column = "), "line 9.*of kind pairs says key", id="wrong-place"),
        pytest.param(PAIRS + '[text]\ndelimiter = ","', "line 11.*has no such table", id="wrong-table"),
        pytest.param(
            BINARY.format(order="little", semicircle=1).replace("crc32", "crc31"), "did you mean crc32", id="checksum"
        ),
        pytest.param(
            BINARY.format(order="little", semicircle=1).replace('"f32"', '"f23"'),
            "line 16: .*altitude_ft.type",
            id="type",
        ),
        pytest.param(
            BINARY.format(order="little", semicircle=1).replace("length = 31", "length = 25"),
            "fields.aircraft: reaches 2 bytes past the message's length, 25",
            id="length",
        ),
    ],
)
def test_layout_errors(layout: str, complaint: str) -> None:
    """A layout that contradicts itself is refused in a line that says where."""
    with pytest.raises(LayoutError, match=complaint):
        decoder(layout)
