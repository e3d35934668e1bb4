"""Faults in the cockpit: an altitude not kept, a bug set for another runway, too little fuel, a fix overflown."""

import random

from otherseat.advisories.altitude import AltitudeParams
from otherseat.advisories.angles import normal_deg, to_magnetic_deg
from otherseat.advisories.fix_passed import FixPassedParams
from otherseat.advisories.fuel import FuelParams
from otherseat.advisories.heading_bug import HeadingBugParams
from otherseat.advisories.plan import Fix, Plan
from otherseat.daemon.evaluation import truth
from otherseat.daemon.evaluation.deadlines import (
    BEFORE_KT,
    DRY_WITHIN_S,
    STRAYED_WITHIN_S,
    before_along,
    slower_than,
    within,
)
from otherseat.daemon.evaluation.pattern import Pattern, Steady
from otherseat.daemon.evaluation.sortie import Fault, Sortie
from otherseat.daemon.evaluation.truth import SEEN_FROM
from otherseat.daemon.flight_model.legs import Leg, Line, Roll, Stand
from otherseat.daemon.flight_model.world import World, on_runway

STANDS_S = 12.0
VARIATION_DEG = 12.0
FLOW_KG_PER_H = 30.0
"""About what a light single burns; only the time that the fuel lasts matters."""
ROLL_OUT_S = 7.0
"""From the order to turn until the track has begun to."""


def off_altitude(*, dice: random.Random, world: World, pattern: Pattern, size: float) -> Sortie:
    """Keep the selected altitude for a while, then drift away from it and stay there."""
    handling, limit_ft = pattern.handling, AltitudeParams().deviation_ft
    wanted_ft = pattern.end.elevation_ft + dice.choice((3_500.0, 4_500.0, 5_500.0))
    way = dice.choice((-1.0, 1.0))
    kept = Steady(altitude_ft=wanted_ft, airspeed_kt=handling.cruise_kt)
    strayed = Steady(altitude_ft=wanted_ft + way * size * limit_ft, airspeed_kt=handling.cruise_kt)
    minute_nm = handling.cruise_kt / 60.0
    begins_nm = -12.0 - 3.0 * minute_nm
    return Sortie(
        handling=handling,
        placement=kept.put_on(world.way, along_nm=begins_nm, ground_ft=pattern.end.elevation_ft),
        legs=(
            kept.along(world.way, until_nm=begins_nm + minute_nm),
            strayed.along(world.way, until_nm=begins_nm + 3.0 * minute_nm),
        ),
        plan=Plan(),
        end=pattern.end,
        true_altitude=True,
        told={"selected_altitude_ft": wanted_ft},
        fault=Fault(
            alerts=frozenset({"altitude-above" if way > 0.0 else "altitude-below"}),
            begins=1,
            useful=within(STRAYED_WITHIN_S),
            size=truth.off_altitude(wanted_ft=wanted_ft, limit_ft=way * limit_ft),
        ),
    )


def bug(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Line up on the planned runway with the heading bug set so many times the limit off it."""
    end, variation_deg = pattern.end, dice.uniform(-VARIATION_DEG, VARIATION_DEG)
    off_deg = dice.choice((-1.0, 1.0)) * size * HeadingBugParams().limit_deg
    set_deg = normal_deg(to_magnetic_deg(end.course_true_deg, variation_deg) + off_deg)
    return Sortie(
        handling=pattern.handling,
        placement=on_runway(end=end, along_ft=150.0),
        legs=(
            Stand(seconds=STANDS_S, heading_true_deg=end.course_true_deg),
            Roll(end=end, speed_kt=80.0, until_groundspeed_kt=50.0),
        ),
        plan=Plan(departure=end.name),
        end=end,
        told={"heading_bug_deg": set_deg, "magnetic_variation_deg": variation_deg},
        fault=Fault(alerts=frozenset({"heading-bug"}), begins=0, useful=slower_than(BEFORE_KT)),
    )


def dry(*, dice: random.Random, world: World, pattern: Pattern, size: float) -> Sortie:
    """Cruise towards the destination with so little fuel that the reserve is so many times what will be left."""
    handling, reserve_min = pattern.handling, FuelParams().reserve_min
    from_nm, minute_nm = -20.0, handling.cruise_kt / 60.0
    endurance_h = -from_nm / handling.cruise_kt + reserve_min / size / 60.0
    altitude_ft = pattern.end.elevation_ft + dice.uniform(2_500.0, 3_000.0)
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.cruise_kt)
    return Sortie(
        handling=handling,
        placement=common.put_on(world.way, along_nm=from_nm, ground_ft=pattern.end.elevation_ft),
        legs=(
            common.along(world.way, until_nm=from_nm + minute_nm),
            common.along(world.way, until_nm=from_nm + 3.0 * minute_nm),
        ),
        plan=Plan(destination=world.landing.airfield),
        end=world.landing,
        told={"fuel_kg": endurance_h * FLOW_KG_PER_H, "fuel_flow_kg_per_h": FLOW_KG_PER_H},
        fault=Fault(
            alerts=frozenset({"fuel-low", "fuel-short"}),
            begins=0,
            useful=within(DRY_WITHIN_S),
            size=truth.running_dry(place=world.way, endurance_h=endurance_h, reserve_min=reserve_min),
            from_size=0.0,
        ),
    )


def overflown(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Fly straight on over a fix where the route turns; or turn so many times the limit beyond it."""
    handling, params = pattern.handling, FixPassedParams()
    turns_deg = dice.choice((-1.0, 1.0)) * dice.uniform(70.0, 110.0)
    altitude_ft = pattern.end.elevation_ft + dice.uniform(3_000.0, 5_000.0)
    fix = pattern.line(to_go_nm=12.0, right_nm=0.0, turned_deg=dice.uniform(0.0, 360.0))
    latitude_deg, longitude_deg = fix.position(along_ft=0.0)
    onward = Line.through(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        course_true_deg=normal_deg(fix.course_true_deg + turns_deg),
    )
    places = {"ZZONE": (latitude_deg, longitude_deg), "ZZTWO": onward.position(along_ft=90_000.0)}
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.cruise_kt)
    lag_nm = handling.cruise_kt / 3_600.0 * ROLL_OUT_S
    on: tuple[Leg, ...] = (common.along(fix, until_nm=params.caution_nm + 1.0),)
    if size < SEEN_FROM:
        on = (
            common.along(fix, until_nm=size * params.advice_nm - lag_nm),
            common.turn(onward.course_true_deg, right=turns_deg > 0.0),
            common.along(onward, until_nm=6.0),
        )
    return Sortie(
        handling=handling,
        placement=common.put_on(fix, along_nm=-1.5 * handling.cruise_kt / 60.0, ground_ft=pattern.end.elevation_ft),
        legs=(common.along(fix, until_nm=0.0), *on),
        plan=Plan(
            destination=pattern.end.airfield,
            route=tuple(
                Fix(name=name, latitude_deg=place[0], longitude_deg=place[1]) for name, place in places.items()
            ),
        ),
        end=pattern.end,
        fault=Fault(
            alerts=frozenset({"fix-passed"}),
            begins=1,
            useful=before_along(fix, nm=params.caution_nm, words=f"before {params.caution_nm:.0f} NM beyond"),
            size=truth.behind(place=fix, limit_nm=params.advice_nm),
            from_size=0.0,
        ),
    )
