"""An altimeter that is set to something else than the field reports, and the report itself."""

import math
from dataclasses import replace

from otherseat.daemon.evaluation.conditions import Conditions
from otherseat.daemon.evaluation.sortie import Sortie

FT_PER_HPA = 27.3
"""Near sea level (ICAO Doc 7488, standard atmosphere)."""


def set_wrong(sortie: Sortie, conditions: Conditions, *, off_hpa: float) -> tuple[Sortie, Conditions]:
    """Return the sortie with the field's report in its plan, and conditions in which the altimeter shows wrong."""
    truly_hpa = conditions.weather.sea_level_hpa
    set_hpa = math.floor(truly_hpa) + off_hpa
    plan = sortie.plan.model_copy(update={"weather": report(sortie, conditions)})
    return (
        replace(sortie, plan=plan, told={"altimeter_hpa": set_hpa}),
        replace(conditions, altimeter_error_ft=(set_hpa - truly_hpa) * FT_PER_HPA),
    )


def report(sortie: Sortie, conditions: Conditions) -> str:
    """Return the field's weather report: the wind in tens of degrees, the setting rounded down, as stations do."""
    weather = conditions.weather
    from_deg = round(weather.wind_from_true_deg / 10.0) * 10 or 360
    wind = f"{from_deg:03d}{weather.wind_kt:02.0f}KT" if weather.wind_kt >= 1.0 else "00000KT"
    temperature_c = round(15.0 + weather.warmer_c)
    words = f"M{-temperature_c:02d}" if temperature_c < 0 else f"{temperature_c:02d}"
    return f"METAR {sortie.end.airfield} 121755Z {wind} 9999 {words}/ Q{math.floor(weather.sea_level_hpa):04d}"
