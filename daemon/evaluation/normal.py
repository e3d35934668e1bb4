"""Normal flights: everything about them is as it should be, so whatever is said above a call is a nuisance.

circuits   light single 800 to 1,200 ft, 0.8 to 1.3 NM wide, base 1.5 to 2.4 NM out, so that the turn onto final ends
           near 500 ft; jet 1,400 to 1,600 ft, 2 to 3 NM wide, base 4 to 5.5 NM out (AIM 4-3-3: 1,000 ft, turbines
           1,500 ft). Tighter ones end their turn below the gate, and are told so: they are not counted here
finals     the path met at 4.5 to 7.5 NM, from below, off the centreline by up to 0.3 NM and 10 degrees; go-arounds
           from 0.5 to 1.2 NM out
plan       what a pilot would tell: the runway; a new one when diverting or breaking off to circle; no hold
pilot, air, reports: conditions.py. Ranges without a source are common practice
"""

import random
from dataclasses import replace

from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.evaluation.pattern import Pattern, Steady
from otherseat.daemon.evaluation.sortie import Sortie
from otherseat.daemon.flight_model.legs import Along, Leg, Roll, Stand
from otherseat.daemon.flight_model.loops import JET, Handling
from otherseat.daemon.flight_model.runway_legs import Land, TakeOff
from otherseat.daemon.flight_model.world import World, on_runway

SHORTEST_JET_FT = 6_500.0
OVERHEAD_FROM_NM = 7.0


def draw_end(*, dice: random.Random, world: World, handling: Handling) -> RunwayEnd:
    """Draw a runway end that the aircraft may use."""
    needed_ft = SHORTEST_JET_FT if handling is JET else 0.0
    ends = [
        end
        for ident in (world.take_off.airfield, world.landing.airfield)
        for end in world.runways.airfield(ident).ends
        if end.length_ft + end.displaced_ft >= needed_ft
    ]
    return dice.choice(ends)


def draw_pattern(*, dice: random.Random, end: RunwayEnd, handling: Handling) -> Pattern:
    """Draw how wide and how high somebody flies around a runway."""
    jet = handling is JET
    return Pattern(
        end=end,
        handling=handling,
        side=dice.choice((-1, 1)),
        wide_nm=dice.uniform(2.0, 3.0) if jet else dice.uniform(0.8, 1.3),
        height_ft=dice.uniform(1_400.0, 1_600.0) if jet else dice.uniform(800.0, 1_200.0),
    )


def base_nm(*, dice: random.Random, handling: Handling) -> float:
    """Draw how far out the base leg is flown."""
    return dice.uniform(4.0, 5.5) if handling is JET else dice.uniform(1.5, 2.4)


def straight_in(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """From ten miles out on about the centreline, level, then down the path to a landing."""
    altitude_ft = pattern.path_altitude_ft(dice.uniform(4.5, 7.5))
    far_nm = pattern.meets_path_nm(altitude_ft) + dice.uniform(2.0, 4.0)
    line = pattern.line(to_go_nm=far_nm, right_nm=dice.uniform(-0.3, 0.3), turned_deg=dice.uniform(-10.0, 10.0))
    return Sortie(
        handling=pattern.handling,
        placement=pattern.aloft(line=line, altitude_ft=altitude_ft, airspeed_kt=pattern.handling.circuit_kt),
        legs=(*pattern.final(altitude_ft=altitude_ft), pattern.land()),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
    )


def circuit(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Take off, around, land on the same runway."""
    out_nm = base_nm(dice=dice, handling=pattern.handling)
    return Sortie(
        handling=pattern.handling,
        placement=on_runway(end=pattern.end, along_ft=150.0),
        legs=(_lined_up(pattern), *pattern.circuit(base_nm=out_nm), pattern.land()),
        plan=Plan(departure=pattern.end.name, destination=pattern.end.name),
        end=pattern.end,
    )


def touch_and_go(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Twice around, the first time only touching."""
    out_nm = base_nm(dice=dice, handling=pattern.handling)
    legs = (
        _lined_up(pattern),
        *pattern.circuit(base_nm=out_nm),
        Land(end=pattern.end, touch_only=True),
        *pattern.circuit(base_nm=out_nm),
        pattern.land(),
    )
    return Sortie(
        handling=pattern.handling,
        placement=on_runway(end=pattern.end, along_ft=150.0),
        legs=legs,
        plan=Plan(departure=pattern.end.name, destination=pattern.end.name),
        end=pattern.end,
    )


def go_around(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Straight in, away again from short final, around and land."""
    first = straight_in(dice=dice, pattern=pattern)
    level = first.legs[0]
    _, down = pattern.final(altitude_ft=pattern.path_altitude_ft(6.0), until_nm=dice.uniform(0.5, 1.2))
    again = pattern.circuit(base_nm=base_nm(dice=dice, handling=pattern.handling), again=True)
    return Sortie(
        handling=first.handling,
        placement=first.placement,
        legs=(level, down, *again, pattern.land()),
        plan=first.plan,
        end=first.end,
    )


def vectors(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Led past the field on downwind, on base, and onto the final at 30 degrees, as arrivals at busy airports are."""
    handling, side = pattern.handling, pattern.side
    altitude_ft = pattern.path_altitude_ft(dice.uniform(5.0, 7.5))
    joins_nm = pattern.meets_path_nm(altitude_ft) + dice.uniform(1.5, 3.0)
    wide_nm = dice.uniform(3.0, 5.0)
    downwind = pattern.line(to_go_nm=-dice.uniform(1.0, 5.0), right_nm=side * wide_nm, turned_deg=180.0)
    abeam = pattern.line(to_go_nm=0.0, right_nm=side * wide_nm, turned_deg=180.0)
    base = pattern.line(to_go_nm=joins_nm + 2.5, right_nm=side * wide_nm, turned_deg=-90.0 * side)
    join = pattern.line(to_go_nm=joins_nm + 2.5, right_nm=0.0, turned_deg=-30.0 * side)
    start_ft = altitude_ft + dice.uniform(0.0, 2_000.0)
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
    return Sortie(
        handling=handling,
        placement=pattern.aloft(line=downwind, altitude_ft=start_ft, airspeed_kt=handling.circuit_kt),
        legs=(
            common.along(abeam, until_nm=joins_nm + 1.5),
            common.turn(base.course_true_deg, right=side > 0),
            common.along(base, until_nm=wide_nm - 2.2, keep_to_it=False),
            common.turn(join.course_true_deg, right=side > 0),
            *pattern.final(altitude_ft=altitude_ft),
            pattern.land(),
        ),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
    )


def overhead_join(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Down from the cruise, across the field 500 ft above the circuit, around: common without a tower."""
    handling, side = pattern.handling, pattern.side
    altitude_ft = pattern.end.elevation_ft + pattern.height_ft
    high_ft, cruise_ft = altitude_ft + 500.0, altitude_ft + dice.uniform(1_600.0, 2_500.0)
    over = pattern.line(to_go_nm=-1.0, right_nm=-side * OVERHEAD_FROM_NM, turned_deg=90.0 * side)
    downwind = pattern.line(to_go_nm=0.0, right_nm=side * pattern.wide_nm, turned_deg=180.0)
    above = Steady(altitude_ft=high_ft, airspeed_kt=handling.circuit_kt)
    down = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
    legs: tuple[Leg, ...] = (
        above.along(over, until_nm=OVERHEAD_FROM_NM + pattern.wide_nm - pattern.turn_nm(handling.circuit_kt)),
        down.turn(downwind.course_true_deg, right=side > 0),
        down.along(downwind, until_nm=0.0),
        *pattern.base_and_final(downwind=downwind, base_nm=base_nm(dice=dice, handling=handling)),
        pattern.land(),
    )
    return Sortie(
        handling=handling,
        placement=pattern.aloft(line=over, altitude_ft=cruise_ft, airspeed_kt=handling.circuit_kt),
        legs=legs,
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
    )


def circling(*, dice: random.Random, pattern: Pattern, approach: RunwayEnd) -> Sortie:
    """Down the path of the opposite end to circuit height, aside onto downwind, around, land on the other end.

    The plan names the runway that is flown to: the approach's, and from the break-off the other one, as the pilot
    would tell it. A pilot who doesn't is told that this is another runway, and rightly.
    """
    handling, side = pattern.handling, pattern.side
    altitude_ft = pattern.end.elevation_ft + pattern.height_ft
    first = Pattern(end=approach, handling=handling, side=-side, wide_nm=pattern.wide_nm, height_ft=pattern.height_ft)
    high_ft = first.path_altitude_ft(dice.uniform(5.0, 7.0))
    far_nm = first.meets_path_nm(high_ft) + dice.uniform(1.0, 3.0)
    level, down = first.final(altitude_ft=high_ft, until_nm=first.meets_path_nm(altitude_ft))
    downwind = pattern.line(to_go_nm=0.0, right_nm=side * pattern.wide_nm, turned_deg=180.0)
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt, flaps=handling.approach_flaps / 2.0)
    return Sortie(
        handling=handling,
        placement=first.aloft(
            line=first.line(to_go_nm=far_nm, right_nm=0.0, turned_deg=0.0),
            altitude_ft=high_ft,
            airspeed_kt=handling.circuit_kt,
        ),
        legs=(
            level,
            replace(down, flaps=handling.approach_flaps / 2.0),
            common.along(downwind, until_nm=0.0),
            *pattern.base_and_final(downwind=downwind, base_nm=base_nm(dice=dice, handling=handling)),
            pattern.land(),
        ),
        plan=Plan(destination=approach.name),
        end=pattern.end,
        replans={2: Plan(destination=pattern.end.name)},
    )


def holding(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Down to a racetrack on the final, twice around it, then in; outbound with three drifts in all (AIM 5-3-8)."""
    handling, side = pattern.handling, pattern.side
    fix_nm = dice.uniform(7.0, 9.0)
    altitude_ft = pattern.path_altitude_ft(fix_nm - 1.5)
    inbound = pattern.line(to_go_nm=fix_nm, right_nm=0.0, turned_deg=0.0)
    outbound = pattern.line(to_go_nm=fix_nm, right_nm=0.0, turned_deg=180.0)
    start = pattern.line(to_go_nm=fix_nm + 7.0, right_nm=0.0, turned_deg=0.0)
    start_ft = altitude_ft + dice.uniform(500.0, 2_000.0)
    minute_nm = handling.circuit_kt / 60.0
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
    once: tuple[Leg, ...] = (
        common.turn(outbound.course_true_deg, right=side > 0),
        common.along(outbound, until_nm=minute_nm, keep_to_it=False, drifts=2.0),
        common.turn(inbound.course_true_deg, right=side > 0),
        common.along(inbound, until_nm=0.0),
    )
    return Sortie(
        handling=handling,
        placement=pattern.aloft(line=start, altitude_ft=start_ft, airspeed_kt=handling.circuit_kt),
        legs=(
            common.along(inbound, until_nm=0.0),
            *once,
            *once,
            *pattern.final(altitude_ft=altitude_ft),
            pattern.land(),
        ),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
    )


def departure(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Taxi onto the runway, take off, climb away to a cruise ten miles out."""
    handling, end = pattern.handling, pattern.end
    away = pattern.line(to_go_nm=0.0, right_nm=0.0, turned_deg=dice.uniform(-60.0, 60.0))
    altitude_ft = end.elevation_ft + dice.uniform(2_000.0, 4_000.0)
    return Sortie(
        handling=handling,
        placement=on_runway(end=end, along_ft=100.0),
        legs=(
            Roll(end=end, speed_kt=9.0, until_groundspeed_kt=8.0),
            _lined_up(pattern),
            TakeOff(end=end, until_height_ft=700.0),
            Along(line=away, altitude_ft=altitude_ft, airspeed_kt=handling.cruise_kt, until_along_nm=10.0),
        ),
        plan=Plan(departure=end.name),
        end=end,
    )


def _lined_up(pattern: Pattern) -> Leg:
    return Stand(seconds=6.0, heading_true_deg=pattern.end.course_true_deg)
