"""Faults of place: another runway, another end, another airfield, or none, for landing and for take-off."""

import random
from dataclasses import replace

from otherseat.advisories.levels import Level
from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.evaluation.deadlines import BEFORE_KT, LANDING_ABOVE_FT, above, slower_than
from otherseat.daemon.evaluation.faults import short_approach
from otherseat.daemon.evaluation.pattern import Pattern
from otherseat.daemon.evaluation.sortie import Fault, Sortie
from otherseat.daemon.flight_model.legs import Leg, Roll, Stand
from otherseat.daemon.flight_model.world import line_of, on_runway

STANDS_S = 8.0


def wrong_landing(
    *, dice: random.Random, pattern: Pattern, planned: RunwayEnd, alert: str = "wrong-runway-arrival"
) -> Sortie:
    """Fly a good approach, to another runway end than the planned one."""
    return replace(
        short_approach(dice=dice, pattern=pattern),
        plan=Plan(destination=planned.name),
        fault=Fault(alerts=frozenset({alert}), begins=0, useful=above(LANDING_ABOVE_FT, end=pattern.end)),
    )


def wrong_take_off(
    *,
    dice: random.Random,
    pattern: Pattern,
    planned: RunwayEnd,
    alert: str,
    beside_ft: float = 0.0,
    rolling: bool = False,
) -> Sortie:
    """Line up where the plan does not say, and begin the take-off; beside_ft right of the runway is a taxiway."""
    end = _shifted(pattern.end, beside_ft)
    stand: tuple[Leg, ...] = () if rolling else (Stand(seconds=STANDS_S, heading_true_deg=end.course_true_deg),)
    slowly: tuple[Leg, ...] = (
        (Roll(end=end, speed_kt=12.0, until_groundspeed_kt=dice.uniform(5.0, 11.0)),) if dice.random() < CREEPS else ()
    )
    return Sortie(
        handling=pattern.handling,
        placement=on_runway(end=end, along_ft=150.0),
        legs=(*stand, *slowly, Roll(end=end, speed_kt=80.0, until_groundspeed_kt=50.0)),
        plan=Plan(departure=planned.name),
        end=pattern.end,
        fault=Fault(alerts=frozenset({alert}), begins=0, useful=slower_than(BEFORE_KT), level=Level.WARNING),
    )


CREEPS = 0.5
"""So many of the take-offs begin with a slow roll before the power comes."""


def _shifted(end: RunwayEnd, beside_ft: float) -> RunwayEnd:
    if beside_ft == 0.0:
        return end
    latitude_deg, longitude_deg = line_of(end).position(along_ft=0.0, across_ft=beside_ft)
    return replace(end, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
