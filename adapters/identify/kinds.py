"""The kinds of message among datagrams of one length, told by a byte near the front that names them.

A byte that keeps switching between few values is no tag yet: the low byte of a time or of a counter does so too. What
tells is the rest. In several kinds other numbers stand at the same bytes, and they jump with every change of kind; in
one kind they run on over all datagrams, in smaller steps than over those with the same value of that byte.

Runs on  a number at a byte, smooth over all datagrams, whose steps are no larger than within each value
Torn     a byte that is part of a smooth number within a value, or that is another constant in each, and part of no
         number that runs on. The numbers that run on through the byte itself say nothing: it is no tag of theirs
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from otherseat.adapters.identify.readings import ORDERS, TYPES, Matrix, plausible, read, rough

Group = list[tuple[float, bytes]]

MOST_KINDS = 8
TAG_BYTES = 8
SWITCHES = 0.2
RAREST = 0.02
"""Of the datagrams."""
RUNS, RUN = 40, 50
"""So many stretches of so many datagrams in a row are looked at: what is thinned out may be all of one kind."""
LOOKED_AT = 512
"""Bytes of a datagram."""
LEAST_OF_A_KIND = 8
TORN = 0.1
"""Of the bytes with numbers in them; chance makes a byte or two of one kind look torn."""


def kinds(group: Sequence[tuple[float, bytes]]) -> tuple[int | None, list[Group]]:
    """Return the datagrams of one length apart by a byte near the front that names their kind.

    Also where that byte stands; None, and all of them together, when there is none.
    """
    switching = [at for at in range(min(TAG_BYTES, len(group[0][1]))) if switches([d[at] for _, d in group])]
    tag_at = tag_of(in_stretches(group), switching) if switching else None
    if tag_at is None:
        return None, [list(group)]
    parts: dict[int, Group] = defaultdict(list)
    for item in group:
        parts[item[1][tag_at]].append(item)
    return tag_at, list(parts.values())


def tag_of(matrix: Matrix, switching: Sequence[int]) -> int | None:
    """Return the byte that tells the kinds apart, so that no other one is left to do; None when there is one kind."""
    torn = {at: torn_share(matrix, at) for at in switching}
    telling = sorted((at for at in switching if torn[at] > TORN), key=lambda at: -torn[at])
    for at in telling:
        left = (torn_share(part, other) for part in by_value(matrix, at) for other in telling if other != at)
        if all(share <= TORN for share in left):
            return at
    return next(iter(telling), None)


def switches(values: Sequence[int]) -> bool:
    """Say whether a byte keeps switching between few values, none of them rare."""
    count = Counter(values)
    if not 1 < len(count) <= MOST_KINDS or min(count.values()) <= RAREST * len(values):
        return False
    return sum(a != b for a, b in pairwise(values)) > SWITCHES * len(values)


def in_stretches(group: Sequence[tuple[float, bytes]]) -> Matrix:
    """Return some stretches of the datagrams, each whole, as rows of bytes."""
    return np.concatenate(stretches(np.array([np.frombuffer(d[:LOOKED_AT], dtype=np.uint8) for _, d in group])))


def stretches(matrix: Matrix) -> list[Matrix]:
    """Return some stretches of the rows, each whole; all of them as one when they are few."""
    if len(matrix) <= RUNS * RUN:
        return [matrix]
    starts = np.linspace(0, len(matrix) - RUN, RUNS).astype(int)
    return [matrix[start : start + RUN] for start in starts]


def by_value(matrix: Matrix, position: int) -> list[Matrix]:
    """Return the datagrams apart by the value of a byte, without what is too rare to be looked at."""
    every = [matrix[matrix[:, position] == value] for value in np.unique(matrix[:, position])]
    return [part for part in every if len(part) >= LEAST_OF_A_KIND]


def torn_share(matrix: Matrix, position: int) -> float:
    """Return how much of the numbers is another one for each value of this byte, as a share of their bytes."""
    parts = by_value(matrix, position)
    if len(parts) < 2:  # noqa: PLR2004 - one kind has nothing to be told from
        return 0.0
    inside, whole = np.zeros((2, matrix.shape[1]), dtype=bool)
    constant = np.array([np.all(part == part[0], axis=0) for part in parts]).all(axis=0)
    inside |= constant & np.any([part[0] != parts[0][0] for part in parts], axis=0)
    own = np.arange(matrix.shape[1]) == position
    for span, code in places(matrix.shape[1]):
        within = [read(part, span.start, code) for part in parts]
        inside[span] |= any(measured(values, code) for values in within)
        if runs_on(read(matrix, span.start, code), within, code):
            whole[span] = True
            if span.start <= position < span.stop:
                own[span] = True
    return float((inside & ~own & ~whole).sum()) / max(1.0, float(inside.sum()))


def places(length: int) -> Iterator[tuple[slice, str]]:
    """Yield the bytes and the code of every number that may stand in so many bytes."""
    for code in TYPES.values():
        size = int(code[1])
        for mark in ORDERS.values() if size > 1 else "<":
            yield from ((slice(at, at + size), mark + code) for at in range(length - size + 1))


def measured(values: NDArray[np.float64], code: str) -> bool:
    """Say whether these are smooth, and may be measured."""
    return plausible(values, floating=code[1] == "f") and not rough(values)


def runs_on(whole: NDArray[np.float64], within: Sequence[NDArray[np.float64]], code: str) -> bool:
    """Say whether a number runs on over all datagrams as smoothly as over those of each kind."""
    if not measured(whole, code):
        return False
    steps = np.concatenate([np.abs(np.diff(values)) for values in within])
    return bool(np.abs(np.diff(whole)).mean() <= steps.mean())
