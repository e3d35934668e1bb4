"""Faults, one at a time. A size of 1.0 is the threshold of the check that should see it."""

import math
import random
from dataclasses import replace

from otherseat.advisories.centreline import CentrelineParams
from otherseat.advisories.destination import DestinationParams
from otherseat.advisories.glidepath import GlidepathParams
from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM
from otherseat.config.profiles import read_profile
from otherseat.daemon.evaluation.normal import straight_in
from otherseat.daemon.evaluation.pattern import Pattern, Steady
from otherseat.daemon.evaluation.sortie import Fault, Sortie, TooLate
from otherseat.daemon.flight_model.legs import Final, Leg, Line, Roll, Stand
from otherseat.daemon.flight_model.model import View
from otherseat.daemon.flight_model.world import World, beside, line_of, on_runway

BEFORE_KT = 40.0
PASSED_WITHIN_S = 60.0
UNSTABLE_ABOVE_FT = 400.0
LANDING_ABOVE_FT = 300.0
ASIDE_NM = 1.5
COMES_DOWN_FT = 900.0
"""So much higher an arrival starts, so that it is an arrival and no cruise."""


def high(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down a path that is steeper than the runway's."""
    return _off_path(dice=dice, pattern=pattern, off_deg=size * GlidepathParams().high_deg, alert="glidepath-high")


def low(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down a path that is flatter than the runway's."""
    return _off_path(dice=dice, pattern=pattern, off_deg=-size * GlidepathParams().low_deg, alert="glidepath-low")


def _off_path(*, dice: random.Random, pattern: Pattern, off_deg: float, alert: str) -> Sortie:
    angle_deg = pattern.end.path_angle_deg + off_deg
    altitude_ft = pattern.path_altitude_ft(dice.uniform(5.0, 6.5))
    far_nm = pattern.meets_path_nm(altitude_ft, angle_deg=angle_deg) + dice.uniform(1.0, 2.0)
    line = pattern.line(to_go_nm=far_nm, right_nm=dice.uniform(-0.2, 0.2), turned_deg=0.0)
    return Sortie(
        handling=pattern.handling,
        placement=pattern.aloft(line=line, altitude_ft=altitude_ft, airspeed_kt=pattern.handling.circuit_kt),
        legs=pattern.final(altitude_ft=altitude_ft, angle_deg=angle_deg, until_nm=0.8),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
        fault=Fault(alerts=frozenset({alert}), begins=1, too_late=lower_than(UNSTABLE_ABOVE_FT, above=pattern.end)),
    )


def aside(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down beside the centreline, along it: so many times the profile's angle at ASIDE_NM before the threshold."""
    angle_deg = size * read_profile(pattern.handling.profile).offset_deg
    seen_ft = (ASIDE_NM + CentrelineParams().aim_nm) * FT_PER_NM * math.tan(math.radians(angle_deg))
    good = straight_in(dice=dice, pattern=pattern)
    beside_ft = dice.choice((-1, 1)) * seen_ft
    level, down = _final_of(good)
    return replace(
        good,
        legs=(replace(level, offset_ft=beside_ft), replace(down, offset_ft=beside_ft, until_to_go_nm=1.0)),
        fault=Fault(
            alerts=frozenset({"offset-left", "offset-right"}),
            begins=1,
            too_late=lower_than(UNSTABLE_ABOVE_FT, above=pattern.end),
        ),
    )


def fast(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down the path too fast."""
    profile = read_profile(pattern.handling.profile)
    return _at_speed(dice=dice, pattern=pattern, off_kt=size * profile.approach_faster_kt, alert="too-fast")


def slow(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down the path too slowly."""
    profile = read_profile(pattern.handling.profile)
    return _at_speed(dice=dice, pattern=pattern, off_kt=-size * profile.approach_slower_kt, alert="too-slow")


def _at_speed(*, dice: random.Random, pattern: Pattern, off_kt: float, alert: str) -> Sortie:
    good = straight_in(dice=dice, pattern=pattern)
    level, down = _final_of(good)
    speed_kt = pattern.handling.reference_kt + off_kt
    return replace(
        good,
        legs=(level, replace(down, airspeed_kt=speed_kt, until_to_go_nm=0.8)),
        fault=Fault(alerts=frozenset({alert}), begins=1, too_late=lower_than(UNSTABLE_ABOVE_FT, above=pattern.end)),
    )


def _final_of(good: Sortie) -> tuple[Final, Final]:
    """Return the two legs of a straight-in approach before the landing."""
    level, down, _ = good.legs
    if not isinstance(level, Final) or not isinstance(down, Final):
        raise TypeError("a straight-in approach has two legs before the landing")
    return level, down


def flown_through(*, dice: random.Random, pattern: Pattern) -> Sortie:
    """Led onto the final at 30 to 45 degrees, and straight across it."""
    side, handling = pattern.side, pattern.handling
    altitude_ft = pattern.path_altitude_ft(dice.uniform(5.0, 7.0))
    joins_nm = pattern.meets_path_nm(altitude_ft) + dice.uniform(0.5, 2.0)
    across = pattern.line(to_go_nm=joins_nm, right_nm=0.0, turned_deg=-side * dice.uniform(30.0, 45.0))
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
    return Sortie(
        handling=handling,
        placement=beside(
            line=across,
            along_nm=-5.0,
            altitude_ft=altitude_ft + COMES_DOWN_FT,
            airspeed_kt=handling.circuit_kt,
            ground_ft=pattern.end.elevation_ft,
        ),
        legs=(common.along(across, until_nm=-0.3), common.along(across, until_nm=2.0)),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
        fault=Fault(
            alerts=frozenset({"joining-through", "joining-crossed"}), begins=0, too_late=beyond(across, nm=1.0)
        ),
    )


def tailwind(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Land with the wind behind, so many times the profile's limit."""
    good = straight_in(dice=dice, pattern=pattern)
    level, down = _final_of(good)
    limit_kt = read_profile(pattern.handling.profile).most_tailwind_kt
    return replace(
        good,
        legs=(level, replace(down, until_to_go_nm=0.6)),
        tailwind_kt=size * limit_kt,
        fault=Fault(alerts=frozenset({"tailwind"}), begins=1, too_late=lower_than(LANDING_ABOVE_FT, above=pattern.end)),
    )


def never_down(*, dice: random.Random, world: World, pattern: Pattern) -> Sortie:
    """Stay in a high cruise until the destination is near."""
    altitude_ft = pattern.end.elevation_ft + dice.uniform(5_000.0, 6_500.0)
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=pattern.handling.cruise_kt)
    return Sortie(
        handling=pattern.handling,
        placement=beside(
            line=world.way,
            along_nm=-26.0,
            altitude_ft=altitude_ft,
            airspeed_kt=pattern.handling.cruise_kt,
            ground_ft=pattern.end.elevation_ft,
        ),
        legs=(common.along(world.way, until_nm=-24.0), common.along(world.way, until_nm=-5.0)),
        plan=Plan(destination=pattern.end.name, cruise_altitude_ft=altitude_ft),
        end=pattern.end,
        fault=Fault(alerts=frozenset({"top-of-descent-passed"}), begins=1, too_late=beyond(world.way, nm=-8.0)),
    )


def wrong_landing(
    *, dice: random.Random, pattern: Pattern, planned: RunwayEnd, alert: str = "wrong-runway-arrival"
) -> Sortie:
    """Fly a good straight-in approach, to another runway end than the planned one."""
    good = straight_in(dice=dice, pattern=pattern)
    return replace(
        good,
        plan=Plan(destination=planned.name),
        fault=Fault(alerts=frozenset({alert}), begins=1, too_late=lower_than(LANDING_ABOVE_FT, above=pattern.end)),
    )


def wrong_take_off(
    *, pattern: Pattern, planned: RunwayEnd, alert: str, beside_ft: float = 0.0, rolling: bool = False
) -> Sortie:
    """Line up where the plan does not say, and begin the take-off; beside_ft right of the runway is a taxiway."""
    end = _shifted(pattern.end, beside_ft)
    stand: tuple[Leg, ...] = () if rolling else (Stand(seconds=8.0, heading_true_deg=end.course_true_deg),)
    return Sortie(
        handling=pattern.handling,
        placement=on_runway(end=end, along_ft=150.0),
        legs=(*stand, Roll(end=end, speed_kt=80.0, until_groundspeed_kt=50.0)),
        plan=Plan(departure=planned.name),
        end=pattern.end,
        fault=Fault(alerts=frozenset({alert}), begins=0, too_late=faster_than(BEFORE_KT)),
    )


def passed(*, dice: random.Random, world: World, pattern: Pattern, size: float) -> Sortie:
    """Cruise over or past the destination and on, so many times the advisory's distance, then turn back."""
    course_deg = dice.uniform(0.0, 360.0)
    field = world.runways.airfield(pattern.end.airfield)
    over = Line.through(latitude_deg=field.latitude_deg, longitude_deg=field.longitude_deg, course_true_deg=course_deg)
    altitude_ft = field.elevation_ft + dice.uniform(1_800.0, 4_000.0)
    beside_ft = dice.uniform(-9_000.0, 9_000.0)
    past_nm = size * DestinationParams().advice_nm
    common = Steady(altitude_ft=altitude_ft, airspeed_kt=pattern.handling.cruise_kt)
    return Sortie(
        handling=pattern.handling,
        placement=beside(
            line=over,
            along_nm=-5.0,
            across_ft=beside_ft,
            ground_ft=field.elevation_ft,
            altitude_ft=altitude_ft,
            airspeed_kt=pattern.handling.cruise_kt,
        ),
        legs=(
            common.along(over, until_nm=0.0, offset_ft=beside_ft),
            common.along(over, until_nm=past_nm, offset_ft=beside_ft),
            common.turn((course_deg + 180.0) % 360.0, right=dice.choice((False, True))),
        ),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
        fault=Fault(alerts=frozenset({"destination-passed"}), begins=1, too_late=later_than(PASSED_WITHIN_S)),
    )


def lower_than(height_ft: float, *, above: RunwayEnd) -> TooLate:
    """Too late below a height above a runway end."""

    def too_late(view: View, since_s: float) -> bool:  # noqa: ARG001 - one signature for all
        return view.altitude_ft - above.elevation_ft < height_ft

    return too_late


def beyond(line: Line, *, nm: float) -> TooLate:
    """Too late so far along a line."""

    def too_late(view: View, since_s: float) -> bool:  # noqa: ARG001 - one signature for all
        return line.locate(view)[0] >= nm

    return too_late


def faster_than(speed_kt: float) -> TooLate:
    """Too late from a groundspeed up."""

    def too_late(view: View, since_s: float) -> bool:  # noqa: ARG001 - one signature for all
        return view.groundspeed_kt >= speed_kt

    return too_late


def later_than(seconds: float) -> TooLate:
    """Too late so long after it began."""

    def too_late(view: View, since_s: float) -> bool:  # noqa: ARG001 - one signature for all
        return since_s > seconds

    return too_late


def _shifted(end: RunwayEnd, beside_ft: float) -> RunwayEnd:
    if beside_ft == 0.0:
        return end
    latitude_deg, longitude_deg = line_of(end).position(along_ft=0.0, across_ft=beside_ft)
    return replace(end, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
