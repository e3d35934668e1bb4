"""A report read out."""

import pytest

from otherseat.advisories.report_check import Conflict, Disagreement
from otherseat.config.weather import read_report
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.weather_words import PHRASES, conflict_words, phenomenon_words, read_out, written_out

BOOK = Phrasebook.load(extra=PHRASES)


def test_whole() -> None:
    """A report is read out in the order of a broadcast, figure by figure."""
    report = read_report("METAR ZZPS 120730Z 21016G24KT 180V240 9999 -RA BKN015 OVC025CB M02/M10 Q0998 NOSIG")

    assert read_out(weather=report, place="Port Sallow", phrases=BOOK) == [
        "Port Sallow, observed at zero seven three zero zulu.",
        "Wind two one zero degrees, one six knots, gusting two four, varying between one eight zero and two four zero.",
        "Visibility more than ten kilometres.",
        "Light rain.",
        "Broken clouds at one thousand five hundred feet; overcast at two thousand five hundred feet, cumulonimbus.",
        "Temperature minus two, dew point minus one zero.",
        "Altimeter nine nine eight hectopascals.",
        "Trend as written: NOSIG.",
    ]


def test_written() -> None:
    """The same report is written in figures, as one reads it on a screen."""
    report = read_report("METAR ZZPS 120730Z 21016G24KT 180V240 9999 -RA BKN015 OVC025CB M02/M10 Q0998 NOSIG")

    assert written_out(weather=report, place="Port Sallow", phrases=BOOK) == [
        "Port Sallow, observed at 0730 UTC.",
        "Wind 210 degrees, 16 knots, gusting 24, varying between 180 and 240.",
        "Visibility more than 10 kilometres.",
        "Light rain.",
        "Broken clouds at 1,500 feet; overcast at 2,500 feet, cumulonimbus.",
        "Temperature -2, dew point -10.",
        "Altimeter 998 hectopascals.",
        "Trend as written: NOSIG.",
    ]


@pytest.mark.parametrize(
    ("group", "expected"),
    [
        ("00000KT", "Wind calm."),
        ("VRB03KT", "Wind from changing directions, three knots."),
        ("36005KT", "Wind three six zero degrees, five knots."),
        ("0350", "Visibility three hundred fifty metres."),
        ("6000", "Visibility six kilometres."),
        ("1/2SM", "Visibility half a mile."),
        ("M1/4SM", "Visibility less than a quarter mile."),
        ("1/8SM", "Visibility an eighth of a mile."),
        ("2 1/2SM", "Visibility two and a half miles."),
        ("P6SM", "Visibility more than six miles."),
        ("VV001", "Sky hidden, vertical visibility one hundred feet."),
        ("NSC", "No cloud to speak of."),
        ("BKN///", "Broken clouds, height not given."),
        ("SCT020TCU", "Scattered clouds at two thousand feet, towering cumulus."),
        ("A2992", "Altimeter two nine nine two inches."),
        ("02/", "Temperature two."),
        ("R27/0600", "Runway visual range as written: R27/0600."),
        ("////", "Not understood: ////."),
    ],
)
def test_groups(group: str, expected: str) -> None:
    """Each group has its sentence."""
    other = "A2992" if "KT" in group else "00000KT"
    report = read_report(f"ZZPS 120730Z {other} {group}")

    assert expected in read_out(weather=report, place="ZZPS", phrases=BOOK)


@pytest.mark.parametrize(
    ("group", "expected"),
    [
        # FAA AC 00-45H, section 3.1.5.8, and the FAA AIM's weather formats.
        ("-DZ", "light drizzle"),
        ("SN", "snow"),
        ("-FZRA", "light freezing rain"),
        ("SHRA", "showers of rain"),
        ("VCBLSA", "blowing sand in the vicinity"),
        ("TS", "thunderstorm"),
        ("+FC", "tornado or waterspout"),
        ("TSRAGR", "thunderstorm with rain and hail"),
        ("+TSRA", "thunderstorm with heavy rain"),
        ("VCSH", "showers in the vicinity"),
        ("+SHRASNPL", "heavy showers of rain and snow and ice pellets"),
        ("NSW", "no significant weather"),
    ],
)
def test_phenomena(group: str, expected: str) -> None:
    """Present weather is read as the regulator's examples are."""
    assert expected == phenomenon_words(group)


@pytest.mark.parametrize(
    ("conflict", "values", "expected"),
    [
        (
            Conflict.ALTIMETER,
            {"altimeter_hpa": 1_023.0, "reported_hpa": 1_013.0, "shows_too_high_ft": 273.0},
            "The altimeter is set to 1023, the report says 1013: it shows 270 feet too high.",
        ),
        (
            Conflict.ALTIMETER,
            {"altimeter_hpa": 1_003.0, "reported_hpa": 1_013.0, "shows_too_high_ft": -273.0},
            "The altimeter is set to 1003, the report says 1013: it shows 270 feet too low.",
        ),
        (
            Conflict.TAILWIND,
            {"runway": "ZZPS/27L", "tailwind_kt": 8.2},
            "Runway 27L has up to 8 knots of tailwind.",
        ),
        (
            Conflict.STATION,
            {"station": "ZZKN", "destination": "ZZPS"},
            "The report is of ZZKN, the plan goes to ZZPS.",
        ),
        (
            Conflict.CEILING,
            {"ceiling_altitude_ft": 300.0, "decision_ft": 420.0},
            "The ceiling is at 300 feet of altitude, below the decision altitude: 420 feet.",
        ),
        (
            Conflict.CROSSWIND,
            {"runway": "ZZPS/27L", "crosswind_kt": 20.0, "most_crosswind_kt": 15.0},
            "Runway 27L has up to 20 knots across; the profile takes 15.",
        ),
    ],
)
def test_conflicts(conflict: Conflict, values: dict[str, float | str], expected: str) -> None:
    """Each thing that disagrees has its sentence."""
    assert expected == conflict_words(disagreement=Disagreement(conflict=conflict, values=values), phrases=BOOK)
