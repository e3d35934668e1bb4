"""Numbers and names as pilots say them."""

import pytest

from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.voice.spoken import FORMS, Sentence, rounded

WORDS = Phrasebook.load().words


@pytest.mark.parametrize(
    ("form", "value", "text", "speech"),
    [
        # heights: counted, rounded; common practice, no source
        ("height", 204.0, "200", "two hundred"),
        ("height", 74.0, "70", "seventy"),
        ("height", 96.0, "100", "one hundred"),
        ("height", 374.9, "350", "three hundred fifty"),
        ("height", 980.0, "1,000", "one thousand"),
        ("height", 1_240.0, "1,200", "one thousand two hundred"),
        ("height", -55.0, "-60", "minus sixty"),
        ("feet", 850.0, "850 feet", "eight hundred fifty feet"),
        # altitudes: FAA AIM 4-2-9, thousands by digits from ten thousand on
        ("altitude", 500.0, "500", "five hundred"),
        ("altitude", 3_460.0, "3,500", "three thousand five hundred"),
        ("altitude", 10_000.0, "10,000", "one zero thousand"),
        ("altitude", 12_500.0, "12,500", "one two thousand five hundred"),
        # rates: common practice, no source
        ("rate", 640.0, "650", "six fifty"),
        ("rate", 700.0, "700", "seven hundred"),
        ("rate", 1_230.0, "1,250", "one thousand two fifty"),
        ("rate", 1_210.0, "1,200", "one thousand two hundred"),
        ("rate", -480.0, "500", "five hundred"),
        # headings: FAA AIM 4-2-10, three digits
        ("heading", 5.4, "005", "zero zero five"),
        ("course", 0.2, "360", "three six zero"),
        ("bearing", 359.7, "360", "three six zero"),
        ("bearing", -90.0, "270", "two seven zero"),
        ("turn", 42.0, "40", "four zero"),
        ("turn", 7.0, "7", "seven"),
        ("runway", "27L", "27L", "two seven left"),
        ("runway", "ZZPS/07", "07", "zero seven"),
        ("runway", "ZZPS/18C", "18C", "one eight centre"),
        ("runway", "grass", "grass", "grass"),
        # spelling alphabet: ICAO Annex 10 volume II
        ("place", "ZZPS", "ZZPS", "zulu zulu papa sierra"),
        ("place", "ZZK2/07", "ZZK2", "zulu zulu kilo two"),
        ("place", "ZZORA", "ZZORA", "zzora"),
        ("distance", 0.04, "0 miles", "zero miles"),
        ("distance", 0.31, "0.3 miles", "zero point three miles"),
        ("distance", 0.5, "0.5 miles", "half a mile"),
        ("distance", 1.02, "1 mile", "one mile"),
        ("distance", 2.4, "2.5 miles", "two and a half miles"),
        ("distance", 6.2, "6 miles", "six miles"),
        ("distance", 14.4, "14 miles", "one four miles"),
        ("distance", -2.4, "-2.5 miles", "minus two and a half miles"),
        ("speed", 65.2, "65 knots", "six five knots"),
        ("speed", 1.0, "1 knot", "one knot"),
        ("strength", 15.0, "15", "one five"),
        # altimeter settings: FAA AIM 4-2-8 and 7-2, digit by digit
        ("altimeter", 1_013.2, "1013", "one zero one three"),
        ("altimeter", 987.0, "987", "{9} eight seven"),
        ("inches", 29.92, "29.92", "two {9} {9} two"),
        ("temperature", -5.4, "-5", "minus five"),
        ("temperature", -12.0, "-12", "minus one two"),
        ("count", 1_012.0, "1,012", "one thousand twelve"),
        ("time", 0.0, "0 seconds", "zero seconds"),
        ("time", 45.0, "45 seconds", "four five seconds"),
        ("time", 60.0, "1 minute", "one minute"),
        ("time", 90.0, "1 minute 30 seconds", "one minute three zero seconds"),
        ("time", 2_400.0, "40 minutes", "four zero minutes"),
        ("time", 4_800.0, "1 hour 20 minutes", "one hour two zero minutes"),
        ("angle", 3.41, "3.4 degrees", "three point four degrees"),
        ("angle", 1.0, "1 degree", "one degree"),
        ("text", "teardrop", "teardrop", "teardrop"),
        ("text", 3.5, "3.5", "3.5"),
    ],
)
def test_forms(form: str, value: float | str, text: str, speech: str) -> None:
    """A value is shown and said as the trade does."""
    expected = Sentence(text, speech.replace("{9}", WORDS.digits[9]))

    assert expected == FORMS[form](WORDS, value)


@pytest.mark.parametrize(
    ("number", "expected"),
    [
        (0, "zero"),
        (21, "twenty one"),
        (119, "one hundred nineteen"),
        (2_000, "two thousand"),
        (45_100, "forty five thousand one hundred"),
        (-7, "minus seven"),
    ],
)
def test_cardinals(number: int, expected: str) -> None:
    """Whole numbers are counted."""
    assert expected == WORDS.cardinal(number)


@pytest.mark.parametrize(("value", "expected"), [(24.9, 0), (25.0, 50), (75.0, 100), (-25.0, -50), (-74.0, -50)])
def test_halves_go_away_from_zero(value: float, expected: int) -> None:
    """Half a step counts as a whole one, up or down, so that neighbours never share a number by chance."""
    assert expected == rounded(value=value, step=50)
