"""Plan: what the pilot means to do, and the same with its places looked up."""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from otherseat.advisories.magnetic import magnetic_field, true_deg
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.runway import Airfield, RunwayEnd, RunwayTable, UnknownPlaceError
from otherseat.advisories.weather_report import Weather

VARIATION_YEAR = 2025.0
"""Epoch of the magnetic model: holds are drawn to the degree and variation moves by a degree in about ten years."""

VISUAL_CEILING_FT = 1_000.0
VISUAL_M = 3.0 * 1_609.344
"""Three statute miles."""

Altitude = Annotated[float, Field(ge=-2_000, le=60_000)]


class Model(BaseModel):
    """Frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class Fix(Model):
    """A named point of the route."""

    name: str = Field(min_length=1, max_length=12)
    """As the plan and the voice call it."""
    latitude_deg: float = Field(ge=-90, le=90)
    """North positive."""
    longitude_deg: float = Field(ge=-180, le=180)
    """East positive."""
    altitude_ft: Altitude | None = None
    """To be crossed at this altitude; left out when at any."""


class Hold(Model):
    """A hold at a fix or an airfield, as a chart gives it."""

    at: str = Field(min_length=1, max_length=12)
    """Name of a fix of the route, or ident of an airfield."""
    inbound_magnetic_deg: float = Field(ge=0, le=360)
    """Course towards the fix, clockwise from magnetic north, as on the chart."""
    turns: Literal["right", "left"] = "right"
    """To which side the turns are."""
    leg_min: float | None = Field(default=None, gt=0, le=10)
    """None: as the height asks for."""


class Plan(Model):
    """What the pilot means to do. Everything may be left out."""

    departure: str | None = None
    """Runway end to take off from, such as ZZKN/13, or an airfield alone."""
    route: tuple[Fix, ...] = Field(default=(), max_length=100)
    """The fixes on the way, in order."""
    destination: str | None = None
    """Runway end to land on, such as ZZPS/27L, or an airfield alone."""
    cruise_altitude_ft: Altitude | None = None
    """Above mean sea level."""
    minimum_altitude_ft: Altitude | None = None
    """Not below it before the approach."""
    decision_altitude_ft: Altitude | None = None
    """Not below it on the approach without the runway in sight."""
    path_angle_deg: float | None = Field(default=None, ge=2.0, le=7.5)
    """None: as the runway's own."""
    approach_speed_kt: float | None = Field(default=None, gt=20, le=250)
    """Indicated airspeed on final. None: the aircraft profile's."""
    cruise_speed_kt: float | None = Field(default=None, gt=20, le=700)
    """True airspeed."""
    hold: Hold | None = None
    """Where to hold, if anywhere."""
    aircraft: str | None = Field(default=None, min_length=1, max_length=40)
    """Name of an aircraft profile."""
    weather: str | None = Field(default=None, min_length=1, max_length=1_000)
    """The destination's report, as text."""


@dataclass(frozen=True, slots=True)
class ResolvedHold:
    """A hold whose place and true course were found."""

    hold: Hold
    """As planned."""
    latitude_deg: float
    """Of its fix, north positive."""
    longitude_deg: float
    """Of its fix, east positive."""
    inbound_true_deg: float
    """Course towards the fix, clockwise from true north."""


@dataclass(frozen=True, slots=True)
class ResolvedPlan:
    """A plan whose places were found."""

    plan: Plan
    departure: RunwayEnd | None = None
    destination: Airfield | None = None
    arrival: RunwayEnd | None = None
    departure_airfield: Airfield | None = None
    hold: ResolvedHold | None = None
    weather: Weather | None = None
    profile: AircraftProfile | None = None


def on_instruments(plan: ResolvedPlan) -> bool:
    """Say whether the approach is flown by instruments: a decision altitude is planned, or the weather asks for it.

    Visual flight in an aerodrome's surface area needs a ceiling of 1,000 ft and 3 statute miles (14 CFR 91.155 c, d).
    """
    if plan.plan.decision_altitude_ft is not None:
        return True
    weather = plan.weather
    if weather is None:
        return False
    ceiling_ft, visibility_m = weather.ceiling_ft, weather.visibility_m
    low = ceiling_ft is not None and ceiling_ft < VISUAL_CEILING_FT
    return low or (visibility_m is not None and visibility_m < VISUAL_M)


class PlanError(ValueError):
    """A plan that names what does not exist; `key` says where."""

    def __init__(self, *, key: str, message: str) -> None:
        self.key = key
        super().__init__(f"{key}: {message}")


def resolve(
    *, plan: Plan, runways: RunwayTable, weather: Weather | None = None, profile: AircraftProfile | None = None
) -> ResolvedPlan:
    """Look up the plan's places, or raise PlanError that names the key and the nearest valid choice.

    weather is the plan's report, decoded, and profile the plan's aircraft, read: files and text are not for the engine.
    """
    departure_airfield, departure = _field_and_end(key="departure", name=plan.departure, runways=runways)
    destination, arrival = _field_and_end(key="destination", name=plan.destination, runways=runways)
    return ResolvedPlan(
        plan=plan,
        departure=departure,
        destination=destination,
        arrival=arrival,
        departure_airfield=departure_airfield,
        hold=None if plan.hold is None else _hold(plan.hold, route=plan.route, runways=runways, near=destination),
        weather=weather,
        profile=profile,
    )


def _field_and_end(*, key: str, name: str | None, runways: RunwayTable) -> tuple[Airfield | None, RunwayEnd | None]:
    if name is None:
        return None, None
    field = _airfield(key=key, name=name.partition("/")[0], runways=runways)
    return field, _end(key=key, name=name, runways=runways) if "/" in name else None


def _hold(hold: Hold, *, route: tuple[Fix, ...], runways: RunwayTable, near: Airfield | None) -> ResolvedHold:
    fix = next((fix for fix in route if fix.name == hold.at), None)
    if fix is not None:
        latitude_deg, longitude_deg = fix.latitude_deg, fix.longitude_deg
    else:
        try:
            place = runways.place(hold.at, near=None if near is None else near.place)
        except UnknownPlaceError as error:
            raise PlanError(key="hold.at", message=str(error)) from error
        latitude_deg, longitude_deg = place.latitude_deg, place.longitude_deg
    east_deg = magnetic_field(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, decimal_year=VARIATION_YEAR
    ).variation_deg
    return ResolvedHold(
        hold=hold,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        inbound_true_deg=true_deg(magnetic_deg=hold.inbound_magnetic_deg, variation_deg=east_deg),
    )


def _end(*, key: str, name: str, runways: RunwayTable) -> RunwayEnd:
    try:
        return runways.end(name)
    except UnknownPlaceError as error:
        raise PlanError(key=key, message=str(error)) from error


def _airfield(*, key: str, name: str, runways: RunwayTable) -> Airfield:
    try:
        return runways.airfield(name)
    except UnknownPlaceError as error:
        raise PlanError(key=key, message=str(error)) from error
