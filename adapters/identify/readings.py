"""Bytes read as numbers, at every byte as every type, and which of these can be measured ones."""

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.uint8]

TYPES = {
    "f64": "f8",
    "f32": "f4",
    "u64": "u8",
    "i32": "i4",
    "u32": "u4",
    "i16": "i2",
    "u16": "u2",
    "i8": "i1",
    "u8": "u1",
}
ORDERS = {"little": "<", "big": ">"}
SCREEN = 400
"""Samples for the first look."""
LOW_BYTE = 256.0
"""A wider whole number whose lowest byte never varies is a narrower one, read with its neighbours."""
LARGEST, SMALLEST = 1e12, 1e-6
ROUGH = 0.1
"""Of a measured number, the steps between samples vary by less than this share of the whole variation."""


def read(matrix: Matrix, at: int, code: str) -> NDArray[np.float64]:
    """Return the numbers that stand at a byte, as floats."""
    size = int(code[2])
    with np.errstate(all="ignore"):
        return np.ascontiguousarray(matrix[:, at : at + size]).view(code)[:, 0].astype(np.float64)


def plausible(values: NDArray[np.float64], *, floating: bool) -> bool:
    """Say whether these can be measured numbers: finite, of a size that people use, and not all the same."""
    if not np.isfinite(values).all() or values.min() == values.max():
        return False
    if not floating:
        return len(values) < SCREEN / 10 or np.abs(values).max() < LOW_BYTE or np.ptp(values % LOW_BYTE) > 0.0
    size = np.abs(values)
    usual = (size < LARGEST) & ((size > SMALLEST) | (size == 0.0))
    return bool(size.max() < LARGEST and usual.mean() > 0.5)  # noqa: PLR2004 - a vertical speed passes through tiny values


def rough(values: NDArray[np.float64]) -> bool:
    """Say whether the values jump about like noise; the wrap of a direction is one jump and no noise."""
    spread = np.ptp(values)
    if spread == 0.0:
        return False
    steps = np.abs(np.diff(values))
    calm = steps[steps < 0.5 * spread]
    return bool(len(calm) < 0.9 * len(steps) or calm.mean() > ROUGH * spread)
