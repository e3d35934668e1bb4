"""Which column is the speed over the ground, and whether it could as well be an airspeed.

Laws         of a column V in a known unit, against the speed W at which the position moves, climbing at w:
               groundspeed          W = V
               true airspeed        W = sqrt(V^2 - w^2)            in still air
               indicated airspeed   W = sqrt((r V)^2 - w^2)        in still air; r from the density (ICAO Doc 7488),
                                    within 3.5% in size (20 C off standard), exact in how it changes with height
In a wind    found by a heading and an airspeed, no airspeed goes with W through a turn: the first law needs no rival.
In calm air  the law that fits best wins by a margin; of two columns the nearer one is taken, and that is said.
Open         one column alone, and two laws fit alike: it is left out, with both meanings as comments. Why that is the
             safe choice: an airspeed taken for the groundspeed puts every sink rate, time and wind wrong by the wind, a
             groundspeed taken for the airspeed calls a slow approach in a tailwind fast enough. Left out, the
             groundspeed is worked out from the positions, and what needs an airspeed is silent.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from otherseat.adapters.identify.air import FULL_TURN_RAD, SURELY, WIND_SHARE, AirStudy, SpeedFit, density_ratio
from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import Reading
from otherseat.adapters.identify.position import overlap
from otherseat.adapters.identify.signals import Array, through_origin
from otherseat.adapters.identify.verdict import Certainty, Claim, plain, within_words
from otherseat.adapters.identify.vertical import Climb

WITHIN = 0.01
"""The groundspeed is the size of the movement: worse than this in a wind it is something else."""
CLEARLY = 1.5
MARGIN = 0.0005
"""By this factor and this much the other laws must fit worse."""
RATIO_OFF = 0.035
NEARER = 1.5
GROUND, TRUE, INDICATED = "groundspeed_kt", "true_airspeed_kt", "indicated_airspeed_kt"


class Fit(NamedTuple):
    """How far a column is off under one law, as a share of the speed."""

    field: str
    off: float


def claim_groundspeed(air: AirStudy, climbs: Sequence[Climb]) -> None:
    """Claim the column that is the speed over the ground, or say with what it may be confused.

    climbs: the climb that was flown, more than one while its unit is open, none when it is unknown.
    """
    fits = air.speed_fits(air.position.speed)
    if not fits:
        return
    off, column, reading = fits[0]
    if is_windy(air) and (off < WITHIN or (air.air and not overlap(air.air.speed, column))):
        sure = off < SURELY and air.turn > FULL_TURN_RAD
        _claim(air, Fit(GROUND, off), column, reading, Certainty.SURE if sure else Certainty.LIKELY)
        return
    laws = fits_of(air, column, reading, climbs)
    alike = [law for law in laws if law.off < max(CLEARLY * laws[0].off, laws[0].off + MARGIN)]
    second = next(((miss, each) for miss, each, _ in fits[1:] if not overlap(each, column)), None)
    if laws[0].field != GROUND and len(alike) == 1:
        _claim(air, laws[0], column, reading, Certainty.LIKELY)
    elif second:
        _claim(air, Fit(GROUND, off), column, reading, Certainty.LIKELY)
        air.cannot_tell.append(two_words(column, off, second[1], second[0]))
        claim_others(air, fits[1:], climbs)
    elif INDICATED in {law.field for law in alike} and not other_airspeed(air, column):
        _claim_open(air, column, reading, off, [law.field for law in alike])
    else:
        _claim(air, Fit(GROUND, off), column, reading, Certainty.LIKELY)


def claim_others(air: AirStudy, fits: Sequence[SpeedFit], climbs: Sequence[Climb]) -> None:
    """Claim the columns that move as the position does in calm air, and clearly by the law of an airspeed."""
    for _, column, reading in fits:
        law, *others = fits_of(air, column, reading, climbs)
        clear = all(other.off > max(CLEARLY * law.off, law.off + MARGIN) for other in others)
        if law.field != GROUND and clear and not air.taken(column):
            _claim(air, law, column, reading, Certainty.LIKELY)


def is_windy(air: AirStudy) -> bool:
    """Say whether a heading and a speed show a wind that tells ground from air."""
    return air.air is not None and bool(abs(air.air.wind) > WIND_SHARE * np.median(air.position.speed))


def fits_of(air: AirStudy, column: Column, reading: Reading, climbs: Sequence[Climb]) -> list[Fit]:
    """Return every law that is possible, the best first; an airspeed by the climb that suits it best.

    Without an altitude an indicated airspeed fits no worse than the groundspeed.
    """
    ground = air.position.speed
    index = next(i for i, each in enumerate(air.search.columns) if each is column)
    given = air.search.means[:, index] * reading.factor()
    over_ground = law_off(ground, given, slack=0.0)
    if not climbs:
        return [Fit(GROUND, over_ground), Fit(INDICATED, over_ground)]
    true = min(law_off(ground, level(given, c.climb_mps), slack=0.0) for c in climbs)
    indicated = min(
        law_off(ground, level(given * density_ratio(c.altitude_m), c.climb_mps), slack=RATIO_OFF) for c in climbs
    )
    return sorted((Fit(GROUND, over_ground), Fit(TRUE, true), Fit(INDICATED, indicated)), key=lambda law: law.off)


def level(airspeed_mps: Array, climb_mps: Array) -> Array:
    """Return the part of an airspeed along the ground."""
    result: Array = np.sqrt(np.maximum(airspeed_mps**2 - climb_mps**2, 0.0))
    return result


def law_off(ground_mps: Array, predicted_mps: Array, *, slack: float) -> float:
    """Return how far a prediction is off; an error in size up to the slack is free."""
    factor, misfit = through_origin(ground_mps, predicted_mps)
    return float(np.hypot(misfit, max(0.0, abs(factor - 1.0) - slack)))


def other_airspeed(air: AirStudy, column: Column) -> bool:
    """Say whether another column is the airspeed, so that this one need not be it."""
    return any(not overlap(fit.speed, column) for fit in air.airspeed_fits())


def two_words(column: Column, off: float, second: Column, second_off: float) -> str:
    """Return that two columns move as the position does."""
    return (
        f"which is the groundspeed: {column.label()} goes with the movement {within_words(off)} and is taken, "
        f"{second.label()} {within_words(second_off)}; fly a turn in a steady wind of 10 kt or more"
    )


def _claim(air: AirStudy, fit: Fit, column: Column, reading: Reading, certainty: Certainty) -> None:
    why = f"the position moves this fast, {within_words(fit.off)}"
    if fit.field != GROUND:
        why = f"in calm air the position moves as by this {plain(fit.field)} while climbing, {within_words(fit.off)}"
    air.claims.append(Claim(fit.field, column, reading.unit, certainty, why, scale=reading.scale))


def _claim_open(air: AirStudy, column: Column, reading: Reading, off: float, names: list[str]) -> None:
    """Claim one column whose meaning is open, and say how to find out."""
    said = " or ".join(plain(name) for name in names)
    why = f"the position moves this fast, {within_words(off)}; in calm air {said} is alike"
    first, *others = (Claim(name, column, reading.unit, Certainty.OPEN, why, scale=reading.scale) for name in names)
    air.claims.append(first.among(others))
    air.cannot_tell.append(
        f"{said}: {column.label()} is one of them, in calm air they are alike; fly a turn in a steady wind of 10 kt or "
        "more, or climb above 5,000 ft. Neither is in the layout until you say which; the groundspeed is worked out "
        "from the positions meanwhile"
    )
