"""AircraftProfile: what the checks need to know about a kind of aircraft. Filled from config/aircraft/NAME.toml.

Heights in feet above the field, speeds in knots, distances at sea level in standard air. An aircraft's handbook comes
first: these are figures of a kind, for training.
"""

from pydantic import BaseModel, ConfigDict, Field


class AircraftProfile(BaseModel):
    """One kind of aircraft."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)

    name: str = Field(min_length=1, max_length=60)
    """As people read it."""

    # Speeds, indicated unless they say true.
    rotation_speed_kt: float | None = Field(default=None, gt=0, le=250)
    """At which the nose is raised for take-off; indicated. Left out for what does not take off by itself."""
    climb_speed_kt: float = Field(gt=20, le=350)
    """Indicated."""
    cruise_true_airspeed_kt: float = Field(gt=20, le=600)
    """Usual true airspeed in the cruise."""
    approach_speed_kt: float = Field(gt=20, le=250)
    """On final; indicated."""
    approach_faster_kt: float = Field(gt=0, le=50)
    """Stable up to so much above the approach speed."""
    approach_slower_kt: float = Field(gt=0, le=50)
    """And down to so much below it."""

    # Gates, heights above the field.
    instrument_gate_ft: float = Field(gt=0, le=3_000)
    """By here the approach must be stable in cloud, above the field."""
    visual_gate_ft: float = Field(gt=0, le=3_000)
    """By here it must be stable in sight, above the field."""

    # Tolerances.
    most_sink_fpm: float = Field(gt=0, le=3_000)
    """On the approach, at the gates."""
    path_angle_deg: float = Field(ge=2.0, le=12.0)
    """The usual one, where neither runway nor plan has its own."""
    path_deviation_deg: float = Field(gt=0, le=5)
    """So far off the path, either way, is still stable."""
    offset_deg: float = Field(gt=0, le=10)
    """From the centreline, seen from the runway."""
    most_bank_deg: float = Field(gt=0, le=60)
    """On the approach, at the gates."""
    turn_bank_deg: float = Field(gt=0, le=45)
    """With which turns are planned."""
    most_crosswind_kt: float = Field(gt=0, le=60)
    """More is too much for landing."""
    most_tailwind_kt: float = Field(ge=0, le=30)
    """More is too much for landing."""

    # Configuration.
    retractable_gear: bool
    """Whether there is a gear to lower."""
    landing_flaps_ratio: float = Field(ge=0, le=1)
    """At least so much for landing."""

    # Distances, at sea level and in standard air.
    take_off_distance_ft: float = Field(gt=0, le=20_000)
    """Needed for take-off."""
    landing_distance_ft: float = Field(gt=0, le=20_000)
    """Needed for landing."""
    deceleration_kt_per_nm: float = Field(gt=0, le=100)
    """In level flight, power idle."""
