"""The Farrow Isles: the demo's places and plan, the ground beneath, and how an aircraft is put down there."""

import importlib.resources
from dataclasses import dataclass
from importlib.resources.abc import Traversable

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import Airfield, RunwayEnd, RunwayTable, span_ft_deg
from otherseat.advisories.units import FT_PER_NM
from otherseat.config.airfields import demo_airfields
from otherseat.config.plans import resolve_plan
from otherseat.config.toml_files import read_model
from otherseat.daemon.flight_model.legs import Line
from otherseat.daemon.flight_model.loops import clamp
from otherseat.daemon.flight_model.model import Placement, View

FIELD_NM = 4.0
"""How far around a field the ground is as high as the field."""


def demo_plan() -> Traversable:
    """Return the file of the demo's plan, which comes with the package."""
    return importlib.resources.files("otherseat.config") / "plans" / "demo.toml"


@dataclass(frozen=True, slots=True)
class World:
    """The two fields, the straight way between them, and the ground beneath it."""

    runways: RunwayTable
    plan: ResolvedPlan
    take_off: RunwayEnd
    landing: RunwayEnd
    cruise_ft: float
    way: Line
    """Its point is the destination."""
    way_nm: float

    @classmethod
    def make(cls) -> "World":
        """Read islands and plan from the package."""
        runways = RunwayTable(demo_airfields())
        plan = resolve_plan(plan=read_model(path=demo_plan(), model=Plan), runways=runways)
        if plan.departure is None or plan.arrival is None or plan.plan.cruise_altitude_ft is None:
            raise ValueError("the demo's plan names no take-off, no landing or no cruise")
        from_field = runways.airfield(plan.departure.airfield)
        to_field = runways.airfield(plan.arrival.airfield)
        way = Line.through(
            latitude_deg=to_field.latitude_deg,
            longitude_deg=to_field.longitude_deg,
            course_true_deg=_course_deg(back_to=from_field, at=to_field),
        )
        start_nm, _ = way.locate_position(latitude_deg=from_field.latitude_deg, longitude_deg=from_field.longitude_deg)
        return cls(
            runways=runways,
            plan=plan,
            take_off=plan.departure,
            landing=plan.arrival,
            cruise_ft=plan.plan.cruise_altitude_ft,
            way=way,
            way_nm=-start_nm,
        )

    def terrain_ft(self, view: View) -> float:
        """Return the ground's height: each field's own around it, a slope between them."""
        along_nm, _ = self.way.locate_position(latitude_deg=view.latitude_deg, longitude_deg=view.longitude_deg)
        share = clamp((along_nm + self.way_nm - FIELD_NM) / (self.way_nm - 2.0 * FIELD_NM), 0.0, 1.0)
        return self.take_off.elevation_ft + share * (self.landing.elevation_ft - self.take_off.elevation_ft)


def on_runway(*, end: RunwayEnd, along_ft: float, offset_ft: float = 0.0, turned_deg: float = 0.0) -> Placement:
    """Stand on a runway, so far beyond its threshold."""
    latitude_deg, longitude_deg = line_of(end).position(along_ft=along_ft, across_ft=offset_ft)
    return Placement(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_deg=normal_deg(end.course_true_deg + turned_deg),
        terrain_ft=end.elevation_ft,
    )


def beside(
    *, line: Line, along_nm: float, altitude_ft: float, airspeed_kt: float, ground_ft: float, across_ft: float = 0.0
) -> Placement:
    """Fly along a line, so far beyond its point."""
    latitude_deg, longitude_deg = line.position(along_ft=along_nm * FT_PER_NM, across_ft=across_ft)
    return Placement(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_deg=line.course_true_deg,
        terrain_ft=ground_ft,
        height_agl_ft=altitude_ft - ground_ft,
        airspeed_kt=airspeed_kt,
    )


def line_of(end: RunwayEnd) -> Line:
    """Return a runway end's centreline; its point is the threshold."""
    return Line.through(
        latitude_deg=end.latitude_deg, longitude_deg=end.longitude_deg, course_true_deg=end.course_true_deg
    )


def _course_deg(*, back_to: Airfield, at: Airfield) -> float:
    _, course_deg = span_ft_deg(
        latitude_deg=at.latitude_deg,
        longitude_deg=at.longitude_deg,
        to_latitude_deg=back_to.latitude_deg,
        to_longitude_deg=back_to.longitude_deg,
    )
    return normal_deg(course_deg + 180.0)
