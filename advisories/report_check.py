"""A weather report against runways, plan and altimeter: which end the wind favours, and what disagrees.

Favoured   the end with the most headwind; of equal ones the longer
Worst      within gusts and the range of the direction, see wind.runway_wind; a variable wind may come from anywhere
Altimeter  one hectopascal is FT_PER_HPA of height near the ground (ICAO Doc 7488: 27.3 ft at sea level); set too high
           it shows too high
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from otherseat.advisories.levels import Values
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayEnd, axis_course_deg
from otherseat.advisories.weather_report import Weather
from otherseat.advisories.wind import RunwayWind, runway_wind

FT_PER_HPA = 27.3
ALTIMETER_TOLERANCE_HPA = 1.0
"""A setting is read and set to the whole hectopascal."""
TAILWIND_WORTH_TELLING_KT = 1.0


@dataclass(frozen=True, slots=True)
class EndInWind:
    """One runway end in the reported wind."""

    end: RunwayEnd
    wind: RunwayWind


class Conflict(StrEnum):
    """What may disagree."""

    STATION = "station"
    TAILWIND = "tailwind"
    CROSSWIND = "crosswind"
    CEILING = "ceiling"
    ALTIMETER = "altimeter"


@dataclass(frozen=True, slots=True)
class Disagreement:
    """One thing that the report and the plan, or the aircraft, say differently."""

    conflict: Conflict
    values: Values


def ends_in_wind(*, ends: Iterable[RunwayEnd], weather: Weather) -> list[EndInWind]:
    """Return the ends in the reported wind, the favoured first; none when the report has no wind."""
    if weather.wind_speed_kt is None:
        return []
    ends = tuple(ends)
    seen = [EndInWind(end=end, wind=_wind_on(axis_course_deg(end, ends), weather)) for end in ends]
    return sorted(seen, key=lambda each: (-round(each.wind.headwind_kt, 3), -each.end.length_ft))


def favoured(seen: Sequence[EndInWind]) -> RunwayEnd | None:
    """Return the end that the wind favours, or None when it favours none."""
    return seen[0].end if seen and seen[0].wind.headwind_kt > 0.0 else None


def disagreements(
    *,
    weather: Weather,
    plan: ResolvedPlan,
    altimeter_hpa: float | None = None,
    most_crosswind_kt: float | None = None,
    most_tailwind_kt: float = TAILWIND_WORTH_TELLING_KT,
) -> Iterator[Disagreement]:
    """Yield what the report has against the plan and the aircraft's altimeter setting."""
    if altimeter_hpa is not None and weather.altimeter_hpa is not None:
        yield from _altimeter(set_hpa=altimeter_hpa, reported_hpa=weather.altimeter_hpa)
    field = plan.destination
    if field is None:
        return
    if field.ident != weather.station:
        values = {"station": weather.station, "destination": field.ident}
        yield Disagreement(conflict=Conflict.STATION, values=values)
        return
    decision_ft = plan.plan.decision_altitude_ft
    if decision_ft is not None and weather.ceiling_ft is not None:
        ceiling_ft = field.elevation_ft + weather.ceiling_ft
        if ceiling_ft < decision_ft:
            yield Disagreement(
                conflict=Conflict.CEILING,
                values={
                    "ceiling_ft": weather.ceiling_ft,
                    "ceiling_altitude_ft": ceiling_ft,
                    "decision_ft": decision_ft,
                },
            )
    if plan.arrival is not None:
        yield from _on_arrival(
            plan.arrival,
            seen=ends_in_wind(ends=field.ends, weather=weather),
            most_crosswind_kt=most_crosswind_kt,
            most_tailwind_kt=most_tailwind_kt,
        )


def _on_arrival(
    arrival: RunwayEnd, *, seen: Sequence[EndInWind], most_crosswind_kt: float | None, most_tailwind_kt: float
) -> Iterator[Disagreement]:
    mine = next((each.wind for each in seen if each.end.runway == arrival.runway), None)
    if mine is None:
        return
    better = favoured(seen)
    if mine.worst_tailwind_kt > most_tailwind_kt:
        values: dict[str, float | str] = {"runway": arrival.name, "tailwind_kt": mine.worst_tailwind_kt}
        if better is not None:
            values["favoured"] = better.name
        yield Disagreement(conflict=Conflict.TAILWIND, values=values)
    if most_crosswind_kt is not None and mine.worst_crosswind_kt > most_crosswind_kt:
        yield Disagreement(
            conflict=Conflict.CROSSWIND,
            values={
                "runway": arrival.name,
                "crosswind_kt": mine.worst_crosswind_kt,
                "most_crosswind_kt": most_crosswind_kt,
            },
        )


def _altimeter(*, set_hpa: float, reported_hpa: float) -> Iterator[Disagreement]:
    off_hpa = set_hpa - reported_hpa
    if abs(off_hpa) > ALTIMETER_TOLERANCE_HPA:
        yield Disagreement(
            conflict=Conflict.ALTIMETER,
            values={
                "altimeter_hpa": set_hpa,
                "reported_hpa": reported_hpa,
                "shows_too_high_ft": off_hpa * FT_PER_HPA,
            },
        )


def _wind_on(course_true_deg: float, weather: Weather) -> RunwayWind:
    speed_kt = weather.wind_speed_kt or 0.0
    if weather.wind_from_true_deg is not None:
        return runway_wind(
            wind_from_true_deg=weather.wind_from_true_deg,
            wind_speed_kt=speed_kt,
            course_true_deg=course_true_deg,
            gust_kt=weather.gust_kt,
            variable_deg=weather.wind_varies_deg,
        )
    most_kt = max(speed_kt, weather.gust_kt or 0.0)
    return RunwayWind(headwind_kt=0.0, crosswind_kt=0.0, worst_tailwind_kt=most_kt, worst_crosswind_kt=most_kt)
