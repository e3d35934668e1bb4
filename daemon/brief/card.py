"""Card: the brief in words and tables, the same for text, page and HTML.

First the way and the day (legs, speeds, start down, wind, hold), then the approach (runway, path, gates, sink), then
what to watch for. What isn't known is named at the end, not left blank.
"""

from dataclasses import dataclass

from otherseat.advisories import path
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.brief import enroute, figures, watch
from otherseat.daemon.brief.conditions import Conditions
from otherseat.daemon.brief.words import altitude, feet, miles, minutes, signed, whole
from otherseat.daemon.direction_words import direction
from otherseat.daemon.wind_words import sided

MOST_LEGS = 10
"""What a page has room for; of a longer way the first and the last are shown."""


@dataclass(frozen=True, slots=True)
class Table:
    """One block of the card. The first column names, the others are numbers."""

    title: str
    rows: tuple[tuple[str, ...], ...]
    heads: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """The whole brief."""

    title: str
    subtitle: str
    tables: tuple[Table, ...]
    lights_deg: tuple[float, float, float, float] | None
    """The angles at which the four approach lights turn from red to white."""
    watch: tuple[str, ...]
    unknown: tuple[str, ...]
    end: RunwayEnd | None
    angle_deg: float


def make_card(*, plan: ResolvedPlan, day: Conditions) -> Card:
    """Work the plan out for the day."""
    end, angle_deg = plan.arrival, figures.path_angle_deg(plan)
    tables = [_route(plan), _day(plan, day), _descent(plan, day), _wind(plan, day), _hold(plan, day)]
    if end is not None:
        tables += [
            _runway(end, angle_deg=angle_deg),
            _path(end, angle_deg=angle_deg, day=day),
            _gates(end, angle_deg=angle_deg, day=day, decision_ft=plan.plan.decision_altitude_ft),
            _sink(end, angle_deg=angle_deg, day=day),
        ]
    return Card(
        title=" to ".join(name for name in (plan.plan.departure, plan.plan.destination) if name) or "No places planned",
        subtitle="" if plan.destination is None else plan.destination.name,
        tables=tuple(table for table in tables if table is not None),
        lights_deg=None if end is None else path.light_settings_deg(setting_deg=angle_deg),
        watch=tuple(watch.points(plan=plan, day=day)),
        unknown=tuple(watch.unknown(plan=plan, day=day)),
        end=end,
        angle_deg=angle_deg,
    )


def _route(plan: ResolvedPlan) -> Table | None:
    legs = enroute.route_legs(plan)
    if not legs:
        return None
    variation = None if plan.departure is None else plan.departure.magnetic_variation_deg
    rows = [(name, miles(distance), direction(course, variation)) for name, distance, course in legs]
    total_nm = sum(distance for _, distance, _ in legs)
    if len(rows) > MOST_LEGS:
        left_out = len(rows) - MOST_LEGS
        rows[MOST_LEGS // 2 : -MOST_LEGS // 2] = [(f"... {left_out} more ...", "", "")]
    if len(legs) > 1:
        rows.append(("all", miles(total_nm), ""))
    return Table(title="Way", heads=("to", "distance", "course"), rows=tuple(rows))


def _day(plan: ResolvedPlan, day: Conditions) -> Table | None:
    rows = []
    if plan.plan.cruise_altitude_ft is not None:
        rows.append(("cruise", altitude(plan.plan.cruise_altitude_ft)))
    if day.altimeter_hpa is not None:
        rows.append(("altimeter", f"{whole(day.altimeter_hpa)} hPa"))
    if day.temperature_c is not None:
        rows.append(("field temperature", f"{signed(day.temperature_c)} °C"))
    speed = enroute.cruise_speed(plan=plan, day=day)
    if speed is not None:
        low_down = (plan.plan.cruise_altitude_ft or 0.0) < 20_000.0  # noqa: PLR2004 - where each rule is used
        rule_kt = speed.propeller_rule_kt if low_down else speed.jet_rule_kt
        rule = "+2 % per 1,000 ft" if low_down else "+ half the level"
        rows.append((f"true airspeed at {whole(speed.indicated_kt)} kt IAS", f"{whole(speed.exact_kt)} kt"))
        rows.append((f"by rule, {rule}", f"{whole(rule_kt)} kt"))
    note = "" if speed is None else _whose_speed(plan, day)
    return Table(title="Day", rows=tuple(rows), note=note) if rows else None


def _whose_speed(plan: ResolvedPlan, day: Conditions) -> str:
    """Return whose the cruise speed is, when it was not given for this brief: nobody should wonder at a number."""
    if day.cruise_airspeed_kt is not None or day.cruise_true_airspeed_kt is None:
        return ""
    planned = plan.plan.cruise_speed_kt is not None
    whose = "the plan" if planned or plan.profile is None else f"the profile {plan.profile.name}"
    return f"the cruise speed is that of {whose}: {whole(day.cruise_true_airspeed_kt)} kt true"


def _descent(plan: ResolvedPlan, day: Conditions) -> Table | None:
    down = enroute.descent(plan=plan, day=day)
    if down is None:
        return None
    rows = [
        ("to fly to the threshold, exact", miles(down.exact_nm)),
        ("by rule, in all", miles(down.rule_nm)),
        (f"  {whole(down.height_to_lose_ft)} ft, 3 NM per 1,000 ft", miles(down.rule_down_nm)),
    ]
    if down.speed_to_lose_kt:
        rows.append((f"  {whole(down.speed_to_lose_kt)} kt, 1 NM per 10 kt", miles(down.rule_slowing_nm)))
    rows.append((f"  {whole(enroute.DESCEND_TO_FT)} ft, 300 ft per NM", miles(down.rule_path_nm)))
    if down.still_air_sink_fpm is not None:
        rows.append(("sink in still air", feet(down.still_air_sink_fpm, per_minute=True)))
    if down.wind_nm is not None and down.wind_sink_fpm is not None:
        rows.append(("same sink in this wind: start at", miles(down.wind_nm)))
        rows.append(("or same place: sink", feet(down.wind_sink_fpm, per_minute=True)))
    slower = f"{whole(down.speed_to_lose_kt)} kt slower in level flight, " if down.speed_to_lose_kt else ""
    note = (
        f"{slower}{whole(down.height_to_lose_ft)} ft down to {whole(enroute.DESCEND_TO_FT)} ft above the field, "
        "then down the path"
    )
    return Table(title="Start down", rows=tuple(rows), note=note)


def _runway(end: RunwayEnd, *, angle_deg: float) -> Table:
    rows = [
        ("landing distance", feet(end.length_ft)),
        ("width", feet(end.width_ft)),
        ("threshold elevation", altitude(end.elevation_ft)),
        ("course", direction(end.course_true_deg, end.magnetic_variation_deg)),
        ("path", f"{angle_deg:.2f}° over {whole(end.threshold_crossing_height_ft)} ft"),
    ]
    if end.displaced_ft:
        rows.append(("threshold displaced", feet(end.displaced_ft)))
    if end.surface:
        rows.append(("surface", end.surface))
    return Table(title=f"Runway {end.runway}", rows=tuple(rows))


def _path(end: RunwayEnd, *, angle_deg: float, day: Conditions) -> Table:
    points = figures.path_points(end=end, angle_deg=angle_deg, day=day)
    cold = figures.is_cold(day)
    rows = tuple(
        (
            f"{point.distance_nm:.0f}",
            whole(point.height_ft),
            whole(point.rule_height_ft),
            whole(point.altitude_ft),
            *((whole(point.read_ft),) if cold else ()),
        )
        for point in points
    )
    return Table(
        title="Path, heights in ft",
        heads=("NM", "height", "300/NM", "altitude", *(("to read",) if cold else ())),
        rows=rows,
        note="height above the threshold; altitude above the sea"
        + ("; to read: corrected for cold air" if cold else ""),
    )


def _gates(end: RunwayEnd, *, angle_deg: float, day: Conditions, decision_ft: float | None) -> Table:
    speed = day.approach_airspeed_kt
    heights_ft = {f"{whole(height_ft)} ft": height_ft for height_ft in GATES_FT}
    if decision_ft is not None and decision_ft > end.elevation_ft:
        heights_ft["decision"] = decision_ft - end.elevation_ft
    found = figures.gates(end=end, angle_deg=angle_deg, day=day, heights_ft=heights_ft.values())
    rows = tuple(
        (
            name,
            f"{gate.distance_nm:.1f}",
            whole(gate.read_ft),
            "-" if gate.sink_fpm is None else whole(gate.sink_fpm),
            "-" if speed is None else whole(speed),
        )
        for name, gate in zip(heights_ft, found, strict=True)
    )
    return Table(
        title="Gates",
        heads=("above field", "NM", "read ft", "sink", "IAS"),
        rows=rows,
        note="on path, centreline, speed and sink, configured - or go around",
    )


def _sink(end: RunwayEnd, *, angle_deg: float, day: Conditions) -> Table:
    speeds = figures.sink_speeds_kt(figures.approach_groundspeed_kt(end=end, day=day))
    points = figures.sink_points(groundspeeds_kt=speeds, angle_deg=angle_deg)
    rows = tuple((whole(p.groundspeed_kt), whole(p.exact_fpm), whole(p.rule_fpm)) for p in points)
    return Table(title="Sink to hold the path", heads=("groundspeed", "fpm", "5 x speed"), rows=rows)


def _wind(plan: ResolvedPlan, day: Conditions) -> Table | None:
    if plan.destination is None or day.surface_wind is None:
        return None
    rows = tuple(
        (
            on.end.runway,
            sided(on.headwind_kt, positive="{} head", negative="{} TAIL"),
            sided(on.crosswind_kt, positive="{} from right", negative="{} from left"),
        )
        for on in figures.winds(airfield=plan.destination, surface=day.surface_wind)
    )
    wind = day.surface_wind
    return Table(
        title=f"Wind {wind.from_true_deg:03.0f}° true, {whole(wind.speed_kt)} kt",
        heads=("end", "along", "across"),
        rows=rows,
    )


def _hold(plan: ResolvedPlan, day: Conditions) -> Table | None:
    hold = enroute.hold_figures(plan=plan, day=day)
    if hold is None:
        return None
    variation = None if plan.arrival is None else plan.arrival.magnetic_variation_deg
    rows = [("inbound", f"{direction(hold.holding.inbound_true_deg, variation)}, {_side(hold.holding.right_turns)}")]
    if hold.entry is not None and hold.arriving_true_deg is not None:
        rows.append((f"entry, arriving on {direction(hold.arriving_true_deg, variation)}", hold.entry.value))
    rows.append(("outbound heading", direction(hold.outbound_true_deg, variation)))
    rows.append(("outbound time", minutes(hold.outbound_s)))
    rows.append(("once round", minutes(hold.lap_s)))
    return Table(title="Hold", rows=tuple(rows), note="" if hold.in_wind else "in still air")


def _side(right_turns: bool) -> str:  # noqa: FBT001 - reads well where it is used
    return "right turns" if right_turns else "left turns"
