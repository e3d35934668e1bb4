"""METAR groups against the regulator's examples; what each says, and that nothing else of it was made up."""

from typing import Any

import pytest

from otherseat.advisories.weather_report import Weather
from otherseat.config.weather import read_report
from tests.standards.topic import Answers, Case, Topic

REMARK = "a remark: nothing after RMK is read"
WORDS = "shown as the group stands; its words are tested with the words"
TOPIC = Topic(
    name="metar",
    left_out={
        "Group: peak wind remark": REMARK,
        "Group: variable visibility remark": REMARK,
        "Group: wind shift remark": REMARK,
        "Group: tower visibility remark": REMARK,
        "Group: sector visibility remark": REMARK,
        "Group: variable ceiling remark": REMARK,
        "Group: ceiling at a second site": REMARK,
        "Group: hourly temperature remark": REMARK,
        "Group: sea-level pressure remark": REMARK,
        "Group: thunderstorm begin/end remark": REMARK,
        "Group: snow depth remark": REMARK,
        "Group: present weather": WORDS,
        "Group: runway visual range": WORDS,
        "Group: sky cover amount": "a cover without a height is no group of a report",
    },
    unjudged={
        "rvr": WORDS,
        "minimum_visibility_m": "only the prevailing visibility is kept",
        "minimum_visibility_direction": "only the prevailing visibility is kept",
        "peak_wind_from_deg": REMARK,
        "peak_wind_kt": REMARK,
        "peak_wind_minute": REMARK,
        "sea_level_pressure_hpa": REMARK,
        "temperature_tenths_c": REMARK,
        "dewpoint_tenths_c": REMARK,
        "max_temperature_6h_c": REMARK,
        "min_temperature_6h_c": REMARK,
        "precip_1h_in": REMARK,
        "maintenance": REMARK,
    },
)


@TOPIC.answer
def full(*, raw: str) -> Answers:
    """Answer what a whole report says."""
    return said(read_report(raw))


@TOPIC.answer
def one(*, group: str) -> Answers:
    """Answer what a group says in a report that says little else."""
    if group.endswith("Z"):
        return said(read_report(f"METAR ZZPS {group} 00000KT"))
    wind = "" if group[:3] == "VRB" or "KT" in group else "00000KT "
    return said(read_report(f"METAR ZZPS 010000Z {wind}{group}"))


def said(weather: Weather) -> dict[str, Any]:
    """Return a report by the names of the published cases."""
    varies = weather.wind_varies_deg or (None, None)
    layers = [
        {"cover": layer.cover, "base_ft": layer.base_ft} | ({"type": layer.kind} if layer.kind else {})
        for layer in weather.clouds
    ]
    direction = weather.wind_from_true_deg
    metres = weather.visibility_m
    return {
        "type": "SPECI" if weather.special else "METAR",
        "station": weather.station,
        "day": weather.day,
        "hour": int((weather.time_utc or "0000")[:2]),
        "minute": int((weather.time_utc or "0000")[2:]),
        "auto": weather.automatic,
        "wind_from_deg": 0 if weather.calm else ("VRB" if direction is None else direction),
        "wind_speed_kt": weather.wind_speed_kt,
        "gust_kt": weather.gust_kt,
        "wind_var_from_deg": varies[0],
        "wind_var_to_deg": varies[1],
        "calm": weather.calm,
        "visibility_sm": None if metres is None else metres / 1609.344,
        "visibility_m": 9999 if (metres, weather.visibility_bound) == (10_000, "more") else metres,
        "less_than": weather.visibility_bound == "less",
        "weather": list(weather.phenomena),
        "clouds": layers,
        "layers": layers,
        "clear": weather.sky_clear,
        "ceiling_ft": weather.ceiling_ft,
        "has_ceiling": weather.ceiling_ft is not None,
        "vertical_visibility_ft": weather.vertical_visibility_ft,
        "indefinite": weather.vertical_visibility_ft is not None,
        "temperature_c": weather.temperature_c,
        "dewpoint_c": weather.dew_point_c,
        "dewpoint_missing": weather.dew_point_c is None,
        "altimeter_inhg": weather.altimeter_inhg,
        "qnh_hpa": weather.altimeter_hpa,
        "trend": None if weather.trend is None else weather.trend.split()[0],
    }


@TOPIC.parametrize
def test_published(case: Case) -> None:
    """Every published value is met."""
    assert TOPIC.misses(case) == []


@pytest.mark.parametrize("case", [case for case in TOPIC.cases() if "raw" in case.inputs], ids=lambda case: case.id)
def test_everything_was_read(case: Case) -> None:
    """Of a published report no group is left unread."""
    assert read_report(case.inputs["raw"]).unread == ()
