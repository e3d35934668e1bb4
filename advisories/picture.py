"""Picture: what is worked out from states, plan and runways. Numbers and names only, as they leave on the bus.

Where a Picture and a State have a field of one name, the picture's is the better one: reported when there is a
report, else computed, else by rule of thumb; its source stands beside it.
"""

from dataclasses import dataclass, fields
from enum import StrEnum

from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.runway import RunwayEnd, RunwayTable
from otherseat.advisories.weather_report import Weather


class Source(StrEnum):
    """Where a number comes from."""

    REPORTED = "reported"
    COMPUTED = "computed"
    RULE_OF_THUMB = "rule of thumb"


class Phase(StrEnum):
    """Phase of flight, in the trade's words."""

    PARKED = "parked"
    TAXI = "taxi"
    TAKE_OFF = "take-off"
    CLIMB = "climb"
    CRUISE = "cruise"
    DESCENT = "descent"
    APPROACH = "approach"
    FINAL = "final"
    LANDED = "landed"


@dataclass(frozen=True, slots=True)
class Picture:
    """One aircraft at one moment, worked out."""

    time_s: float
    aircraft: str
    phase: Phase

    altitude_ft: float | None = None
    altitude_source: Source | None = None
    groundspeed_kt: float | None = None
    track_true_deg: float | None = None
    vertical_speed_fpm: float | None = None
    heading_true_deg: float | None = None
    magnetic_variation_deg: float | None = None
    """East positive. What is said and shown as a heading is magnetic when this is known."""
    true_airspeed_kt: float | None = None
    true_airspeed_source: Source | None = None
    wind_from_true_deg: float | None = None
    wind_speed_kt: float | None = None
    wind_source: Source | None = None

    runway: str | None = None
    """Full name of the runway end that the numbers below are about."""
    runway_source: str | None = None
    """plan, or track when the plan names none."""
    distance_to_threshold_nm: float | None = None
    """Along the centreline; negative beyond the threshold."""
    offset_ft: float | None = None
    """Right of the centreline is positive."""
    course_difference_deg: float | None = None
    """Track minus the runway's course: right is positive."""
    height_above_threshold_ft: float | None = None
    path_height_ft: float | None = None
    """Height above the threshold at which the path runs here."""
    height_above_path_ft: float | None = None
    path_deviation_deg: float | None = None
    sink_to_hold_fpm: float | None = None
    sink_to_regain_fpm: float | None = None
    """None when it can't be saved by the next gate."""
    next_gate_ft: float | None = None
    """Height above the threshold of the gate by which to regain the path."""
    headwind_kt: float | None = None
    crosswind_kt: float | None = None
    """From the right is positive."""

    tracked_runway: str | None = None
    """The runway end that the present track leads to, once that is certain."""
    tracked_distance_nm: float | None = None
    """Along its centreline to its threshold."""
    surface_runway: str | None = None
    """On the ground: the runway end that this surface and heading are."""
    runway_ahead_ft: float | None = None
    """From here to the far end of that surface."""
    next_point: str | None = None
    """The fix of the route that is flown to, or the destination."""
    distance_to_next_point_nm: float | None = None
    bearing_to_next_point_deg: float | None = None
    last_fix: str | None = None
    """The fix of the route that was passed last."""
    past_fix_nm: float | None = None
    """From that fix, since it was passed."""
    distance_to_go_nm: float | None = None
    """To the destination along what is left of the route."""
    top_of_descent_nm: float | None = None
    """How far ahead it is along the route; negative once passed."""
    descent_angle_needed_deg: float | None = None
    """Straight down from here to 1,000 ft above the destination, 3 NM before it."""

    destination: str | None = None
    distance_to_destination_nm: float | None = None
    bearing_to_destination_deg: float | None = None
    closing_speed_kt: float | None = None
    """Positive while the destination comes nearer."""
    past_destination_nm: float | None = None
    """How far beyond the closest point, once that is behind."""


@dataclass(frozen=True, slots=True)
class Reference:
    """The places and tables that a picture was worked out against. Stays inside; not published."""

    runways: RunwayTable
    plan: ResolvedPlan
    departure_end: RunwayEnd | None = None
    """The end that the plan takes off from."""
    arrival_end: RunwayEnd | None = None
    """The end of Picture.runway."""
    tracked_end: RunwayEnd | None = None
    surface_end: RunwayEnd | None = None
    weather: Weather | None = None
    """The destination's report."""
    profile: AircraftProfile | None = None


PICTURE_FIELDS: frozenset[str] = frozenset(field.name for field in fields(Picture))
REFERENCE_FIELDS: frozenset[str] = frozenset(field.name for field in fields(Reference))
