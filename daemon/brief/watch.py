"""Watch: what is worth a second look on this plan and this day, and what the brief could not know."""

from collections.abc import Iterator

from otherseat.advisories import rules_of_thumb
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayEnd, frame_of
from otherseat.advisories.units import M_PER_FT
from otherseat.daemon.brief import enroute, figures
from otherseat.daemon.brief.conditions import Conditions
from otherseat.daemon.brief.words import feet, miles, signed, whole
from otherseat.daemon.direction_words import direction
from otherseat.daemon.plan_remarks import low_cruise
from otherseat.daemon.wind_words import knots

STEEP_DEG, SHALLOW_DEG = 3.25, 2.75
CROSSWIND_KT = 10.0
"""Mentioned from here when no aircraft with a limit of its own is planned."""
RUNWAY_FACTOR = 1.5
"""Less runway than so many times the aircraft's own landing distance is called short."""
BETTER_BY_KT = 3.0
AGAINST_DEG = 120.0
"""Thresholds of what is mentioned: common practice, no source. They change no number."""


def points(*, plan: ResolvedPlan, day: Conditions) -> Iterator[str]:
    """Yield what to watch for, the most serious first."""
    if plan.arrival is not None:
        yield from _wind(plan, plan.arrival, day)
        yield from _path(plan, plan.arrival, day)
        yield from _runway(plan, plan.arrival)
    yield from _way(plan, day)


def unknown(*, plan: ResolvedPlan, day: Conditions) -> Iterator[str]:
    """Yield what was not given, and what is missing from the card for want of it."""
    if plan.arrival is None:
        yield "no runway end to land on: no path, no gates"
    if plan.plan.cruise_altitude_ft is None:
        yield "no cruise altitude: no place to start down"
    if day.approach_airspeed_kt is None:
        yield "no approach speed: no sink rates at the gates"
    if day.cruise_airspeed_kt is None and day.cruise_true_airspeed_kt is None:
        yield "no cruise speed: no true airspeed"
    if day.surface_wind is None:
        yield "no wind"
    if day.temperature_c is None:
        yield "no temperature: the air is taken as standard, and cold is not looked at"
    if plan.arrival is not None and plan.arrival.magnetic_variation_deg is None:
        yield "no magnetic variation: directions are true"


def _wind(plan: ResolvedPlan, end: RunwayEnd, day: Conditions) -> Iterator[str]:
    if day.surface_wind is None or plan.destination is None:
        return
    on = figures.wind_on(end=end, surface=day.surface_wind, ends=plan.destination.ends)
    best = figures.winds(airfield=plan.destination, surface=day.surface_wind)[0]
    if on.headwind_kt < 0.0 and knots(on.headwind_kt):
        yield f"tailwind on {end.runway}: {knots(on.headwind_kt)} kt; into wind is {best.end.runway}"
    elif best.headwind_kt - on.headwind_kt > BETTER_BY_KT:
        yield f"{best.end.runway} has {knots(best.headwind_kt - on.headwind_kt)} kt more headwind than {end.runway}"
    limit_kt = CROSSWIND_KT if plan.profile is None else plan.profile.most_crosswind_kt
    gusty = 1.0 if not day.gust_kt else max(day.gust_kt / max(day.surface_wind.speed_kt, 1.0), 1.0)
    if abs(on.crosswind_kt) * gusty >= limit_kt:
        side = "right" if on.crosswind_kt > 0.0 else "left"
        gusts = f", {knots(on.crosswind_kt * gusty)} in gusts" if gusty > 1.0 else ""
        whose = "" if plan.profile is None else f"; the limit of a {plan.profile.name} is {limit_kt:.0f}"
        yield f"crosswind from the {side} on {end.runway}: {knots(on.crosswind_kt)} kt{gusts}{whose}"


def _path(plan: ResolvedPlan, end: RunwayEnd, day: Conditions) -> Iterator[str]:
    angle_deg = figures.path_angle_deg(plan)
    if not SHALLOW_DEG <= angle_deg <= STEEP_DEG:
        kind = "steep" if angle_deg > STEEP_DEG else "shallow"
        yield f"{kind} path, {angle_deg:.2f}°: the rules for 3° do not hold"
    if figures.is_cold(day):
        gate = figures.gates(end=end, angle_deg=angle_deg, day=day)[0]
        low_ft = gate.read_ft - end.elevation_ft - gate.height_ft
        yield f"cold, {signed(day.temperature_c or 0.0)} °C: uncorrected you are {low_ft:.0f} ft low at the first gate"
    five = figures.path_points(end=end, angle_deg=angle_deg, day=day)[4]
    off_ft = rules_of_thumb.path_height_ft(distance_nm=five.distance_nm) - five.height_ft
    if abs(off_ft) >= 100.0:  # noqa: PLR2004 - what a pilot would see
        yield f"300 ft per NM is {abs(off_ft):.0f} ft {'low' if off_ft < 0.0 else 'high'} at {five.distance_nm:.0f} NM"


def _runway(plan: ResolvedPlan, end: RunwayEnd) -> Iterator[str]:
    if plan.destination is not None:
        for other in figures.parallels(end=end, airfield=plan.destination):
            _, across_m, _ = frame_of(end).locate(
                latitude_deg=other.latitude_deg,
                longitude_deg=other.longitude_deg,
                height_m=other.elevation_ft * M_PER_FT,
            )
            side = "right" if across_m > 0.0 else "left"
            yield f"{other.runway} lies {feet(round(abs(across_m) / M_PER_FT, -1))} to the {side}: easily mistaken"
    if end.displaced_ft:
        yield f"threshold of {end.runway} displaced by {feet(end.displaced_ft)}"
    profile = plan.profile
    if profile is not None and end.length_ft < RUNWAY_FACTOR * profile.landing_distance_ft:
        yield f"short: {feet(end.length_ft)}; a {profile.name} needs {feet(profile.landing_distance_ft)} at its best"


def _way(plan: ResolvedPlan, day: Conditions) -> Iterator[str]:
    yield from _reversal(plan)
    yield from low_cruise(plan)
    down = enroute.descent(plan=plan, day=day)
    length_nm = sum(distance for _, distance, _ in enroute.route_legs(plan))
    if down is not None and length_nm and down.exact_nm > length_nm:
        yield f"start down {miles(down.exact_nm)} out, but the whole way is {miles(length_nm)}: the cruise is too high"
    if plan.departure is not None and plan.arrival is not None:
        rise_ft = plan.arrival.elevation_ft - plan.departure.elevation_ft
        if abs(rise_ft) >= 1_000.0:  # noqa: PLR2004 - enough to matter for the altimeter in the circuit
            yield f"destination lies {whole(abs(rise_ft))} ft {'higher' if rise_ft > 0.0 else 'lower'} than departure"


def _reversal(plan: ResolvedPlan) -> Iterator[str]:
    """Yield that the way leads against the final, where it does: then there is more to fly than the legs show."""
    end, arriving_deg = plan.arrival, enroute.arrival_course_true_deg(plan)
    if end is None or arriving_deg is None:
        return
    if abs(difference_deg(end.course_true_deg, arriving_deg)) > AGAINST_DEG:
        variation = end.magnetic_variation_deg
        way, final = direction(arriving_deg, variation), direction(end.course_true_deg, variation)
        yield f"the way in, {way}, is against the final on {end.runway}, {final}: add the downwind and the turn back"
