"""Faults on the way: the destination passed, the descent not begun, the final flown through.

They grow while they last. At half the threshold the pilot mends them alone; at the whole one nobody does.
"""

import math
import random

from otherseat.advisories.descent import GATE_FT, GATE_NM, KT_PER_NM, USUAL_PATH_DEG
from otherseat.advisories.destination import DestinationParams
from otherseat.advisories.joining import JoiningParams
from otherseat.advisories.plan import Plan
from otherseat.advisories.top_of_descent import TopOfDescentParams
from otherseat.advisories.turns import radius_nm
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.evaluation import truth
from otherseat.daemon.evaluation.deadlines import PASSED_WITHIN_S, before_along, flatter_than, within
from otherseat.daemon.evaluation.faults import finals
from otherseat.daemon.evaluation.pattern import Pattern, Steady
from otherseat.daemon.evaluation.sortie import Fault, Sortie
from otherseat.daemon.evaluation.truth import SEEN_FROM
from otherseat.daemon.flight_model.legs import Leg, Line
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.world import World, beside

COMES_DOWN_S = 75.0
"""So long an arrival comes down before, so that it is an arrival and no cruise."""
PASSED_LEADS_MIN = 3.0
"""Only what was flown towards for 2 NM can be passed."""
LEADS_MIN = 2.0
"""So long it is flown before it comes to the fault."""
TURN_BACK_KT = 1.05
"""True over indicated airspeed at the heights of these flights, about."""
ROLL_NM = 0.05
"""Flown while the bank comes on."""


def passed(*, dice: random.Random, world: World, pattern: Pattern, size: float) -> Sortie:
    """Cruise over or past the destination and on; or turn back beside it, so many times the limit beyond."""
    course_deg, right, params = dice.uniform(0.0, 360.0), dice.choice((-1, 1)), DestinationParams()
    field = world.runways.airfield(pattern.end.airfield)
    over = Line.through(latitude_deg=field.latitude_deg, longitude_deg=field.longitude_deg, course_true_deg=course_deg)
    altitude_ft, past_nm = field.elevation_ft + dice.uniform(1_800.0, 4_000.0), size * params.advice_nm
    turns_back = size < SEEN_FROM
    beside_ft = (
        -right * _turn_radius_nm(pattern.handling) * FT_PER_NM if turns_back else dice.uniform(-9_000.0, 9_000.0)
    )
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=pattern.handling.cruise_kt)
    on: tuple[Leg, ...] = (
        (
            common.along(over, until_nm=0.5 * past_nm, offset_ft=beside_ft),
            common.turn((course_deg + 180.0) % 360.0, right=right > 0),
        )
        if turns_back
        else (common.along(over, until_nm=8.0, offset_ft=beside_ft),)
    )
    return Sortie(
        handling=pattern.handling,
        placement=beside(
            line=over,
            along_nm=-PASSED_LEADS_MIN * pattern.handling.cruise_kt / 60.0,
            across_ft=beside_ft,
            ground_ft=field.elevation_ft,
            altitude_ft=altitude_ft,
            airspeed_kt=pattern.handling.cruise_kt,
        ),
        legs=(common.along(over, until_nm=0.0, offset_ft=beside_ft), *on),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
        fault=Fault(
            alerts=frozenset({"destination-passed"}),
            begins=1,
            useful=within(PASSED_WITHIN_S),
            size=truth.behind(place=over, limit_nm=params.advice_nm),
            from_size=0.0,
        ),
    )


def _turn_radius_nm(handling: Handling) -> float:
    return radius_nm(true_airspeed_kt=TURN_BACK_KT * handling.cruise_kt, bank_deg=handling.most_bank_deg)


def never_down(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Stay in the cruise beyond the point of descent; or start down so many times the limit beyond it."""
    handling, end, params = pattern.handling, pattern.end, TopOfDescentParams()
    height_ft = dice.uniform(5_000.0, 6_500.0)
    down_nm = (height_ft - GATE_FT) / FT_PER_NM / math.tan(math.radians(USUAL_PATH_DEG))
    point_nm = GATE_NM + down_nm + (handling.cruise_kt - handling.reference_kt) / KT_PER_NM
    final = pattern.line(to_go_nm=0.0, right_nm=0.0, turned_deg=0.0)
    common = Steady(altitude_ft=end.elevation_ft + height_ft, airspeed_kt=handling.cruise_kt)
    below = Steady(altitude_ft=end.elevation_ft + GATE_FT, airspeed_kt=handling.circuit_kt)
    goes_down = size < SEEN_FROM
    starts_nm = point_nm - size * params.late_nm if goes_down else GATE_NM
    return Sortie(
        handling=handling,
        placement=pattern.aloft(
            line=pattern.line(to_go_nm=point_nm + 3.0, right_nm=dice.uniform(-0.5, 0.5), turned_deg=0.0),
            altitude_ft=common.altitude_ft,
            airspeed_kt=common.airspeed_kt,
        ),
        legs=(
            common.along(final, until_nm=-point_nm),
            common.along(final, until_nm=-starts_nm),
            *((below.along(final, until_nm=-GATE_NM),) if goes_down else ()),
        ),
        plan=Plan(destination=end.name, cruise_altitude_ft=common.altitude_ft),
        end=end,
        fault=Fault(
            alerts=frozenset({"top-of-descent-passed"}),
            begins=1,
            useful=flatter_than(params.steep_factor * USUAL_PATH_DEG, gate_ft=GATE_FT, gate_nm=GATE_NM, end=end),
        ),
    )


def flown_through(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Led onto the final at 30 to 45 degrees, and straight across it; or a turn that ends a little beyond."""
    side, handling = pattern.side, pattern.handling
    altitude_ft = pattern.path_altitude_ft(dice.uniform(5.0, 7.0))
    joins_nm = pattern.meets_path_nm(altitude_ft) + dice.uniform(0.5, 2.0)
    angle_deg, params = dice.uniform(30.0, 45.0), JoiningParams()
    across = pattern.line(to_go_nm=joins_nm, right_nm=0.0, turned_deg=-side * angle_deg)
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
    on: tuple[Leg, ...] = (common.along(across, until_nm=2.0),)
    if size < SEEN_FROM:
        turn_nm = radius_nm(true_airspeed_kt=TURN_BACK_KT * handling.circuit_kt, bank_deg=handling.most_bank_deg)
        offset_nm = turn_nm * (1.0 - math.cos(math.radians(angle_deg))) - size * params.through_nm
        level, _ = finals(pattern.final(altitude_ft=altitude_ft))
        on = (
            common.along(across, until_nm=-offset_nm / math.sin(math.radians(angle_deg)) - ROLL_NM),
            common.turn(pattern.end.course_true_deg, right=side > 0),
            level,
        )
    return Sortie(
        handling=handling,
        placement=beside(
            line=across,
            along_nm=-LEADS_MIN * handling.circuit_kt / 60.0,
            altitude_ft=altitude_ft + COMES_DOWN_S / 60.0 * handling.sink_fpm,
            airspeed_kt=handling.circuit_kt,
            ground_ft=pattern.end.elevation_ft,
        ),
        legs=on,
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
        fault=Fault(
            alerts=frozenset({"joining-through", "joining-crossed"}),
            begins=0,
            useful=before_along(across, nm=1.0, words="before 1 NM beyond"),
            size=truth.Beyond(end=pattern.end, limit_nm=params.through_nm),
            kept_s=0.0,
            from_size=float("-inf"),
        ),
    )
