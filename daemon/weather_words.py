"""A weather report in plain words, as a controller's information broadcast reads it out, figure by figure."""

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Protocol

from otherseat.advisories.report_check import Conflict, Disagreement, EndInWind, favoured
from otherseat.advisories.weather_report import Weather
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.voice.spoken import rounded
from otherseat.daemon.wind_words import knots, sided

PHRASES: Mapping[str, str] = {
    "report-head": "{place:text}, observed at {time_utc:text}.",
    "report-head-untimed": "{place:text}.",
    "report-wind": "Wind {from_deg:heading} degrees, {speed_kt:strength} knots[, gusting {gust_kt:strength}]"
    "[, varying between {lowest_deg:heading} and {highest_deg:heading}].",
    "report-wind-variable": "Wind from changing directions, {speed_kt:strength} knots[, gusting {gust_kt:strength}].",
    "report-wind-calm": "Wind calm.",
    "report-visibility-miles": "Visibility {bound:text}{miles:distance}.",
    "report-visibility-km": "Visibility {bound:text}{km:count} kilometres.",
    "report-visibility-m": "Visibility {bound:text}{metres:count} metres.",
    "report-layer": "{cover:text} at {base_ft:feet}[, {kind:text}]",
    "report-layer-unknown": "{cover:text}, height not given[, {kind:text}]",
    "report-into": "Sky hidden, vertical visibility {vertical_ft:feet}.",
    "report-temperature": "Temperature {temperature_c:temperature}[, dew point {dew_point_c:temperature}].",
    "report-altimeter-inches": "Altimeter {inhg:inches} inches.",
    "report-altimeter": "Altimeter {hpa:altimeter} hectopascals.",
    "conflict-station": "The report is of {station:place}, the plan goes to {destination:place}.",
    "conflict-tailwind": "Runway {runway:runway} has up to {tailwind_kt:strength} knots of tailwind"
    "[; the wind favours {favoured:runway}].",
    "conflict-crosswind": "Runway {runway:runway} has up to {crosswind_kt:strength} knots across; "
    "the profile takes {most_crosswind_kt:strength}.",
    "conflict-ceiling": "The ceiling is at {ceiling_altitude_ft:count} feet of altitude, below the decision altitude: "
    "{decision_ft:count} feet.",
    "conflict-altimeter-high": "The altimeter is set to {altimeter_hpa:altimeter}, the report says "
    "{reported_hpa:altimeter}: it shows {error_ft:count} feet too high.",
    "conflict-altimeter-low": "The altimeter is set to {altimeter_hpa:altimeter}, the report says "
    "{reported_hpa:altimeter}: it shows {error_ft:count} feet too low.",
}
"""What is read out; a user's phrase file may say it otherwise."""


class Say(Protocol):
    """Makes a sentence of a phrase and its values."""

    def __call__(self, phrase: str, **values: float | str | None) -> str:
        """Return the sentence."""
        ...


NONE_PLANNED: Mapping[str, str] = MappingProxyType({})

COVERS = {"FEW": "a few clouds", "SCT": "scattered clouds", "BKN": "broken clouds", "OVC": "overcast"}
KINDS = {"CB": "cumulonimbus", "TCU": "towering cumulus"}
BOUNDS = {"more": "more than ", "less": "less than ", "": ""}

# The words of WMO code table 4678, in the order in which they are read.
INTENSITY = {"-": "light", "+": "heavy", "VC": "in the vicinity"}
DESCRIPTORS = {
    "MI": "shallow",
    "PR": "partial",
    "BC": "patches of",
    "DR": "low drifting",
    "BL": "blowing",
    "SH": "showers",
    "TS": "thunderstorm",
    "FZ": "freezing",
}
PHENOMENA = {
    "DZ": "drizzle",
    "RA": "rain",
    "SN": "snow",
    "SG": "snow grains",
    "IC": "ice crystals",
    "PL": "ice pellets",
    "GR": "hail",
    "GS": "small hail",
    "UP": "unknown precipitation",
    "BR": "mist",
    "FG": "fog",
    "FU": "smoke",
    "VA": "volcanic ash",
    "DU": "dust",
    "SA": "sand",
    "HZ": "haze",
    "PY": "spray",
    "PO": "dust whirls",
    "SQ": "squalls",
    "FC": "funnel cloud",
    "SS": "sandstorm",
    "DS": "dust storm",
}
NO_SIGNIFICANT = "NSW"
TORNADO = "+FC"
ERROR_STEP_FT = 10.0
"""An altimeter's error is read and not spoken: in fifties, as heights are said, 270 ft would be 250."""
FIVE_KM = 5_000.0
"""From here on in whole kilometres, below in metres: WMO-No. 306, FM 15, 15.6."""


def read_out(*, weather: Weather, place: str, phrases: Phrasebook) -> list[str]:
    """Return the report as it is spoken, a line each part."""

    def spoken(phrase: str, **values: float | str | None) -> str:
        return phrases.compose(phrase=phrase, values=values).speech

    time_utc = None
    if weather.time_utc is not None:
        time_utc = " ".join((*(DIGITS[int(figure)] for figure in weather.time_utc), UTC_SPOKEN))
    return _lines(_parts(weather, place=place, time_utc=time_utc, say=spoken))


def written_out(*, weather: Weather, place: str, phrases: Phrasebook) -> list[str]:
    """Return the report as it is read on a screen, in figures, a line each part."""

    def written(phrase: str, **values: float | str | None) -> str:
        return phrases.compose(phrase=phrase, values=values).text

    time_utc = None if weather.time_utc is None else f"{weather.time_utc} UTC"
    return _lines(_parts(weather, place=place, time_utc=time_utc, say=written))


def _lines(parts: Iterator[str]) -> list[str]:
    return [line for part in parts if (line := part.strip())]


def _parts(weather: Weather, *, place: str, time_utc: str | None, say: Say) -> Iterator[str]:
    head = "report-head" if time_utc else "report-head-untimed"
    yield say(head, place=place, time_utc=time_utc)
    yield _wind(weather, say)
    yield _visibility(weather, say)
    yield _sentence(", ".join(phenomenon_words(group) for group in weather.phenomena))
    yield _sky(weather, say)
    if weather.temperature_c is not None:
        told = {"temperature_c": weather.temperature_c, "dew_point_c": weather.dew_point_c}
        yield say("report-temperature", **told)
    if weather.altimeter_inhg is not None:
        yield say("report-altimeter-inches", inhg=weather.altimeter_inhg)
    elif weather.altimeter_hpa is not None:
        yield say("report-altimeter", hpa=weather.altimeter_hpa)
    if weather.runway_visual_range:
        yield f"Runway visual range as written: {', '.join(weather.runway_visual_range)}."
    if weather.trend is not None:
        yield f"Trend as written: {weather.trend}."
    if weather.unread:
        yield f"Not understood: {', '.join(weather.unread)}."


def conflict_words(*, disagreement: Disagreement, phrases: Phrasebook) -> str:
    """Return what disagrees, as a sentence."""
    values = dict(disagreement.values)
    phrase = f"conflict-{disagreement.conflict.value}"
    if disagreement.conflict is Conflict.ALTIMETER:
        error_ft = float(values.pop("shows_too_high_ft"))
        phrase += "-high" if error_ft > 0 else "-low"
        values["error_ft"] = rounded(value=abs(error_ft), step=ERROR_STEP_FT)
    return phrases.compose(phrase=phrase, values=values).text


def wind_lines(*, seen: list[EndInWind], planned: Mapping[str, str] = NONE_PLANNED) -> Iterator[str]:
    """Yield a head and a line for each runway end, the favoured first; planned: what for, by the end's full name."""
    better = favoured(seen)
    yield _wind_line("end", "along, kt", "across from, kt", "at worst, kt")
    for each in seen:
        wind = each.wind
        along = sided(wind.headwind_kt, positive="head {}", negative="tail {}")
        across = sided(wind.crosswind_kt, positive="right {}", negative="left {}")
        worst = f"tail {knots(wind.worst_tailwind_kt)}, across {knots(wind.worst_crosswind_kt)}"
        marks = (planned.get(each.end.name, ""), "favoured" if each.end is better else "")
        yield _wind_line(each.end.runway, along, across, worst, ", ".join(filter(None, marks)))


def _wind_line(end: str, along: str, across: str, worst: str, marks: str = "") -> str:
    return f"{end:>4}  {along:<9}  {across:<15}  {worst:<18}  {marks}".rstrip()


def phenomenon_words(group: str) -> str:
    """Return one group of present weather in words, such as thunderstorm with heavy rain for +TSRA.

    The sign tells how heavy the precipitation is (FMH-1, 12.6.8), so it stands before that and not before the thunder.
    """
    if group == NO_SIGNIFICANT:
        return "no significant weather"
    if group == TORNADO:
        return "tornado or waterspout"
    sign = next((sign for sign in INTENSITY if group.startswith(sign)), "")
    pairs = re.findall("..", group.removeprefix(sign))
    descriptor = pairs.pop(0) if pairs and pairs[0] in DESCRIPTORS else ""
    what = " and ".join(PHENOMENA[pair] for pair in pairs)
    if sign == "VC":
        return f"{_described(descriptor, what)} {INTENSITY[sign]}"
    strength = f"{INTENSITY[sign]} " if sign else ""
    if descriptor == "TS" and what:
        return f"{DESCRIPTORS[descriptor]} with {strength}{what}"
    return strength + _described(descriptor, what)


def _described(descriptor: str, what: str) -> str:
    if not descriptor or not what:
        return what or DESCRIPTORS[descriptor]
    between = " of " if descriptor == "SH" else " "
    return f"{DESCRIPTORS[descriptor]}{between}{what}"


def _wind(weather: Weather, say: Say) -> str:
    if weather.wind_speed_kt is None:
        return ""
    if weather.calm:
        return say("report-wind-calm")
    lowest, highest = weather.wind_varies_deg or (None, None)
    told = {"speed_kt": weather.wind_speed_kt, "gust_kt": weather.gust_kt}
    if weather.wind_from_true_deg is None:
        return say("report-wind-variable", **told)
    about = {"from_deg": weather.wind_from_true_deg, "lowest_deg": lowest, "highest_deg": highest}
    return say("report-wind", **told, **about)


def _visibility(weather: Weather, say: Say) -> str:
    bound = BOUNDS[weather.visibility_bound]
    if weather.visibility_miles is not None:
        if weather.visibility_miles < 1.0:
            eighths = round(weather.visibility_miles * 16.0)
            return (
                f"Visibility {bound}{eighths} sixteenths of a mile." if eighths % 2 else _eighths(bound, eighths // 2)
            )
        return say("report-visibility-miles", bound=bound, miles=weather.visibility_miles)
    if weather.visibility_m is None:
        return ""
    if weather.visibility_m >= FIVE_KM:
        return say("report-visibility-km", bound=bound, km=weather.visibility_m / 1_000.0)
    return say("report-visibility-m", bound=bound, metres=weather.visibility_m)


def _eighths(bound: str, eighths: int) -> str:
    names = {1: "an eighth of a mile", 2: "a quarter mile", 4: "half a mile", 6: "three quarters of a mile"}
    return f"Visibility {bound}{names.get(eighths, f'{DIGITS[eighths]} eighths of a mile')}."


def _sky(weather: Weather, say: Say) -> str:
    if weather.vertical_visibility_ft is not None:
        return say("report-into", vertical_ft=weather.vertical_visibility_ft)
    layers = [
        say(
            "report-layer" if layer.base_ft is not None else "report-layer-unknown",
            cover=COVERS[layer.cover],
            base_ft=layer.base_ft,
            kind=KINDS.get(layer.kind or ""),
        )
        for layer in weather.clouds
    ]
    return _sentence("; ".join(layers) or ("no cloud to speak of" if weather.sky_clear else ""))


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}." if text else ""


UTC_SPOKEN = "zulu"
"""How a time in UTC is told from a local one, as pilots and controllers say it."""
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
