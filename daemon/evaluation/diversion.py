"""Diversion: on the way to one field the pilot turns back to the other, and tells the daemon."""

import random
from dataclasses import replace

from otherseat.advisories.plan import Plan
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.evaluation.normal import draw_pattern
from otherseat.daemon.evaluation.pattern import Steady
from otherseat.daemon.evaluation.sortie import Sortie
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.world import World

DIVERT_TO = "ZZKN/25"
JOINS_NM = 10.0


def diversion(*, dice: random.Random, world: World, handling: Handling) -> Sortie:
    """Fly towards the destination, turn around short of it, to the side on which the other field's final lies, land."""
    end = world.runways.end(DIVERT_TO)
    pattern = draw_pattern(dice=dice, end=end, handling=handling)
    altitude_ft = end.elevation_ft + dice.uniform(2_000.0, 3_000.0)
    turns_nm = dice.uniform(4.0, 7.0)
    back = pattern.line(to_go_nm=JOINS_NM, right_nm=0.0, turned_deg=0.0)
    latitude_deg, longitude_deg = world.way.position(along_ft=-turns_nm * FT_PER_NM)
    _, across_ft = back.locate_position(latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.cruise_kt)
    slower = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
    return Sortie(
        handling=handling,
        placement=common.put_on(world.way, along_nm=-turns_nm - 6.0, ground_ft=100.0),
        legs=(
            common.along(world.way, until_nm=-turns_nm),
            common.turn(back.course_true_deg, right=across_ft > 0.0),
            replace(slower.along(back, until_nm=0.0), intercept_deg=45.0),
            *pattern.final(altitude_ft=altitude_ft),
            pattern.land(),
        ),
        plan=Plan(destination=world.landing.name),
        end=end,
        replans={1: Plan(destination=end.name)},
    )
