"""Which column is the altitude where none is the slope of another: a stream without a vertical speed.

Could be   from -500 to 60,000 ft and slower than 6,000 ft/min in feet or in metres, smooth, 150 ft or more of change
Is one     the nose goes with its slope as with a climb (pitch = climb angle + angle of attack), or the slope is
           speed * sin(a column that is the climb angle), or a pressure falls with it, or it stood at the airfield's
           elevation: the laws of scale.py, which give the unit with it. It is then likely, never sure
Open       no such law: every column that could be one, goes up and down again, is level in between, and is not
           explained by turning, by the speed or by the movement itself, in feet and in metres, for a person to choose.
           What drives the slope of another, as an engine's number drives the height, is no altitude
Bytes      of a binary stream only numbers with decimals are looked at, as altitude and as what tells it: bytes read as
           whole numbers are often part of a wider one, and in one of all their scales they are a height by chance
Not here   scaled whole numbers
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from otherseat.adapters.identify.air import AirStudy
from otherseat.adapters.identify.columns import Column, has_decimals
from otherseat.adapters.identify.guesses import HEIGHT_UNITS, Reading
from otherseat.adapters.identify.position import Search
from otherseat.adapters.identify.scale import Judge, Vote
from otherseat.adapters.identify.signals import Array, correlation
from otherseat.adapters.identify.verdict import Certainty, Claim
from otherseat.adapters.identify.vertical import Climb
from otherseat.advisories.units import M_PER_FT

LOWEST_M, HIGHEST_M = -500.0 * M_PER_FT, 60_000.0 * M_PER_FT
FASTEST_MPS = 6_000.0 * M_PER_FT / 60.0
LEAST_CHANGE_M = 150.0 * M_PER_FT
LEAST_BACK_M = 50.0 * M_PER_FT
"""Up as well as down: fuel, time and distance only go one way."""
ROUGHEST = 0.05
"""Rms of the samples about their mean over a window, as a share of the whole change."""
WILDEST_MPS2 = 10.0
LEVEL = 0.3
"""Of the fastest climb or descent: less is level, or nearly."""
LEVEL_SHARE = 0.05
EXPLAINED = 0.9
"""Correlation with something else."""
DRIVEN = 0.8
DISTANCE_OFF = 0.1
"""A distance to a place changes at the speed over the ground at most, and reaches it."""
ALIKE = 0.99
SAME_RATE = 0.05
SETTLES = "it settles itself with the pitch in the stream: climb, then descend, half a minute each, level in between"
READINGS = tuple(Reading(unit) for unit in HEIGHT_UNITS)


@dataclass(frozen=True, slots=True, eq=False)
class Lone:
    """One column that could be an altitude."""

    column: Column
    raw: Array
    """On the study's windows, in the column's own steps, as is the rate."""
    rate: Array
    readings: tuple[Reading, ...]
    vote: Vote | None = None

    def climb(self, reading: Reading) -> Climb:
        """Return it as a climb without a vertical speed."""
        factor = reading.factor()
        return Climb(self.column, reading, None, None, 1, 0.0, self.raw * factor, self.rate * factor)


def lone_altitudes(search: Search, air: AirStudy, judge: Judge, told: Mapping[str, str]) -> list[Lone]:
    """Return the columns that are altitudes by a law; without any those that could be, each in one or more readings.

    told: units by field, as a person said; columns that are no altitude in that unit are left out.
    """
    unit = told.get("altitude_ft")
    judge.decimals_only = any(column.span() for column in search.columns)
    found = []
    for index, column in enumerate(search.columns):
        if air.taken(column) or not has_decimals(column):
            continue
        raw, rate = search.means[:, index], search.windows.slope(column.values)
        if not is_smooth(search, column, raw, rate):
            continue
        readings = tuple(r for r in READINGS if unit in {None, r.unit} and is_possible(raw, rate, r))
        if readings and changes_enough(raw):
            found.append(Lone(column, raw, rate, readings, judge.known(column, READINGS)))
    by_law = [lone for lone in found if lone.vote and lone.vote.reading in lone.readings]
    if by_law:
        return by_law
    open_ones = [lone for lone in found if not lone.vote and comes_back(lone) and not is_explained(lone, air)]
    return [one for one in open_ones if not any(correlation(one.raw, other.rate) > DRIVEN for other in open_ones)]


def is_smooth(search: Search, column: Column, raw: Array, rate: Array) -> bool:
    """Say whether a column neither jumps nor trembles, nor changes its pace as no aircraft could."""
    inside = search.windows.inside
    times_s = search.windows.times_s[inside]
    spread = float(np.ptp(raw))
    if spread == 0.0 or float(np.std(column.values[inside] - raw)) > ROUGHEST * spread:
        return False
    pulls = np.abs(np.gradient(rate, times_s)) * min(reading.factor() for reading in READINGS)
    return bool(np.quantile(pulls, 0.98) < WILDEST_MPS2)


def is_possible(raw: Array, rate: Array, reading: Reading) -> bool:
    """Say whether an aircraft's altitude could be and change so."""
    metres = raw * reading.factor()
    return bool(
        metres.min() > LOWEST_M and metres.max() < HIGHEST_M and np.abs(rate).max() * reading.factor() < FASTEST_MPS
    )


def changes_enough(raw: Array) -> bool:
    """Say whether it changes as much as is wanted of an altitude, in the largest unit that it may be in.

    Wanted of each unit it would leave the larger one as the only choice for a small climb.
    """
    return float(np.ptp(raw)) * max(reading.factor() for reading in READINGS) > LEAST_CHANGE_M


def comes_back(lone: Lone) -> bool:
    """Say whether it goes up as well as down, and is level for a while."""
    metres = lone.raw * max(reading.factor() for reading in READINGS)
    up_m = float(np.max(metres - np.minimum.accumulate(metres)))
    down_m = float(np.max(np.maximum.accumulate(metres) - metres))
    pace = np.abs(lone.rate)
    level = float(np.mean(pace < LEVEL * np.quantile(pace, 0.98)))
    return min(up_m, down_m) > LEAST_BACK_M and level > LEVEL_SHARE


def is_explained(lone: Lone, air: AirStudy) -> bool:
    """Say whether turning, the speed or the movement explains the column: a direction, an airspeed, a distance."""
    windows, velocity = air.search.windows, air.position.velocity
    turning = np.gradient(np.unwrap(np.angle(velocity)), windows.times_s[windows.inside])
    if abs(correlation(lone.rate, turning)) > EXPLAINED or correlation(lone.raw, air.position.speed) > EXPLAINED:
        return True
    if any(fit.speed is lone.column for fit in air.airspeed_fits()):
        return True
    reached = float(np.quantile(np.abs(lone.rate) / np.maximum(air.position.speed, 1.0), 0.98))
    if any(abs(reached * reading.factor() - 1.0) < DISTANCE_OFF for reading in READINGS):
        return True
    table = np.stack([velocity.real, velocity.imag], axis=1)
    moved = table @ np.linalg.lstsq(table, lone.rate, rcond=None)[0]
    return correlation(lone.rate, moved) > EXPLAINED


def are_alike(lones: Sequence[Lone]) -> bool:
    """Say whether columns that are altitudes by a law go up and down together in one unit, as those over a plain do."""
    first = lones[0]
    power = float(first.rate @ first.rate)
    return all(
        lone.vote is not None
        and first.vote is not None
        and lone.vote.reading == first.vote.reading
        and correlation(lone.rate, first.rate) > ALIKE
        and abs(float(lone.rate @ first.rate) / power - 1.0) < SAME_RATE
        for lone in lones
    )


def claim_each(lones: Sequence[Lone], air: AirStudy) -> None:
    """Claim every column that could be the altitude, each open, and say that there are several."""
    for lone in lones:
        why = "it could be the altitude, and so could another column"
        first, *others = (
            Claim("altitude_ft", lone.column, reading.unit, Certainty.OPEN, why)
            for reading in ((lone.vote.reading,) if lone.vote else lone.readings)
        )
        air.claims.append(first.among(others))
    labels = ", ".join(f"{lone.column.label()} ({float(lone.column.values[-1]):,.0f} at the end)" for lone in lones)
    settles = "the laws of flight take each for one" if lones[0].vote else SETTLES
    air.cannot_tell.append(
        f"which column is the altitude: {labels} could be it, and no column is the slope of one; {settles}. None is in "
        "the layout until you choose"
    )
