"""Diversion: on the way to one field the pilot turns back to the other, and tells the daemon."""

import random

from otherseat.advisories.plan import Plan
from otherseat.daemon.evaluation.normal import draw_pattern
from otherseat.daemon.evaluation.pattern import Steady
from otherseat.daemon.evaluation.sortie import Sortie
from otherseat.daemon.flight_model.legs import Line
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.world import World, beside

DIVERT_TO = "ZZKN/25"


def diversion(*, dice: random.Random, world: World, handling: Handling) -> Sortie:
    """Fly towards the destination, turn around short of it, straight in at the other field."""
    end = world.runways.end(DIVERT_TO)
    pattern = draw_pattern(dice=dice, end=end, handling=handling)
    altitude_ft = end.elevation_ft + dice.uniform(2_000.0, 3_000.0)
    turns_nm = dice.uniform(8.0, 11.0)
    back = Line.through(
        latitude_deg=end.latitude_deg,
        longitude_deg=end.longitude_deg,
        course_true_deg=(world.way.course_true_deg + 180.0) % 360.0,
    )
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.cruise_kt)
    return Sortie(
        handling=handling,
        placement=beside(
            line=world.way,
            along_nm=-turns_nm - 3.0,
            altitude_ft=altitude_ft,
            airspeed_kt=handling.cruise_kt,
            ground_ft=100.0,
        ),
        legs=(
            common.along(world.way, until_nm=-turns_nm),
            common.turn(back.course_true_deg, right=dice.choice((False, True))),
            common.along(back, until_nm=-10.0),
            *pattern.final(altitude_ft=altitude_ft),
            pattern.land(),
        ),
        plan=Plan(destination=world.landing.name),
        end=end,
        replans={1: Plan(destination=end.name)},
    )
