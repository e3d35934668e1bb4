"""Picture: what is worked out from states, plan and runways. Numbers and names only, as they leave on the bus.

Where a Picture and a State have a field of one name, the picture's is the better one: reported when there is a
report, else computed, else by rule of thumb; its source stands beside it. What a screen shows and nothing improves
(position, pause) is there as told, so that whoever draws needs no states, which come far more often.
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
    """The state's time, in seconds."""
    aircraft: str
    """Whom it is about."""
    phase: Phase
    """Phase of flight."""

    latitude_deg: float | None = None
    """Where the aircraft is, as told: WGS 84, north positive."""
    longitude_deg: float | None = None
    """As told: WGS 84, east positive."""
    paused: bool | None = None
    """As told: whether the simulator stands still."""
    on_ground: bool | None = None
    """As told, or judged by height above ground, or else by speed and altitude."""
    altitude_ft: float | None = None
    """True altitude above mean sea level. Left out when no altitude of any kind arrives."""
    altitude_source: Source | None = None
    """Where altitude_ft comes from."""
    groundspeed_kt: float | None = None
    """Left out when neither it nor positions over time arrive."""
    track_true_deg: float | None = None
    """Direction of movement over the ground, clockwise from true north. Left out when not known."""
    vertical_speed_fpm: float | None = None
    """Climbing is positive. Left out when not known."""
    heading_true_deg: float | None = None
    """Where the nose points, clockwise from true north. Left out when no heading arrives."""
    magnetic_variation_deg: float | None = None
    """East positive: as told, or that of an airfield of plan or track near here, or the World Magnetic Model's here.
    Left out when nobody knows where that is. What is said and shown as a heading is magnetic when this is known."""
    indicated_airspeed_kt: float | None = None
    """What the instrument shows. Left out when neither it nor true airspeed, altitude and temperature arrive."""
    indicated_airspeed_source: Source | None = None
    """Where indicated_airspeed_kt comes from. Computed it is the calibrated one, without the instrument's error."""
    true_airspeed_kt: float | None = None
    """Left out when neither it nor enough to work it out arrives."""
    true_airspeed_source: Source | None = None
    """Where true_airspeed_kt comes from."""
    wind_from_true_deg: float | None = None
    """Where the wind here comes from, clockwise from true north. Left out when not known."""
    wind_speed_kt: float | None = None
    """Of the wind here. Left out when not known."""
    wind_source: Source | None = None
    """Where the wind comes from: as sent, or worked out from heading, airspeed and track."""

    runway: str | None = None
    """Full name of the runway end that the numbers up to crosswind_kt are about; without one they are left out too."""
    runway_source: str | None = None
    """plan, or track when the plan names none."""
    distance_to_threshold_nm: float | None = None
    """Along the centreline; negative beyond the threshold."""
    offset_ft: float | None = None
    """Right of the centreline is positive."""
    course_difference_deg: float | None = None
    """Track minus the runway's course: right is positive."""
    height_above_threshold_ft: float | None = None
    """Altitude above that of the threshold; negative below it."""
    path_height_ft: float | None = None
    """Height above the threshold at which the path runs here."""
    height_above_path_ft: float | None = None
    """Too high is positive. Left out beyond 20 NM, beyond the threshold, and without an altitude."""
    path_deviation_deg: float | None = None
    """The same as an angle seen from where the path begins; too high is positive."""
    sink_to_hold_fpm: float | None = None
    """Rate of descent that keeps the path at this groundspeed; down is positive."""
    sink_to_regain_fpm: float | None = None
    """Rate of descent that is back on the path by the next gate. None when it can't be saved by that gate."""
    next_gate_ft: float | None = None
    """Height above the threshold of the gate by which to regain the path."""
    headwind_kt: float | None = None
    """Along the runway; from ahead is positive, a tailwind negative. Left out without a wind."""
    crosswind_kt: float | None = None
    """Across the runway; from the right is positive. Left out without a wind."""

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
    """Straight to that point."""
    bearing_to_next_point_deg: float | None = None
    """To that point, clockwise from true north."""
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
    """Ident of the airfield that the plan goes to. Left out without a plan."""
    distance_to_destination_nm: float | None = None
    """Straight to the destination."""
    bearing_to_destination_deg: float | None = None
    """To the destination, clockwise from true north."""
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
