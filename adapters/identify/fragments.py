"""Which readings of the same bytes are numbers, and which are only parts of one or mixtures of two.

The upper half of a float rises and falls with it, and read as a whole number it passes for a pitch, an airspeed or a
part of a position. What tells is how the bytes of a datagram are best cut into numbers: each is foretold from the two
before it, and a cut is the better the fewer bits are left over in all (the shortest description).

Saved      8 bits a byte, less the mean of log2(1 + |left over| / step). A byte in no reading saves what its values,
           by how often each comes, need less than 8; as much as bytes drawn at random would save counts for nothing
Step       one, or of a float the last place at its size; of lowest bits that are always zero the first that is not
Left over  the first or the second difference, whichever is the smaller on the whole
Kept       every reading that stands in a cut which saves at most MARGIN bits less than the best one. Where nothing
           tells, as when the upper bytes never change, both readings stay, and the physics decides. But not the
           lower bytes that began anew while the whole number went on
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from otherseat.adapters.identify.columns import Raw, is_low_part
from otherseat.adapters.identify.readings import ORDERS, TYPES, Matrix, read

MARGIN = 2.0
"""At one and a half the first true numbers were lost, of 600 fields in exports drawn at random."""
BYTE = 8.0
LEAST_ROWS = 60
"""Of fewer datagrams nothing can be said by bits."""


def only_numbers(found: Sequence[Raw], runs: Sequence[Matrix]) -> list[Raw]:
    """Return the readings without those that are fragments of others; runs: datagrams in stretches, as they came."""
    if not found or sum(len(run) for run in runs) < LEAST_ROWS:
        return list(found)
    cuts = [best_in([raw for raw in found if raw.order == order or is_byte(raw)], runs) for order in ORDERS]
    best = max(total for total, _ in cuts)
    kept = {id(raw) for total, readings in cuts if total > best - MARGIN for raw in readings}
    left = [raw for raw in found if id(raw) in kept]
    return [raw for raw in left if not any(wraps_inside(raw, other) for other in left)]


def wraps_inside(part: Raw, whole: Raw) -> bool:
    """Say whether a reading begins anew at its end where a wider one, whose lower bytes it is, just goes on.

    It happens too seldom to weigh anything in the bits a datagram, and is a proof.
    """
    if not is_low_part(part, whole):
        return False
    half = 2.0 ** (int(str(part.place["type"])[1:]) - 1)
    jumps = np.abs(np.diff(part.values)) > half
    return bool(jumps.any() and np.all(np.abs(np.diff(whole.values))[jumps] < half))


def is_byte(raw: Raw) -> bool:
    """Say whether this is a number of one byte, which has no byte order."""
    start, end = span_of(raw)
    return end - start == 1


def best_in(found: Sequence[Raw], runs: Sequence[Matrix]) -> tuple[float, list[Raw]]:
    """Return what the best cut into these readings saves, and the readings of it and of those that are as good."""
    length = runs[0].shape[1]
    spans = [span_of(raw) for raw in found]
    saved = [saves(raw, runs) for raw in found]
    upto, after = best_cuts(length, spans, saved, of_single_bytes(runs))
    best = upto[length]
    kept = [
        raw
        for raw, (start, end), bits in zip(found, spans, saved, strict=True)
        if upto[start] + bits + after[end] >= best - MARGIN
    ]
    return best, kept


def span_of(raw: Raw) -> tuple[int, int]:
    """Return the first byte, and that behind the last."""
    start = int(raw.place["at"])
    return start, start + int(str(raw.place["type"])[1:]) // 8


def saves(raw: Raw, runs: Sequence[Matrix]) -> float:
    """Return how many bits a datagram this reading saves."""
    start, end = span_of(raw)
    code = ORDERS[raw.order] + TYPES[str(raw.place["type"])]
    values = [read(run, start, code) for run in runs]
    step = 2.0 ** zero_bits([run[:, start:end] for run in runs], raw.order)
    left = min(float(np.mean(np.concatenate([left_over(v, n, code, step) for v in values]))) for n in (1, 2))
    return BYTE * (end - start) - left


def left_over(values: NDArray[np.float64], order: int, code: str, step: float) -> NDArray[np.float64]:
    """Return the bits that are needed at each sample for what the ones before it did not foretell."""
    off = np.abs(np.diff(values, order)) / step
    if code[1] != "f":
        return np.asarray(np.log2(1.0 + off))
    size = np.max([np.abs(values[n : len(values) - order + n]) for n in range(order + 1)], axis=0)
    last_place = np.spacing(size.astype(code[1:])).astype(np.float64)
    return np.asarray(np.log2(1.0 + off / last_place))


def zero_bits(parts: Sequence[Matrix], order: str) -> int:
    """Return how many of the lowest bits are always zero, as in a float that was one of half the size before."""
    used = np.bitwise_or.reduce([np.bitwise_or.reduce(part, axis=0) for part in parts])
    number = int.from_bytes(used.tobytes(), "big" if order == "big" else "little")
    return (number & -number).bit_length() - 1 if number else 0


def of_single_bytes(runs: Sequence[Matrix]) -> list[float]:
    """Return how many bits each byte saves by itself, because some values come more often than others."""
    rows = np.concatenate(runs)
    chance = BYTE - entropy_by_chance(len(rows))
    saved = (BYTE - entropy(np.bincount(column, minlength=256)) for column in rows.T)
    return [BYTE * max(0.0, bits - chance) / (BYTE - chance) for bits in saved]


def entropy(counts: NDArray[np.int64]) -> float:
    """Return the bits of one of these values, by how often each came."""
    share = counts[counts > 0] / counts.sum()
    return float(-np.sum(share * np.log2(share)))


def entropy_by_chance(samples: int) -> float:
    """Return the entropy that so few samples of a byte of no pattern have: each value comes by Poisson's law."""
    mean = samples / 256.0
    times = np.arange(1, samples + 1)
    log_share = times * math.log(mean) - mean - np.cumsum(np.log(times))
    return math.log2(samples) - float(np.sum(np.exp(log_share) * times * np.log2(times))) / mean


def best_cuts(
    length: int, spans: Sequence[tuple[int, int]], saved: Sequence[float], single: Sequence[float]
) -> tuple[list[float], list[float]]:
    """Return how much the best cut saves of the bytes before each byte, and of those from it on."""
    ending: list[list[int]] = [[] for _ in range(length + 1)]
    beginning: list[list[int]] = [[] for _ in range(length + 1)]
    for index, (start, end) in enumerate(spans):
        ending[end].append(index)
        beginning[start].append(index)
    upto, after = [0.0] * (length + 1), [0.0] * (length + 1)
    for at in range(1, length + 1):
        plain = upto[at - 1] + single[at - 1]
        upto[at] = max([plain, *(upto[spans[i][0]] + saved[i] for i in ending[at])])
    for at in range(length - 1, -1, -1):
        plain = after[at + 1] + single[at]
        after[at] = max([plain, *(after[spans[i][1]] + saved[i] for i in beginning[at])])
    return upto, after
