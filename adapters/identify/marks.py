"""What tells one kind of datagram from others, by its bytes: a mark at the front, or the byte that names the kind.

A mark that is too long refuses every datagram on the day that a number goes on: the upper bytes of a counter, of a
time, or of a sender's name and number stay the same while somebody listens for two minutes. One that is too short costs
nothing while the length tells too. So a constant byte is part of the mark only where it is no number's:

Text      four letters or signs at most: what follows a mark may be the sender's name
Other     two bytes at most, the first of them above 127, none of them zero, as no small number begins
Carry     and no byte that may be the upper part of a big-endian number whose lower bytes change: the first byte that
          changes may be in any number of two, four or eight bytes that begins before it. But not when it goes round,
          from its highest value to its lowest, and nothing is carried; not in a number that counts on in the byte
          behind; and not in eight bytes that begin too high for a time or a counter, and unlike a float of usual size
"""

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.uint8]

MOST_TEXT = 4
MOST_OTHER = 2
LEAST = 2
"""Bytes of a mark: one alone is as well a number."""
HIGH = 0x80
PRINTABLE = range(0x21, 0x7F)
BINS = 16
FULL = 6
"""Of the bins of its 256 values, a byte that goes round comes to so many; a clock goes on by as much every time."""
ROUNDS = 2
HALF = 128
COUNTS_ON = 0.98
"""So often a number that counts datagrams, or slower, goes on by nothing or by one."""
WIDE = 8
TIMES = 0x2A
"""The first byte of eight: nanoseconds since 1970 have 0x18 in 2025 and this one in 2065; all other times have less,
but for those in parts of 2^32 of a second since 1900, which have more than 127."""
USUAL_FLOATS = range(0x3E, 0x44)
"""The first byte of an f64, without its sign, from 1e-6 to 1e19."""


def mark_of(matrix: Matrix) -> bytes:
    """Return the first bytes of all of these datagrams that are a mark; none is better than one that is too long."""
    constant = np.all(matrix == matrix[0], axis=0)
    if constant.all():
        return b""
    first = int(np.argmin(constant))
    lead = bytes(matrix[0][: numbers_begin(matrix, first)])
    return text_of(lead) or sync_of(lead)


def text_of(lead: bytes) -> bytes:
    """Return the letters and signs at the front, when they are enough for a mark."""
    length = next((at for at, byte in enumerate(lead) if byte not in PRINTABLE), len(lead))
    return lead[: min(length, MOST_TEXT)] if length >= LEAST else b""


def sync_of(lead: bytes) -> bytes:
    """Return the bytes at the front that are like those by which a receiver finds the beginning."""
    found = lead.partition(b"\0")[0][:MOST_OTHER]
    return found if len(found) >= LEAST and found[0] >= HIGH else b""


def numbers_begin(matrix: Matrix, first: int) -> int:
    """Return where a big-endian number may begin to which the first changing byte belongs; there when to none."""
    if first == 0 or goes_round(matrix[:, first]):
        return first
    begins = [
        at
        for size in (2, 4, WIDE)
        for at in range(max(0, first - size + 1), min(first, matrix.shape[1] - size) + 1)
        if may_be_number(matrix, at, size)
    ]
    return min(begins, default=first)


def goes_round(byte: Matrix) -> bool:
    """Say whether a byte goes through its values and on from the highest to the lowest, as a lowest byte does."""
    values = byte.astype(int)
    jumps = np.abs(np.diff(values)) > HALF
    return bool(jumps.sum() >= ROUNDS and len(set((values // BINS).tolist())) >= FULL)


def may_be_number(matrix: Matrix, at: int, size: int) -> bool:
    """Say whether these bytes may be one whole big-endian number."""
    top = int(matrix[0, at])
    if size == WIDE and TIMES <= top < HIGH and top not in USUAL_FLOATS:
        return False
    end = at + size
    return end == matrix.shape[1] or not counts(matrix[:, max(at, end - 4) : end + 1])


def counts(part: Matrix) -> bool:
    """Say whether bytes that belong together count datagrams, or slower."""
    value = np.zeros(len(part), dtype=np.int64)
    for column in part.T:
        value = value * 256 + column
    steps = np.diff(value)
    on = (steps == 0) | (steps == 1)
    return bool(value[-1] // 256 > value[0] // 256 and on.mean() >= COUNTS_ON)
