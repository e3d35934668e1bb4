"""METAR text into Weather, group by group, by the package metar; what it can't read, or would have to guess, is listed.

The package is given one group at a time, so that one bad group spoils no other and none is taken for another. What
it would complete by itself is not given to it at all: a wind without a unit, figures with a letter O among them, a
pressure without its letter. Remarks after RMK are not read; a trend (NOSIG, BECMG, TEMPO) is kept as text.
Codes: WMO-No. 306, FM 15; FAA AIM chapter 7, section 1.
"""

import re
import warnings
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from otherseat.advisories.units import HPA_PER_INHG
from otherseat.advisories.weather_report import CloudLayer, Weather

MAX_LETTERS = 1_000

STATION = re.compile(r"[A-Z][A-Z0-9]{3}")
TIME = re.compile(r"\d{6}Z")
WIND = re.compile(r"(\d{3}|VRB)P?\d{2,3}(G(P?\d{2,3}))?(KT|MPS|KMH)( \d{3}V\d{3})?")
PRESSURE = re.compile(r"Q\d{4}|A\d{4}|QNH\d{4}(INS)?")
VISIBILITY = re.compile(r"\d{4}([NSEW][EW]?|NDV)?|[MP]?(\d+ )?(\d+|\d+/\d+)(SM|KM)|CAVOK")
GUESSWORK = re.compile(r".*(\dO|O\d)|0VC|/{2,}|SCK|(\d{1,3}|\d{5,})\Z")
"""Groups that the package would complete or mend: figures with a letter O, or with none of the letters they need."""
SEVERAL_WORDS = re.compile(rf"(?={WIND.pattern}\Z)\S+ \S+|\d+ \d+/\d+SM|WS R(WY)?\d\d[LCR]?|WS ALL RWY")
TREND = re.compile(r" (NOSIG|BECMG|TEMPO|FCST)( |$)")
CLEAR = frozenset({"SKC", "CLR", "NSC", "NCD"})
LOWEST_HPA, HIGHEST_HPA = 850.0, 1_090.0
EXAMPLE = "METAR ZZPS 121755Z 21016KT 9999 BKN015 06/04 Q1013"


class ReportError(ValueError):
    """A text that is no METAR."""


def read_report(text: str) -> Weather:
    """Return what a METAR or SPECI says, or raise ReportError when it is none."""
    flat = " ".join(text.upper().split()).rstrip("= ")
    if not flat:
        raise ReportError("there is no report")
    if len(flat) > MAX_LETTERS:
        raise ReportError(f"a report has at most {MAX_LETTERS} letters, this has {len(flat)}")
    body = flat.partition(" RMK")[0]
    split = TREND.search(body)
    trend = body[split.start() :].strip() if split else None
    words = (body[: split.start()] if split else body).split()
    weather, groups = _head(words, text=flat)
    for group in _groups(groups):
        weather = _with_group(weather, group)
    if weather.wind_speed_kt is None and weather.altimeter_hpa is None and weather.visibility_m is None:
        example = "" if weather.time_utc else f"; a report looks like {EXAMPLE}"
        raise ReportError(f"neither wind, visibility nor altimeter can be read in: {flat}{example}")
    return replace(weather, trend=trend)


def _head(words: list[str], *, text: str) -> tuple[Weather, list[str]]:
    """Return an empty report of the station and time, and the words that follow."""
    rest = list(words)
    special = rest[:1] == ["SPECI"]
    while rest and rest[0] in {"METAR", "SPECI", "COR"}:
        rest.pop(0)
    if not rest or not STATION.fullmatch(rest[0]) or WIND.fullmatch(rest[0]):
        instead = f", not with {rest[0]}" if rest else ""
        raise ReportError(f"a report begins with its station's four letters, such as ZZPS{instead}")
    station = rest.pop(0)
    weather = Weather(text=text, station=station, special=special)
    if rest and TIME.fullmatch(rest[0]):
        day, clock = int(rest[0][:2]), rest[0][2:6]
        if not (1 <= day <= 31 and int(clock[:2]) < 24 and int(clock[2:]) < 60):  # noqa: PLR2004 - a date's parts
            raise ReportError(f"{rest[0]} is no day and time")
        weather = replace(weather, day=day, time_utc=clock)
        rest.pop(0)
    while rest and rest[0] in {"AUTO", "COR", "NIL"}:
        if rest[0] == "NIL":
            raise ReportError(f"{station} sent no report (NIL)")
        weather = replace(weather, automatic=weather.automatic or rest[0] == "AUTO")
        rest.pop(0)
    return weather, rest


def _groups(words: list[str]) -> Iterator[str]:
    """Yield the groups: most are a word, some are two or three."""
    index = 0
    while index < len(words):
        size = next((n for n in (3, 2) if SEVERAL_WORDS.fullmatch(" ".join(words[index : index + n]))), 1)
        yield " ".join(words[index : index + size])
        index += size


def _with_group(weather: Weather, group: str) -> Weather:
    """Return the report with one more group read, or with one more that couldn't be."""
    if not GUESSWORK.match(group):
        found = _decoded(group)
        for fill in FILLS if found is not None else ():
            filled = fill(weather, group, found)
            if filled is not None:
                return filled
        if found is not None and _known(found):
            return weather
    return replace(weather, unread=(*weather.unread, group))


def _decoded(group: str) -> Any:
    """Return the package's reading of one group, or None."""
    from metar.Metar import Metar, ParserError  # noqa: PLC0415 - compiles a hundred patterns: not at every start

    before = "" if WIND.fullmatch(group) else "00000KT "
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return Metar(f"METAR ZZZZ 010000Z {before}{group}", month=1, year=2000, strict=True)
        except (ParserError, ValueError, ArithmeticError):
            return None


def _wind(weather: Weather, group: str, found: Any) -> Weather | None:
    if not WIND.fullmatch(group):
        return None
    if weather.wind_speed_kt is not None or found.wind_speed is None:
        return None
    speed_kt = float(found.wind_speed.value("KT"))
    direction = None if found.wind_dir is None or speed_kt == 0.0 else float(found.wind_dir.value())
    if direction is not None and direction > 360.0:  # noqa: PLR2004 - a full circle
        return None
    varies = None
    if found.wind_dir_from is not None:
        varies = float(found.wind_dir_from.value()), float(found.wind_dir_to.value())
    return replace(
        weather,
        wind_from_true_deg=direction,
        wind_speed_kt=speed_kt,
        gust_kt=None if found.wind_gust is None else float(found.wind_gust.value("KT")),
        wind_varies_deg=varies,
    )


def _visibility(weather: Weather, group: str, found: Any) -> Weather | None:
    if found.vis is None or not VISIBILITY.fullmatch(group):
        return None
    if weather.visibility_m is not None:
        return weather if group[-1:].isalpha() else None
    bound = {">": "more", "<": "less"}.get(found.vis._gtlt or "", "")  # noqa: SLF001 - the package has no other way to ask
    clear = group == "CAVOK"
    return replace(
        weather,
        visibility_m=float(found.vis.value("M")),
        visibility_miles=float(found.vis.value("SM")) if group.endswith("SM") else None,
        visibility_bound="more" if clear else bound,
        sky_clear=weather.sky_clear or clear,
    )


def _runway_visual_range(weather: Weather, group: str, found: Any) -> Weather | None:
    return replace(weather, runway_visual_range=(*weather.runway_visual_range, group)) if found.runway else None


def _sky(weather: Weather, _group: str, found: Any) -> Weather | None:
    if not found.sky:
        return None
    cover, height, kind = found.sky[0]
    base_ft = None if height is None else float(height.value("FT"))
    if cover == "VV":
        return replace(weather, vertical_visibility_ft=base_ft)
    if cover in CLEAR:
        return replace(weather, sky_clear=True)
    if cover not in {"FEW", "SCT", "BKN", "OVC"}:
        return None
    layer = CloudLayer(cover=cover, base_ft=base_ft, kind=kind if kind in {"CB", "TCU"} else None)
    return replace(weather, clouds=(*weather.clouds, layer))


def _phenomena(weather: Weather, group: str, found: Any) -> Weather | None:
    if not found.weather or "/" in group:
        return None
    return replace(weather, phenomena=(*weather.phenomena, group))


def _temperature(weather: Weather, _group: str, found: Any) -> Weather | None:
    if found.temp is None and found.dewpt is None:
        return None
    return replace(
        weather,
        temperature_c=None if found.temp is None else float(found.temp.value("C")),
        dew_point_c=None if found.dewpt is None else float(found.dewpt.value("C")),
    )


def _altimeter(weather: Weather, group: str, found: Any) -> Weather | None:
    if found.press is None or not PRESSURE.fullmatch(group):
        return None
    inches = group.startswith("A") or group.endswith("INS")
    # The package keeps QNH in inches as 2992 hPa; the figures themselves are what the group says.
    inhg = int("".join(c for c in group if c.isdigit())) / 100.0 if inches else None
    hpa = float(found.press.value("HPA")) if inhg is None else inhg * HPA_PER_INHG
    if not LOWEST_HPA <= hpa <= HIGHEST_HPA:
        return None
    return replace(weather, altimeter_hpa=hpa, altimeter_inhg=inhg)


def _known(found: Any) -> bool:
    """Say whether the package read something in it that is not kept: recent weather, wind shear."""
    return bool(found.recent or found.windshear)


FILLS: tuple[Callable[[Weather, str, Any], Weather | None], ...] = (
    _wind,
    _visibility,
    _runway_visual_range,
    _sky,
    _phenomena,
    _temperature,
    _altimeter,
)
