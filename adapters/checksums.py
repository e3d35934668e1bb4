"""The checksums that a binary layout may name: bytes in, number out, with the bytes it takes.

Names, polynomials and check values as in the public catalogue of parametrised CRC algorithms (ITU-T V.42 for
CRC-16/IBM-SDLC, also called X.25; "123456789" gives 0x29B1 for ccitt-false, 0x906E for x25).
"""

import zlib
from collections.abc import Callable
from functools import reduce
from operator import xor

X25_POLYNOMIAL = 0x8408
CCITT_POLYNOMIAL = 0x1021


def x25_table() -> list[int]:
    """Return the 256 steps of the reflected CRC-16 of X.25."""
    table = list(range(256))
    for _ in range(8):
        table = [value >> 1 ^ (X25_POLYNOMIAL if value & 1 else 0) for value in table]
    return table


def ccitt_table() -> list[int]:
    """Return the 256 steps of the unreflected CRC-16 with the polynomial of CCITT."""
    table = [value << 8 for value in range(256)]
    for _ in range(8):
        table = [(value << 1 ^ (CCITT_POLYNOMIAL if value & 0x8000 else 0)) & 0xFFFF for value in table]
    return table


X25_TABLE = x25_table()
CCITT_TABLE = ccitt_table()


def x25_raw(data: bytes, crc: int = 0xFFFF) -> int:
    """Return the reflected CRC-16 without its final inversion, as MAVLink sends it."""
    for byte in data:
        crc = crc >> 8 ^ X25_TABLE[(crc ^ byte) & 0xFF]
    return crc


def ccitt_false(data: bytes) -> int:
    """Return CRC-16/CCITT-FALSE."""
    crc = 0xFFFF
    for byte in data:
        crc = (crc << 8 & 0xFFFF) ^ CCITT_TABLE[crc >> 8 ^ byte]
    return crc


CHECKSUMS: dict[str, tuple[Callable[[bytes], int], int]] = {
    "xor8": (lambda data: reduce(xor, data, 0), 1),
    "sum8": (lambda data: sum(data) & 0xFF, 1),
    "sum16": (lambda data: sum(data) & 0xFFFF, 2),
    "crc16-x25": (lambda data: x25_raw(data) ^ 0xFFFF, 2),
    "crc16-mcrf4xx": (x25_raw, 2),
    "crc16-ccitt-false": (ccitt_false, 2),
    "crc32": (zlib.crc32, 4),
    "adler32": (zlib.adler32, 4),
}
