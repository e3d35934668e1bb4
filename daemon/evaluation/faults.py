"""Faults on final, one at a time. A size of 1.0 is the threshold of the check that should see it.

high, low, aside, fast, slow  kept all the way down the final
high_untold                   high, and the pilot has told no plan
steep                         a sink rate that crosses the path at the second gate
tailwind, setting             not flown but set: the wind and the altimeter
"""

import math
import random
from dataclasses import dataclass, replace

from otherseat.advisories.altimeter import AltimeterParams
from otherseat.advisories.approach_speed import ApproachSpeedParams
from otherseat.advisories.centreline import CentrelineParams
from otherseat.advisories.gates import SECOND_FT, SINK, GatesParams
from otherseat.advisories.glidepath import GlidepathParams
from otherseat.advisories.plan import Plan
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM
from otherseat.config.profiles import read_profile
from otherseat.daemon.evaluation import truth
from otherseat.daemon.evaluation.deadlines import LANDING_ABOVE_FT, SETTING_ABOVE_FT, UNSTABLE_ABOVE_FT, above
from otherseat.daemon.evaluation.pattern import Pattern
from otherseat.daemon.evaluation.sortie import Fault, Sortie
from otherseat.daemon.flight_model.guidance import bank_to_centreline, spot
from otherseat.daemon.flight_model.legs import Final, Leg
from otherseat.daemon.flight_model.loops import Demand, Handling
from otherseat.daemon.flight_model.model import View

ASIDE_NM = 1.5
FLOWN_UNTIL_FT = 300.0
"""Above the runway: well below the last moment at which an alert is of use."""
BUILDS_S = 18.0
"""From the path to the gate at the full rate, so that it has been reached by then."""
LAGS = 1.1
"""What is asked of the hands for what comes of it while the dive still steepens."""
NOSE_DOWN_DEG = -18.0


def short_approach(
    *,
    dice: random.Random,
    pattern: Pattern,
    angle_deg: float | None = None,
    beside_ft: float = 0.0,
    comes_kt: float | None = None,
) -> Sortie:
    """Put down shortly before the path, level to it and down it, beside the centreline if so told; nothing is wrong."""
    handling, comes_kt = pattern.handling, comes_kt or pattern.slow_kt
    altitude_ft = pattern.path_altitude_ft(dice.uniform(4.2, 5.2))
    before_nm = handling.circuit_kt / 100.0 * dice.uniform(0.9, 1.3)
    far_nm = pattern.meets_path_nm(altitude_ft, angle_deg=angle_deg) + before_nm
    right_nm = beside_ft / FT_PER_NM + dice.uniform(-0.1, 0.1)
    until_nm = FLOWN_UNTIL_FT / FT_PER_NM / math.tan(math.radians(pattern.end.path_angle_deg))
    level, down = finals(pattern.final(altitude_ft=altitude_ft, angle_deg=angle_deg, until_nm=until_nm))
    return Sortie(
        handling=handling,
        placement=pattern.aloft(
            line=pattern.line(to_go_nm=far_nm, right_nm=right_nm, turned_deg=0.0),
            altitude_ft=altitude_ft,
            airspeed_kt=max(comes_kt, handling.circuit_kt),
        ),
        legs=(replace(level, offset_ft=beside_ft, airspeed_kt=comes_kt), replace(down, offset_ft=beside_ft)),
        plan=Plan(destination=pattern.end.name),
        end=pattern.end,
    )


def finals(legs: tuple[Leg, ...]) -> tuple[Final, Final]:
    """Return the two legs of a final: level, and down."""
    level, down = legs
    if not isinstance(level, Final) or not isinstance(down, Final):
        raise TypeError("a final is flown in two legs, both called so")
    return level, down


def profile_of(pattern: Pattern) -> AircraftProfile:
    """Return the limits of the aircraft's kind."""
    return read_profile(pattern.handling.profile)


def unstable(pattern: Pattern, *alerts: str, size: truth.Size, kept_s: float = 10.0) -> Fault:
    """Return a fault of an approach that must be said while there is room to go around calmly."""
    return Fault(
        alerts=frozenset(alerts), begins=0, useful=above(UNSTABLE_ABOVE_FT, end=pattern.end), size=size, kept_s=kept_s
    )


def high(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down a path that is steeper than the runway's."""
    return _off_path(
        dice=dice, pattern=pattern, size=size, limit_deg=GlidepathParams().high_deg, alert="glidepath-high"
    )


def high_untold(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down a path that is steeper than the runway's, which no plan names."""
    return replace(high(dice=dice, pattern=pattern, size=size), plan=Plan())


def low(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down a path that is flatter than the runway's."""
    return _off_path(dice=dice, pattern=pattern, size=size, limit_deg=-GlidepathParams().low_deg, alert="glidepath-low")


def _off_path(*, dice: random.Random, pattern: Pattern, size: float, limit_deg: float, alert: str) -> Sortie:
    angle_deg = pattern.end.path_angle_deg + size * limit_deg
    really = truth.off_path(end=pattern.end, limit_deg=limit_deg, quiet_nm=GlidepathParams().quiet_nm)
    good = short_approach(dice=dice, pattern=pattern, angle_deg=angle_deg)
    return replace(good, fault=replace(unstable(pattern, alert, size=really), begins=1))


def aside(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down beside the centreline, along it: so many times the profile's angle at ASIDE_NM before the threshold."""
    params, limit_deg, right = CentrelineParams(), profile_of(pattern).offset_deg, dice.choice((-1, 1))
    seen_ft = (ASIDE_NM + params.aim_nm) * FT_PER_NM * math.tan(math.radians(size * limit_deg))
    really = truth.off_centreline(
        end=pattern.end, limit_deg=right * limit_deg, aim_nm=params.aim_nm, below_ft=params.below_ft
    )
    return replace(
        short_approach(dice=dice, pattern=pattern, beside_ft=right * seen_ft),
        fault=unstable(pattern, "offset-right" if right > 0 else "offset-left", size=really),
    )


def fast(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down the path too fast."""
    limit_kt = profile_of(pattern).approach_faster_kt
    return _at_speed(dice=dice, pattern=pattern, size=size, limit_kt=limit_kt, alert="too-fast")


def slow(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Come down the path too slowly."""
    limit_kt = -profile_of(pattern).approach_slower_kt
    return _at_speed(dice=dice, pattern=pattern, size=size, limit_kt=limit_kt, alert="too-slow")


def _at_speed(*, dice: random.Random, pattern: Pattern, size: float, limit_kt: float, alert: str) -> Sortie:
    wanted_kt = pattern.handling.reference_kt
    speed_kt = wanted_kt + size * limit_kt
    comes_kt = max(speed_kt, pattern.slow_kt)
    good = short_approach(dice=dice, pattern=pattern, comes_kt=comes_kt)
    level, down = finals(tuple(good.legs))
    really = truth.off_speed(
        end=pattern.end, wanted_kt=wanted_kt, limit_kt=limit_kt, below_ft=ApproachSpeedParams().below_ft
    )
    return replace(
        good,
        legs=(level, replace(down, airspeed_kt=speed_kt)),
        fault=unstable(pattern, alert, size=really),
    )


@dataclass(slots=True)
class Dive:
    """Sink at a rate along the centreline, whatever the speed becomes, down to a height."""

    end: RunwayEnd
    sink_fpm: float
    airspeed_kt: float
    flaps: float
    until_height_ft: float

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Keep the centreline and the rate."""
        place = spot(view=view, end=self.end)
        bank = bank_to_centreline(
            view=view,
            end=self.end,
            place=place,
            handling=handling,
            most_deg=10.0,
            most_bank_deg=handling.most_bank_deg,
        )
        return Demand(
            bank_deg=bank,
            vertical_speed_fpm=-self.sink_fpm,
            airspeed_kt=self.airspeed_kt,
            flaps=self.flaps,
        )

    def done(self, *, view: View) -> bool:
        """Say whether it is low enough."""
        return view.altitude_ft - self.end.elevation_ft <= self.until_height_ft


def steep(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Leave the path shortly before the second gate, sinking so many times as fast as the profile allows."""
    handling, sink_fpm = pattern.handling, size * profile_of(pattern).most_sink_fpm
    good = short_approach(dice=dice, pattern=pattern)
    level, down = finals(tuple(good.legs))
    builds_s = BUILDS_S if size >= truth.SEEN_FROM else GatesParams().calm_s
    dives_ft = SECOND_FT + builds_s * sink_fpm / 60.0
    dive = Dive(
        end=pattern.end,
        sink_fpm=sink_fpm * (LAGS if size >= truth.SEEN_FROM else 1.0),
        airspeed_kt=handling.approach_kt,
        flaps=handling.approach_flaps,
        until_height_ft=FLOWN_UNTIL_FT,
    )
    really = truth.sinking(end=pattern.end, limit_fpm=profile_of(pattern).most_sink_fpm, below_ft=dives_ft)
    fault = unstable(pattern, "gate-500-unsettled", size=really, kept_s=GatesParams().calm_s)
    return replace(
        good,
        handling=replace(handling, least_pitch_deg=NOSE_DOWN_DEG),
        legs=(level, replace(down, until_to_go_nm=pattern.meets_path_nm(pattern.end.elevation_ft + dives_ft)), dive),
        fault=replace(fault, begins=2, from_size=0.0, reason=SINK),
    )


def tailwind(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Land with the wind behind, so many times the profile's limit."""
    return replace(
        short_approach(dice=dice, pattern=pattern),
        tailwind_kt=size * profile_of(pattern).most_tailwind_kt,
        fault=Fault(alerts=frozenset({"tailwind"}), begins=1, useful=above(LANDING_ABOVE_FT, end=pattern.end)),
    )


def setting(*, dice: random.Random, pattern: Pattern, size: float) -> Sortie:
    """Arrive with the altimeter set so many times the check's limit off what the field reports."""
    return replace(
        short_approach(dice=dice, pattern=pattern),
        setting_off_hpa=dice.choice((-1, 1)) * size * AltimeterParams().limit_hpa,
        fault=Fault(alerts=frozenset({"altimeter"}), begins=0, useful=above(SETTING_ABOVE_FT, end=pattern.end)),
    )
