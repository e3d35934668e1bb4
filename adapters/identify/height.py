"""Which columns are altitude and vertical speed, in what units, and what stays open.

Pairs       vertical.py: the one column is the slope of the other
Angle       climb_angle.py: or it is a climb angle, while one speed alone was flown. Then it waits for a person
No pair     lone.py: a stream without a vertical speed has an altitude all the same
Units       consistent over all pairs that fit as well: a column has one unit. What is still feet or metres then is
            settled by the laws of scale.py, or by the person
Open        nothing settles it: the claim names every reading, and the layout has them as comments. No height at all
            is safer than one that is wrong by 3.28: checks that need it are silent, and say so
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from otherseat.adapters.identify.air import AirStudy
from otherseat.adapters.identify.climb_angle import Slant, as_read, slant_of
from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import Reading
from otherseat.adapters.identify.lacking import IF_FLOWN
from otherseat.adapters.identify.lone import are_alike, claim_each, lone_altitudes
from otherseat.adapters.identify.position import Search, overlap
from otherseat.adapters.identify.scale import Judge
from otherseat.adapters.identify.signals import Array
from otherseat.adapters.identify.verdict import Certainty, Claim, within_words
from otherseat.adapters.identify.vertical import Climb, climbs

CLOSE = 0.05
"""Pairs that fit worse than the best by less than this are looked at."""
AS_GOOD = 0.01
ALIKE = 0.01
APART_M = 3.0
OTHER_SCALE = 5.0
AGAINST = 1.2
UNJUDGED = 0.6
TOLD = ("altitude_ft", "vertical_speed_fpm")
"""The fields whose unit a person may tell."""
NO_PAIR = (
    "altitude and vertical speed: no column is the slope of another, and none rises and falls as an altitude does; "
    f"climb and descend steadily for half a minute each, level in between{IF_FLOWN}altitude"
)
NO_FLOAT = (
    f"{NO_PAIR} with decimals (f32, f64). One in whole numbers is found only by a vertical speed; without that add it "
    'to the layout by hand, such as altitude_ft = { at = 22, type = "i16", unit = "m" }'
)
"""Of a binary stream."""
WORKED_OUT = "vertical speed: none was found; `otherseat fly` works it out from the altitudes"


@dataclass(frozen=True, slots=True, eq=False)
class Height:
    """What was found out about altitude and vertical speed."""

    climb: Climb
    others: tuple[Climb, ...] = ()
    """The same two columns in the other units that they may be in; none when it is settled."""
    sure: bool = False
    words: str = ""
    chosen: bool = True
    """False: it may be no altitude at all, and waits for a person even with a single reading."""
    slant: Slant | None = None
    """The vertical speed may be a climb angle just as well."""

    @property
    def altitude_m(self) -> Array | None:
        """Return the altitude in metres on the study's windows, None while the unit is open."""
        return None if self.is_open else self.climb.altitude_m

    @property
    def is_open(self) -> bool:
        """Say whether a person has to choose."""
        return bool(self.others) or not self.chosen


def best_height(search: Search, air: AirStudy, judge: Judge, told: Mapping[str, str]) -> Height | None:
    """Return the altitude and vertical speed that fit best, or None; told are units by field, as a person said."""
    free = [i for i, column in enumerate(search.columns) if not air.taken(column)]
    every, doubtful = apart(climbs(search, free), search, air, told)
    if doubtful:
        return doubtful_height(doubtful, search, air, judge, told)
    if not every:
        return lone_height(search, air, judge, told)
    found = [climb for climb in every if as_told(climb, told)]
    if not found:
        air.cannot_tell.append(f"altitude: no column fits as one {in_words(told)}")
        return None
    close = consistent([climb for climb in found if climb.misfit < found[0].misfit + CLOSE], found[0].misfit + AS_GOOD)
    readings = readings_of(close)
    judge.rates = list({id(climb.rate): climb.rate for climb in close if climb.rate}.values())
    ranked = sorted(close, key=lambda climb: 5.0 * climb.misfit + doubt(climb, judge, readings))
    best = ranked[0]
    rivals = tuple(
        climb for climb in ranked if climb.altitude is best.altitude and climb.rate is best.rate and climb is not best
    )
    vote = judge.settled(best.altitude, readings[id(best.altitude)])
    if told:
        return Height(highest(best, close, air), rivals, sure=not rivals, words=f"{in_words(told)}, as you said")
    if rivals and vote is None:
        return Height(highest(best, close, air), rivals)
    lone = all(units_of(climb) == units_of(best) for climb in ranked)
    return Height(highest(best, close, air), sure=vote is not None or lone, words=vote.words if vote else "")


def apart(
    every: Sequence[Climb], search: Search, air: AirStudy, told: Mapping[str, str]
) -> tuple[list[Climb], list[Slant]]:
    """Return the pairs whose vertical speed can be no climb angle, and those in doubt when they fit much better."""
    if "vertical_speed_fpm" in told:
        return list(every), []
    slants = [(climb, slant_of(climb, search, air.position.speed)) for climb in every]
    plain = [climb for climb, slant in slants if slant is None]
    doubtful = [slant for _, slant in slants if slant and not slant.surely]
    if plain and doubtful and plain[0].misfit < doubtful[0].climb.misfit + CLOSE:
        return plain, []
    return plain, doubtful


def doubtful_height(
    slants: Sequence[Slant], search: Search, air: AirStudy, judge: Judge, told: Mapping[str, str]
) -> Height | None:
    """Return the altitude whose slope is a column that is a vertical speed or a climb angle."""
    first = slants[0]
    pair = [s for s in slants if s.climb.altitude is first.climb.altitude and s.rate is first.rate]
    unit = told.get("altitude_ft")
    possible = {r: climb for r, climb in as_read(pair, search).items() if unit in {None, r.unit}}
    if not possible:
        air.cannot_tell.append(f"altitude: no column fits as one {in_words(told)}")
        return None
    judge.rates = list({id(slant.rate): slant.rate for slant in slants}.values())
    vote = judge.settled(first.climb.altitude, tuple(possible))
    if len(possible) > 1 and vote is None:
        climb, *others = possible.values()
        return Height(climb, tuple(others), slant=first)
    reading, *_ = possible if vote is None else (vote.reading,)
    climb = highest(possible[reading], [slant.climb for slant in slants], air)
    words = f"{in_words(told)}, as you said" if told else vote.words if vote else ""
    return Height(climb, sure=True, words=words, slant=first if reading in first.readings else None)


def lone_height(search: Search, air: AirStudy, judge: Judge, told: Mapping[str, str]) -> Height | None:
    """Return the altitude of a stream without a vertical speed; None without one, or with several to choose from."""
    lones = lone_altitudes(search, air, judge, told)
    if not lones:
        air.cannot_tell.append(NO_FLOAT if any(column.span() for column in search.columns) else NO_PAIR)
        return None
    air.cannot_tell.append(WORKED_OUT)
    first = lones[0]
    if first.vote and are_alike(lones):
        reading = first.vote.reading
        words = f"{in_words(told)}, as you said" if "altitude_ft" in told else first.vote.words
        return Height(highest(first.climb(reading), [lone.climb(reading) for lone in lones], air), words=words)
    if len(lones) > 1:
        claim_each(lones, air)
        return None
    climb, *others = (first.climb(reading) for reading in first.readings)
    if "altitude_ft" in told:
        return Height(climb, tuple(others), words=f"{in_words(told)}, as you said")
    return Height(climb, tuple(others), chosen=False)


def as_told(climb: Climb, told: Mapping[str, str]) -> bool:
    """Say whether the pair is in the units that a person told."""
    units = {"altitude_ft": climb.altitude_reading.unit}
    if climb.rate_reading:
        units["vertical_speed_fpm"] = climb.rate_reading.unit
    return all(units.get(name) == unit for name, unit in told.items() if name in TOLD)


def in_words(told: Mapping[str, str]) -> str:
    """Return what a person told, in words."""
    return " and ".join(f"with {name} in {unit}" for name, unit in told.items())


def units_of(climb: Climb) -> tuple[Reading, Reading | None]:
    """Return both readings."""
    return climb.altitude_reading, climb.rate_reading


def readings_of(close: Sequence[Climb]) -> dict[int, tuple[Reading, ...]]:
    """Return the readings that each altitude column may have, by the column's id."""
    found: dict[int, dict[Reading, None]] = defaultdict(dict)
    for climb in close:
        found[id(climb.altitude)][climb.altitude_reading] = None
    return {key: tuple(each) for key, each in found.items()}


def doubt(climb: Climb, judge: Judge, readings: Mapping[int, tuple[Reading, ...]]) -> float:
    """Return how much speaks against a pair besides its misfit: nothing when the laws chose its unit."""
    vote = judge.settled(climb.altitude, readings[id(climb.altitude)])
    return UNJUDGED if vote is None else 0.0 if vote.reading == climb.altitude_reading else AGAINST


def consistent(close: Sequence[Climb], as_good: float) -> list[Climb]:
    """Return the pairs whose units agree with all other pairs of theirs that fit as well: a column has one unit.

    Where one altitude goes with two vertical speeds, or two altitudes with one, the only common unit remains.
    """
    left = list(close)
    while True:
        pairs: dict[tuple[int, int], list[Climb]] = defaultdict(list)
        for climb in left:
            if climb.misfit < as_good:
                pairs[id(climb.altitude), id(climb.rate)].append(climb)
        kept = [climb for climb in left if all(agrees(climb, pair) for pair in pairs.values())]
        if len(kept) == len(left) or not kept:
            return left
        left = kept


def agrees(climb: Climb, pair: Sequence[Climb]) -> bool:
    """Say whether another pair leaves the column that it shares with this one the unit that it has here.

    Bytes of the same field read in another way are no other pair: they say nothing.
    """
    other = pair[0]
    if other.altitude is climb.altitude and not misread(other.rate, climb.rate):
        return climb.altitude_reading in {each.altitude_reading for each in pair}
    if other.rate is climb.rate and not misread(other.altitude, climb.altitude):
        return climb.rate_reading in {each.rate_reading for each in pair}
    return True


def misread(one: Column | None, other: Column | None) -> bool:
    """Say whether two columns are different readings of the same bytes."""
    return one is not None and other is not None and one is not other and overlap(one, other)


def highest(climb: Climb, others: Sequence[Climb], air: AirStudy) -> Climb:
    """Return the same climb by the column that stands highest: above the sea is more than above the ground."""
    same = (climb.altitude_reading, climb.rate, climb.rate_reading)
    here_m = height_of(climb)
    alike = [
        other
        for other in others
        if (other.altitude_reading, other.rate, other.rate_reading) == same
        and other.misfit < climb.misfit + ALIKE
        and here_m - APART_M < height_of(other) < OTHER_SCALE * max(here_m, 1.0)
    ]
    best = max(alike, key=height_of, default=climb)
    names = sorted({other.altitude.label() for other in alike if not overlap(other.altitude, best.altitude)})
    if names:
        air.cannot_tell.append(
            f"which altitude is that above the sea: {best.altitude.label()} is the highest of {', '.join(names)}"
        )
    return best if height_of(best) - here_m > APART_M else climb


def height_of(climb: Climb) -> float:
    """Return the middle altitude in metres."""
    return float(np.median(climb.altitude_m))


def claim_height(height: Height, air: AirStudy) -> None:
    """Claim altitude and vertical speed, open ones with every reading that they may have."""
    altitudes, rates = [], []
    for climb in (height.climb, *height.others):
        column, rate = height.climb.altitude, climb.rate_reading
        altitudes.append(_altitude(column, climb.altitude_reading, height))
        if height.climb.rate and rate:
            rates.append(_vertical_speed(height.climb.rate, rate, height))
    for claims in (altitudes, rates):
        if claims:
            air.claims.append(claims[0].among(claims[1:]))
    if height.slant:
        air.cannot_tell.append(height.slant.words())
    if height.is_open:
        air.cannot_tell.append(open_words(altitudes))


def _altitude(column: Column, reading: Reading, height: Height) -> Claim:
    """Return the claim of one altitude; its datum can never be told."""
    certainty = Certainty.OPEN if height.is_open else Certainty.LIKELY
    why = f"its slope is the vertical speed, {within_words(height.climb.misfit, decimals=0)}"
    if height.slant:
        why = f"its slope is {height.slant.rate.label()}, a vertical speed or a climb angle"
    elif height.climb.rate is None:
        why = "it rises and falls as an altitude does, and no vertical speed was found"
    why += f"; {height.words}" if height.words else ""
    why += "; above what (sea level, ground) it can't be told"
    return Claim("altitude_ft", column, reading.unit, certainty, why, scale=reading.scale)


def _vertical_speed(column: Column, reading: Reading, height: Height) -> Claim:
    """Return the claim of one vertical speed."""
    unsettled = height.is_open or height.slant is not None
    certainty = Certainty.OPEN if unsettled else Certainty.SURE if height.sure else Certainty.LIKELY
    why = f"the altitude changes at this rate, {within_words(height.climb.misfit, decimals=0)}"
    if height.slant:
        why += f"; or it is a climb angle in {height.slant.unit}, and is left out then"
    name = "vertical_speed_fpm"
    return Claim(name, column, reading.unit, certainty, why, scale=reading.scale, sign=height.climb.sign)


def open_words(altitudes: Sequence[Claim]) -> str:
    """Return what can't be told of the altitude, and everything that would settle it."""
    last = float(altitudes[0].column.values[-1])
    units = " or ".join(f"{last * claim.scale:,.0f} {claim.unit}" for claim in altitudes)
    if len(altitudes) == 1:
        return (
            f"altitude: {altitudes[0].column.label()} was {units} at the end, if it is one. It is not in the layout "
            "until you say so. It settles itself with the pitch in the stream (climb, then descend)"
        )
    what = "feet or metres" if len({claim.unit for claim in altitudes}) > 1 else "altitude"
    return (
        f"{what}: {altitudes[0].column.label()} was {units} at the end. Neither is in the layout until you say "
        "which. It settles itself with the pitch or the pressure outside in the stream (climb, then descend), or when "
        "listening begins on the ground of an airfield higher than 450 ft"
    )
