"""Joins: from a track that crosses the extended centreline onto the centreline.

A turn carries the aircraft along and across the course while it changes the track; it must start when what is left
of the offset is what the turn takes up. Without wind that is R (1 - cos(angle)) across and R sin(angle) along. In wind
the circle is flown in the air and the air moves on meanwhile, so turn_in_wind adds wind x time; it ends on
the heading that holds the course, not on the course. Rolling in and out takes time too: a roll of `roll_s`
counts as half of it straight ahead before and half after.

As the picture has it: distance to the threshold along the centreline, positive before it; offset right of the
centreline positive; course difference is track less course, right positive. Distances in nautical miles, speeds in
knots; one aircraft at a time, floats only. Source: plane kinematics of a steady turn; checked against numerical
integration and a flown turn.
"""

import math
from dataclasses import dataclass

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.turns import radius_nm, rate_deg_per_s
from otherseat.advisories.wind import components_kt, heading_and_groundspeed

PARALLEL_DEG = 0.5
"""Tracks closer to the course than this don't cross it in any useful time."""
SECONDS_PER_HOUR = 3_600.0


@dataclass(frozen=True, slots=True)
class Turn:
    """What a turn onto a course does: displacement along and right of the course, and how long it takes."""

    along_nm: float
    across_nm: float
    time_s: float


@dataclass(frozen=True, slots=True)
class Join:
    """How a track leads onto the centreline."""

    angle_deg: float
    """Between track and course, without sign."""
    time_to_centreline_s: float
    crossing_distance_nm: float
    """From the threshold back to where the track crosses the centreline; negative beyond the threshold."""
    lead_nm: float
    """Along the track, before the crossing: where the turn must start."""
    time_to_turn_s: float
    """Negative when it is late."""
    established_distance_nm: float
    """From the threshold back to where a turn that starts in time ends."""
    overshoot_nm: float
    """How far through the centreline a turn that starts now ends; negative: short of it."""


def turn_in_still_air(
    *, course_difference_deg: float, groundspeed_kt: float, bank_deg: float, roll_s: float = 0.0
) -> Turn:
    """Return the turn onto the course with no wind, or by the groundspeed alone where the wind is not known."""
    return turn_in_wind(
        heading_deg=course_difference_deg,
        course_deg=0.0,
        true_airspeed_kt=groundspeed_kt,
        bank_deg=bank_deg,
        wind_from_deg=0.0,
        wind_speed_kt=0.0,
        roll_s=roll_s,
    )


def turn_in_wind(
    *,
    heading_deg: float,
    course_deg: float,
    true_airspeed_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_speed_kt: float,
    roll_s: float = 0.0,
) -> Turn:
    """Return the turn, the short way round, from a heading to the one that holds the course.

    Directions share one north. Raises DomainError when the wind lets no heading hold the course.
    """
    heading_out_deg, _ = heading_and_groundspeed(
        course_deg=course_deg,
        true_airspeed_kt=true_airspeed_kt,
        wind_from_deg=wind_from_deg,
        wind_speed_kt=wind_speed_kt,
    )
    turn_deg = difference_deg(heading_out_deg, heading_deg)
    radius = math.copysign(radius_nm(true_airspeed_kt=true_airspeed_kt, bank_deg=bank_deg), turn_deg)
    turn_s = abs(turn_deg) / rate_deg_per_s(true_airspeed_kt=true_airspeed_kt, bank_deg=bank_deg)
    before, after = math.radians(heading_deg - course_deg), math.radians(heading_out_deg - course_deg)
    straight_nm = true_airspeed_kt * roll_s / 2.0 / SECONDS_PER_HOUR
    hours = (turn_s + roll_s) / SECONDS_PER_HOUR
    head_kt, cross_kt = components_kt(
        wind_from_true_deg=wind_from_deg, wind_speed_kt=wind_speed_kt, course_true_deg=course_deg
    )
    along_nm = radius * (math.sin(after) - math.sin(before)) + straight_nm * (math.cos(before) + math.cos(after))
    across_nm = radius * (math.cos(before) - math.cos(after)) + straight_nm * (math.sin(before) + math.sin(after))
    return Turn(along_nm=along_nm - head_kt * hours, across_nm=across_nm - cross_kt * hours, time_s=turn_s + roll_s)


def join(
    *,
    distance_to_threshold_nm: float,
    offset_nm: float,
    course_difference_deg: float,
    groundspeed_kt: float,
    turn: Turn,
) -> Join | None:
    """Return how the present track leads onto the centreline; None if it doesn't: parallel, away, on it, standing."""
    difference = difference_deg(course_difference_deg, 0.0)
    angle_deg = abs(difference)
    closing = math.sin(math.radians(angle_deg)) if offset_nm * difference < 0.0 else 0.0
    if closing <= 0.0 or not PARALLEL_DEG < angle_deg < 180.0 - PARALLEL_DEG or groundspeed_kt <= 0.0:
        return None
    per_s = groundspeed_kt / SECONDS_PER_HOUR
    crossing_s = abs(offset_nm) / (closing * per_s)
    onward = math.cos(math.radians(angle_deg)) * per_s
    overshoot_nm = -math.copysign(1.0, offset_nm) * (offset_nm + turn.across_nm)
    to_turn_s = -overshoot_nm / (closing * per_s)
    return Join(
        angle_deg=angle_deg,
        time_to_centreline_s=crossing_s,
        crossing_distance_nm=distance_to_threshold_nm - onward * crossing_s,
        lead_nm=(crossing_s - to_turn_s) * per_s,
        time_to_turn_s=to_turn_s,
        established_distance_nm=distance_to_threshold_nm - onward * to_turn_s - turn.along_nm,
        overshoot_nm=overshoot_nm,
    )
