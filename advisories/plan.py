"""Plan: what the pilot means to do, and the same with its places looked up."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from otherseat.advisories.runway import Airfield, RunwayEnd, RunwayTable, UnknownPlaceError

Altitude = Annotated[float, Field(ge=-2_000, le=60_000)]


class Model(BaseModel):
    """Frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Fix(Model):
    """A named point of the route."""

    name: str = Field(min_length=1, max_length=12)
    latitude_deg: float = Field(ge=-90, le=90)
    longitude_deg: float = Field(ge=-180, le=180)
    altitude_ft: Altitude | None = None


class Plan(Model):
    """What the pilot means to do. Everything may be left out."""

    departure: str | None = None
    """Runway end to take off from, such as ZZKN/13."""
    route: tuple[Fix, ...] = ()
    destination: str | None = None
    """Runway end to land on, such as ZZPS/27L, or an airfield alone."""
    cruise_altitude_ft: Altitude | None = None
    path_angle_deg: float | None = Field(default=None, ge=2.0, le=7.5)
    """None: as the runway's own."""
    approach_speed_kt: float | None = Field(default=None, gt=20, le=250)


@dataclass(frozen=True, slots=True)
class ResolvedPlan:
    """A plan whose places were found."""

    plan: Plan
    departure: RunwayEnd | None = None
    destination: Airfield | None = None
    arrival: RunwayEnd | None = None


class PlanError(ValueError):
    """A plan that names what does not exist; `key` says where."""

    def __init__(self, *, key: str, message: str) -> None:
        self.key = key
        super().__init__(f"{key}: {message}")


def resolve(*, plan: Plan, runways: RunwayTable) -> ResolvedPlan:
    """Look up the plan's places, or raise PlanError that names the key and the nearest valid choice."""
    departure = arrival = destination = None
    if plan.departure is not None:
        departure = _end(key="departure", name=plan.departure, runways=runways)
    if plan.destination is not None:
        destination = _airfield(key="destination", name=plan.destination.partition("/")[0], runways=runways)
        if "/" in plan.destination:
            arrival = _end(key="destination", name=plan.destination, runways=runways)
    return ResolvedPlan(plan=plan, departure=departure, destination=destination, arrival=arrival)


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
