"""The stream's own clock: the column that runs evenly with the time of receipt, at real time or at another pace.

Real time   the slope is one of the usual units a second
Other pace  the slope is that many times a unit, and it is no counter of datagrams. Whoever asks must let the movement
            judge: by the right clock the position moves as fast as the speed column says
Bytes       without a sign, and with the zero bytes above it that it will go on into within a day
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.signals import Array
from otherseat.adapters.identify.verdict import Certainty, Claim

CLOCKS = {"s": 1.0, "ms": 1e3, "us": 1e6, "ns": 1e9}
SAME_PACE = 0.003
EVEN_S = 0.2
"""Receipt times of a busy machine are that far off."""
STALLED = 0.1
"""Such a part of the receipt times may be farther off: of a machine that stalls, and then reads what waited."""
FASTEST = 30.0
"""So many times faster or slower at most: the units lie a thousand apart, so that only one of them fits."""
MOST_PACES = 4
DAY_S = 86_400.0


class Timebase(NamedTuple):
    """One way to tell the time of every sample."""

    times_s: Array
    clock: Claim | None
    """None: the times of receipt."""
    pace: float = 1.0
    """Seconds of the clock in a second of receipt."""


class _Even(NamedTuple):
    column: Column
    per_s: float
    error_s: float


def real_time(columns: Sequence[Column], received_s: Array) -> Timebase:
    """Return the clock that runs with the times of receipt, or these times themselves when there is none."""
    best: tuple[float, Claim] | None = None
    for column, per_s, error_s in _even(columns, received_s):
        for unit, usual_per_s in CLOCKS.items():
            if abs(per_s / usual_per_s - 1.0) < SAME_PACE and (best is None or error_s < best[0]):
                why = f"runs with the time of receipt, within {max(error_s * 1e3, 1.0):.0f} ms"
                best = (error_s, Claim("time_s", lasting(column, per_s), unit, Certainty.SURE, why))
    return Timebase(received_s, None) if best is None else Timebase(_seconds(best[1], received_s), best[1])


def other_paces(columns: Sequence[Column], received_s: Array) -> list[Timebase]:
    """Return the columns that would be clocks at another pace, the most even first."""
    found = []
    clocks = [column for column in columns if not column.counts]
    for column, per_s, _ in sorted(_even(clocks, received_s), key=lambda each: each.error_s):
        for unit, usual_per_s in CLOCKS.items():
            pace = per_s / usual_per_s
            if 1.0 / FASTEST < pace < FASTEST:
                why = f"runs {pace:.3g} times as fast as the time of receipt, and the position moves by it as it should"
                claim = Claim("time_s", lasting(column, per_s), unit, Certainty.SURE, why)
                found.append(Timebase(_seconds(claim, received_s * pace), claim, pace))
    return found[:MOST_PACES]


def lasting(column: Column, per_s: float) -> Column:
    """Return the column in as many bytes as it takes to run for a day, where those above it are zero.

    Read in two a clock in milliseconds begins anew after 65 s, and it has no sign.
    """
    for place in column.unsigned:
        if 2.0 ** int(str(place["type"])[1:]) > DAY_S * per_s:
            return replace(column, place=place)
    return replace(column, place=column.unsigned[-1]) if column.unsigned else column


def _seconds(claim: Claim, received_s: Array) -> Array:
    """Return the clock's times, or those of receipt when it is so coarse that two samples have the same."""
    times_s: Array = claim.column.values * claim.scale / CLOCKS[claim.unit]
    return times_s if np.all(np.diff(times_s) > 0.0) else received_s


def _even(columns: Sequence[Column], received_s: Array) -> Iterator[_Even]:
    """Yield the columns that only grow, by as much in every second."""
    since_s = received_s - received_s[0]
    for column in columns:
        if not np.all(np.diff(column.values) >= 0.0) or np.ptp(column.values) == 0.0:
            continue
        slope, start = np.polyfit(since_s, column.values, 1)
        off = np.abs(column.values - slope * since_s - start)
        usual = off <= np.quantile(off, 1.0 - STALLED)
        slope, start = np.polyfit(since_s[usual], column.values[usual], 1)
        error_s = float(np.std((column.values - slope * since_s - start)[usual])) / max(abs(slope), 1e-12)
        if error_s < EVEN_S:
            yield _Even(column, float(slope), error_s)
