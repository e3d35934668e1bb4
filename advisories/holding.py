"""Holding: which entry, which outbound heading and time, how long the fuel lasts.

Entry     with rel = heading less inbound course for right turns, its mirror for left turns:
          direct 290 to 110 by way of 0, teardrop 110 to 180, parallel 180 to 290; within 5 degrees of a line either
          neighbour will do. FAA AIM 5-3-8 j 3 and j 8; ICAO Doc 8168 vol. I, part I, section 6.
Wind      a hold is two half turns and two straights that end where they began. The two turns together are one full
          circle of air, which closes by itself; so over the ground they add wind x time of a circle, whatever the
          outbound heading. The outbound straight has to take that back and the inbound leg as well:
              outbound air vector x t = -(wind x (circle time + t) + inbound leg over the ground)
          whose length is true airspeed x t: a quadratic in t, and the vector's direction is the heading. Exact.
Rule      three times the inbound correction outbound, to the other side: AIM 5-3-8 j 8 (c).
Directions share one north; speeds in knots, directions in degrees, times in seconds; one aircraft, floats only.
"""

import cmath
import math
from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.real import DomainError
from otherseat.advisories.turns import STANDARD_RATE_DEG_PER_S, rate_deg_per_s
from otherseat.advisories.wind import heading_and_groundspeed

FLEXIBILITY_DEG = 5.0
TEARDROP_OFFSET_DEG = 30.0
ENTRY_LEG_S = 60.0
"""How long to fly outbound in a teardrop or parallel entry: AIM 5-3-8 j 3."""
LEG_S, LEG_ABOVE_S, LEG_CHANGES_ABOVE_FT = 60.0, 90.0, 14_000.0
"""Inbound leg: AIM 5-3-8 j 4."""
FLIGHT_DIRECTOR_BANK_DEG, BANK_DEG = 25.0, 30.0


class Entry(StrEnum):
    """The three ways into a hold."""

    DIRECT = "direct"
    TEARDROP = "teardrop"
    PARALLEL = "parallel"


_LINES_DEG = (110.0, 180.0, 290.0)
"""Where the sectors of a right-hand hold meet, by relative heading."""
_WAYS = (Entry.DIRECT, Entry.TEARDROP, Entry.PARALLEL, Entry.DIRECT)


@dataclass(frozen=True, slots=True)
class Hold:
    """A hold that closes in this wind."""

    inbound_heading_deg: float
    outbound_heading_deg: float
    outbound_s: float
    """Straight and level on the outbound heading."""
    outbound_timed_s: float
    """The same from abeam the fix or wings level, whichever is later, as a pilot times it."""
    lap_s: float


def entry(*, inbound_course_deg: float, heading_deg: float, right_turns: bool) -> Entry:
    """Return the entry for the heading at the fix."""
    relative_deg = _turn_deg(inbound_course_deg, heading_deg, right_turns)
    return _WAYS[bisect_right(_LINES_DEG, relative_deg)]


def acceptable_entries(*, inbound_course_deg: float, heading_deg: float, right_turns: bool) -> frozenset[Entry]:
    """Return every entry that will do: two within 5 degrees of a line between sectors, otherwise one."""
    relative_deg = _turn_deg(inbound_course_deg, heading_deg, right_turns)
    for number, line_deg in enumerate(_LINES_DEG):
        if abs(relative_deg - line_deg) <= FLEXIBILITY_DEG:
            return frozenset(_WAYS[number : number + 2])
    return frozenset({_WAYS[bisect_right(_LINES_DEG, relative_deg)]})


def entry_heading_deg(*, way: Entry, inbound_course_deg: float, right_turns: bool) -> float:
    """Return the heading to take up over the fix, with no wind: outbound, 30 degrees inside it for a teardrop."""
    outbound_deg = inbound_course_deg + 180.0
    if way is Entry.TEARDROP:
        outbound_deg += -TEARDROP_OFFSET_DEG if right_turns else TEARDROP_OFFSET_DEG
    return normal_deg(outbound_deg)


def leg_s(*, altitude_ft: float) -> float:
    """Return how long the inbound leg is to last."""
    return LEG_ABOVE_S if altitude_ft > LEG_CHANGES_ABOVE_FT else LEG_S


def maximum_airspeed_kt(*, altitude_ft: float) -> float:
    """Return the highest indicated airspeed in a hold: AIM 5-3-8 j 2 (a), without its charted exceptions."""
    if altitude_ft <= 6_000.0:  # noqa: PLR2004 - the table of the AIM stands here
        return 200.0
    return 230.0 if altitude_ft <= LEG_CHANGES_ABOVE_FT else 265.0


def turn_rate_deg_per_s(*, true_airspeed_kt: float, flight_director: bool) -> float:
    """Return the rate of turn in a hold: 3 deg/s, or what 30 degrees of bank (25 by flight director) give if less."""
    bank_deg = FLIGHT_DIRECTOR_BANK_DEG if flight_director else BANK_DEG
    return min(STANDARD_RATE_DEG_PER_S, rate_deg_per_s(true_airspeed_kt=true_airspeed_kt, bank_deg=bank_deg))


def hold(
    *,
    inbound_course_deg: float,
    right_turns: bool,
    true_airspeed_kt: float,
    wind_from_deg: float,
    wind_speed_kt: float,
    inbound_leg_s: float = LEG_S,
    rate_deg_per_s: float = STANDARD_RATE_DEG_PER_S,
) -> Hold:
    """Return the outbound heading and time that bring the aircraft back over the fix after that inbound leg.

    Raises DomainError when the wind blows too hard: when two half turns alone drift further back than the
    inbound leg leads forward, no outbound leg can be short enough.
    """
    heading_in_deg, inbound_kt = heading_and_groundspeed(
        course_deg=inbound_course_deg,
        true_airspeed_kt=true_airspeed_kt,
        wind_from_deg=wind_from_deg,
        wind_speed_kt=wind_speed_kt,
    )
    wind = -cmath.rect(wind_speed_kt, math.radians(wind_from_deg - inbound_course_deg))
    circle_s = 360.0 / rate_deg_per_s
    to_undo = inbound_kt * inbound_leg_s + wind * circle_s
    if to_undo.real <= 0.0 or wind_speed_kt >= true_airspeed_kt:
        raise DomainError(f"no hold with an inbound leg of {inbound_leg_s:g} s in a wind of {wind_speed_kt:g} kt")
    outbound_s = _outbound_s(to_undo, wind=wind, true_airspeed_kt=true_airspeed_kt)
    heading_in = math.radians(heading_in_deg - inbound_course_deg)
    heading_out = cmath.phase(-to_undo / outbound_s - wind)
    first_turn_s = _turn_deg(math.degrees(heading_in), math.degrees(heading_out), right_turns) / rate_deg_per_s
    radius = math.copysign(true_airspeed_kt / math.radians(rate_deg_per_s), 1.0 if right_turns else -1.0)
    short_of_abeam = radius * (math.sin(heading_out) - math.sin(heading_in)) + wind.real * first_turn_s
    return Hold(
        inbound_heading_deg=heading_in_deg,
        outbound_heading_deg=normal_deg(inbound_course_deg + math.degrees(heading_out)),
        outbound_s=outbound_s,
        outbound_timed_s=outbound_s * (1.0 - max(0.0, short_of_abeam / to_undo.real)),
        lap_s=circle_s + outbound_s + inbound_leg_s,
    )


def endurance_s(*, fuel_kg: float, reserve_kg: float, fuel_flow_kg_per_h: float) -> float:
    """Return how long the fuel above the reserve lasts; 0 when there is none, infinity when none is burnt."""
    spare_kg = max(0.0, fuel_kg - reserve_kg)
    return spare_kg / fuel_flow_kg_per_h * 3_600.0 if fuel_flow_kg_per_h > 0.0 else math.inf


def _outbound_s(to_undo: complex, *, wind: complex, true_airspeed_kt: float) -> float:
    """Return t > 0 such that |to_undo + wind t| = true airspeed t, in a plane of along + i right of the course."""
    spare = true_airspeed_kt * true_airspeed_kt - abs(wind) ** 2
    half = (to_undo * wind.conjugate()).real
    return (half + math.sqrt(half * half + spare * abs(to_undo) ** 2)) / spare


def _turn_deg(from_deg: float, to_deg: float, right_turns: bool) -> float:  # noqa: FBT001 - three words read well here
    return normal_deg(to_deg - from_deg if right_turns else from_deg - to_deg)
