"""The shapes that a layout can describe, each with a stream packed by the standard library or the format's own."""

import json
import struct
import zlib
from collections.abc import Callable

import msgpack

from tests.adapters.streams import Rows, Stream

FIELDS = ("time_s", "latitude_deg", "longitude_deg", "altitude_ft", "indicated_airspeed_kt", "heading_true_deg")


def of(pack: Callable[[dict[str, float]], bytes]) -> Callable[[Rows], Stream]:
    """Return the stream that packs every moment."""
    return lambda moments: [(m["time_s"], pack({name: m[name] for name in FIELDS})) for m in moments]


def text(m: dict[str, float]) -> bytes:
    """Return a tagged line."""
    return ("FIX;" + ";".join(f"{value:.7f}" for value in m.values()) + "\n").encode()


def pairs(m: dict[str, float]) -> bytes:
    """Return key=value."""
    return " ".join(f"{name.split('_')[0]}={value:.7f}" for name, value in m.items()).encode()


def tree(m: dict[str, float]) -> dict[str, object]:
    """Return two levels and a list."""
    return {
        "type": "fix",
        "t": m["time_s"],
        "position": [m["latitude_deg"], m["longitude_deg"]],
        "air": {"feet": m["altitude_ft"], "knots": m["indicated_airspeed_kt"], "heading": m["heading_true_deg"]},
    }


def binary(m: dict[str, float]) -> bytes:
    """Return a big-endian structure with a checksum."""
    body = b"ZKT1" + struct.pack(
        ">dii", m["time_s"], round(m["latitude_deg"] / 180 * 2**31), round(m["longitude_deg"] / 180 * 2**31)
    )
    body += struct.pack(
        ">fHH",
        m["altitude_ft"] * 0.3048,
        round(m["indicated_airspeed_kt"] * 10),
        round(m["heading_true_deg"] / 360 * 2**16) % 2**16,
    )
    return body + struct.pack(">I", zlib.crc32(body))


def records(m: dict[str, float]) -> bytes:
    """Return two numbered records of four floats."""
    first = struct.pack("<i4f", 3, m["latitude_deg"], m["longitude_deg"], m["altitude_ft"], -999)
    second = struct.pack("<i4f", 17, m["indicated_airspeed_kt"], -999, m["heading_true_deg"], -999)
    return b"ROWS\0" + first + second


SHAPES: dict[str, tuple[Callable[[Rows], Stream], list[bytes]]] = {
    "text": (of(text), [b"FIX;;;;;;\n"]),
    "pairs": (of(pairs), [b"time= latitude="]),
    "json": (of(lambda m: json.dumps(tree(m)).encode()), [b'{"type": "fix", "t": null}']),
    "msgpack": (of(lambda m: bytes(msgpack.packb(tree(m)))), [bytes(msgpack.packb({"type": "idle"}))]),
    "binary": (of(binary), [b"ZKT1"]),
    "records": (of(records), [b"ROWS\0" + struct.pack("<i4f", 99, 0, 0, 0, 0)]),
}
