"""Enroute: the numbers of the way there: legs, true airspeed, top of descent, hold. No words, no drawing.

Top of descent   from cruise to the first gate on the path, at the path's angle over the ground, and 1 NM for every
                 10 kt to lose. With wind: where the sink rate that makes the angle in still air has to begin, and
                 the one that makes the angle in the wind
Air              as far from ISA at every height as at the destination
"""

import itertools
from dataclasses import dataclass

from otherseat.advisories import air, geodesic, holding, path, rules_of_thumb, wind
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.holding import Entry
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.real import DomainError
from otherseat.advisories.runway import Airfield, RunwayEnd
from otherseat.daemon.brief.conditions import Conditions, Holding
from otherseat.daemon.brief.figures import air_at, path_angle_deg, readable_speed, true_airspeed_kt

DESCEND_TO_FT = GATES_FT[0]
"""Height above the field at which the descent from cruise is to be done."""


@dataclass(frozen=True, slots=True)
class CruiseSpeed:
    """True airspeed at the cruise altitude."""

    indicated_kt: float
    temperature_c: float
    exact_kt: float
    propeller_rule_kt: float
    jet_rule_kt: float


@dataclass(frozen=True, slots=True)
class Descent:
    """Where to start down: distances still to fly to the threshold, the turns on the way included."""

    height_to_lose_ft: float
    speed_to_lose_kt: float
    """From cruise to approach, before the path begins; 0 when either is not known."""
    exact_nm: float
    rule_down_nm: float
    """For the height to lose."""
    rule_slowing_nm: float
    """For the speed to lose. The exact distance has it too: how fast an aircraft slows down nobody has told."""
    rule_path_nm: float
    """From the first gate to the threshold."""
    still_air_sink_fpm: float | None
    wind_nm: float | None
    """The still-air sink rate flown in the wind: where to start down for it."""
    wind_sink_fpm: float | None
    """The sink rate that keeps to the angle in the wind."""

    @property
    def rule_nm(self) -> float:
        """The whole way by rule."""
        return self.rule_down_nm + self.rule_slowing_nm + self.rule_path_nm


@dataclass(frozen=True, slots=True)
class HoldFigures:
    """How to hold."""

    holding: Holding
    arriving_true_deg: float | None
    entry: Entry | None
    outbound_true_deg: float
    outbound_s: float
    lap_s: float
    in_wind: bool


def cruise_speed(*, plan: ResolvedPlan, day: Conditions) -> CruiseSpeed | None:
    """Return the true airspeed in cruise, or None when altitude or speed are not known; raises SpeedError."""
    altitude_ft = plan.plan.cruise_altitude_ft
    if altitude_ft is None:
        return None
    pressure_ft, temperature_c = air_at(altitude_ft=altitude_ft, end=plan.arrival, day=day)
    indicated_kt = day.cruise_airspeed_kt
    if indicated_kt is None and day.cruise_true_airspeed_kt is not None:
        with readable_speed(speed_kt=day.cruise_true_airspeed_kt, altitude_ft=altitude_ft):
            indicated_kt = air.calibrated_airspeed_kt(
                true_airspeed_kt=day.cruise_true_airspeed_kt,
                pressure_altitude_ft=pressure_ft,
                temperature_c=temperature_c,
            )
    if indicated_kt is None:
        return None
    return CruiseSpeed(
        indicated_kt=indicated_kt,
        temperature_c=temperature_c,
        exact_kt=true_airspeed_kt(airspeed_kt=indicated_kt, altitude_ft=altitude_ft, end=plan.arrival, day=day),
        propeller_rule_kt=rules_of_thumb.propeller_true_airspeed_kt(
            indicated_airspeed_kt=indicated_kt, pressure_altitude_ft=pressure_ft
        ),
        jet_rule_kt=rules_of_thumb.jet_true_airspeed_kt(
            indicated_airspeed_kt=indicated_kt, pressure_altitude_ft=pressure_ft
        ),
    )


def descent(*, plan: ResolvedPlan, day: Conditions) -> Descent | None:
    """Return where to start down to be at the first gate on the path, or None when there is nothing to lose."""
    end, cruise_ft = plan.arrival, plan.plan.cruise_altitude_ft
    if end is None or cruise_ft is None or cruise_ft <= end.elevation_ft + DESCEND_TO_FT:
        return None
    angle_deg = path_angle_deg(plan)
    gate_nm = path.gate_distance_nm(
        gate_height_ft=DESCEND_TO_FT,
        angle_deg=angle_deg,
        threshold_crossing_height_ft=end.threshold_crossing_height_ft,
    )
    lose_ft = cruise_ft - end.elevation_ft - DESCEND_TO_FT
    cruise = cruise_speed(plan=plan, day=day)
    slower_kt = _speed_to_lose_kt(cruise, day=day)
    slowing_nm = rules_of_thumb.deceleration_distance_nm(speed_to_lose_kt=slower_kt)
    way_nm = slowing_nm + path.descent_distance_nm(height_to_lose_ft=lose_ft, angle_deg=angle_deg)
    true_kt = None if cruise is None else cruise.exact_kt
    ground_kt = None if true_kt is None else _ground_kt(plan=plan, day=day, true_kt=true_kt)
    return Descent(
        height_to_lose_ft=lose_ft,
        speed_to_lose_kt=slower_kt,
        exact_nm=gate_nm + way_nm,
        rule_down_nm=rules_of_thumb.descent_distance_nm(height_to_lose_ft=lose_ft),
        rule_slowing_nm=slowing_nm,
        rule_path_nm=rules_of_thumb.path_distance_nm(height_ft=DESCEND_TO_FT),
        still_air_sink_fpm=_sink_fpm(true_kt, angle_deg=angle_deg),
        wind_nm=None if true_kt is None or ground_kt is None else gate_nm + way_nm * ground_kt / true_kt,
        wind_sink_fpm=_sink_fpm(ground_kt, angle_deg=angle_deg),
    )


def _speed_to_lose_kt(cruise: CruiseSpeed | None, *, day: Conditions) -> float:
    if cruise is None or day.approach_airspeed_kt is None:
        return 0.0
    return max(cruise.indicated_kt - day.approach_airspeed_kt, 0.0)


def _sink_fpm(groundspeed_kt: float | None, *, angle_deg: float) -> float | None:
    if groundspeed_kt is None:
        return None
    return path.sink_rate_to_hold_fpm(groundspeed_kt=groundspeed_kt, angle_deg=angle_deg)


def _ground_kt(*, plan: ResolvedPlan, day: Conditions, true_kt: float) -> float | None:
    course_deg = arrival_course_true_deg(plan)
    if day.cruise_wind is None or course_deg is None:
        return None
    try:
        _, ground_kt = wind.heading_and_groundspeed(
            course_deg=course_deg,
            true_airspeed_kt=true_kt,
            wind_from_deg=day.cruise_wind.from_true_deg,
            wind_speed_kt=day.cruise_wind.speed_kt,
        )
    except DomainError:
        return None
    return ground_kt if ground_kt > 0.0 else None


def route_points(plan: ResolvedPlan) -> list[tuple[str, float, float]]:
    """Return name, latitude and longitude of departure, fixes and destination, as far as they are planned."""
    points = []
    if plan.departure is not None:
        points.append((plan.departure.name, plan.departure.latitude_deg, plan.departure.longitude_deg))
    points += [(fix.name, fix.latitude_deg, fix.longitude_deg) for fix in plan.plan.route]
    goal = plan.arrival or plan.destination
    if goal is not None:
        points.append((_name(goal), goal.latitude_deg, goal.longitude_deg))
    return points


def _name(place: RunwayEnd | Airfield) -> str:
    return place.name if isinstance(place, RunwayEnd) else place.ident


def route_legs(plan: ResolvedPlan) -> list[tuple[str, float, float]]:
    """Return, for every leg, the name of its end, its length in NM and its true course where it sets out."""
    points = route_points(plan)
    legs = []
    for (_, from_latitude, from_longitude), (name, to_latitude, to_longitude) in itertools.pairwise(points):
        distance_nm, course_deg = geodesic.distance_nm_and_course_deg(
            from_latitude_deg=from_latitude,
            from_longitude_deg=from_longitude,
            to_latitude_deg=to_latitude,
            to_longitude_deg=to_longitude,
        )
        legs.append((name, distance_nm, course_deg))
    return legs


def arrival_course_true_deg(plan: ResolvedPlan) -> float | None:
    """Return the course of the last leg, or None without one."""
    legs = route_legs(plan)
    return legs[-1][2] if legs else None


def hold_figures(*, plan: ResolvedPlan, day: Conditions) -> HoldFigures | None:
    """Return how to hold, or None when no hold or no speed is known, or the wind is too strong for one."""
    hold, airspeed_kt = day.holding, day.approach_airspeed_kt or day.cruise_airspeed_kt
    if hold is None or airspeed_kt is None:
        return None
    altitude_ft = plan.plan.cruise_altitude_ft or 0.0
    wind_kt = 0.0 if day.cruise_wind is None else day.cruise_wind.speed_kt
    wind_from_deg = 0.0 if day.cruise_wind is None else day.cruise_wind.from_true_deg
    arriving_deg = arrival_course_true_deg(plan)
    try:
        true_kt = true_airspeed_kt(airspeed_kt=airspeed_kt, altitude_ft=altitude_ft, end=plan.arrival, day=day)
        figures = holding.hold(
            inbound_course_deg=hold.inbound_true_deg,
            right_turns=hold.right_turns,
            true_airspeed_kt=true_kt,
            wind_from_deg=wind_from_deg,
            wind_speed_kt=wind_kt,
            inbound_leg_s=holding.leg_s(altitude_ft=altitude_ft),
            rate_deg_per_s=holding.turn_rate_deg_per_s(true_airspeed_kt=true_kt, flight_director=False),
        )
    except DomainError:
        return None
    return HoldFigures(
        holding=hold,
        arriving_true_deg=arriving_deg,
        entry=None
        if arriving_deg is None
        else holding.entry(
            inbound_course_deg=hold.inbound_true_deg, heading_deg=arriving_deg, right_turns=hold.right_turns
        ),
        outbound_true_deg=figures.outbound_heading_deg,
        outbound_s=figures.outbound_timed_s,
        lap_s=figures.lap_s,
        in_wind=day.cruise_wind is not None,
    )
