"""Numbers in bytes: every width, both orders."""

import struct
from collections.abc import Callable
from typing import Any

Unpack = Callable[[bytes], Any]
"""Takes a whole datagram, returns the number; the caller has checked the length."""

CODES = {
    "u8": "B",
    "i8": "b",
    "u16": "H",
    "i16": "h",
    "u32": "I",
    "i32": "i",
    "u64": "Q",
    "i64": "q",
    "f16": "e",
    "f32": "f",
    "f64": "d",
}
THREE_BYTES = ("u24", "i24")


def order_mark(byte_order: str) -> str:
    """Return struct's sign for a byte order."""
    return "<" if byte_order == "little" else ">"


def size_of(kind: str) -> int:
    """Return how many bytes a number takes."""
    return 3 if kind in THREE_BYTES else struct.calcsize(f"<{CODES[kind]}")


def unpacker(kind: str, *, at: int, byte_order: str) -> Unpack:
    """Return the function that reads a number of the kind at a byte."""
    if kind in THREE_BYTES:
        order, signed = ("little" if byte_order == "little" else "big"), kind == "i24"
        return lambda datagram: int.from_bytes(datagram[at : at + 3], order, signed=signed)  # type: ignore[arg-type]  # one of the two words
    read = struct.Struct(order_mark(byte_order) + CODES[kind]).unpack_from
    return lambda datagram: read(datagram, at)[0]
