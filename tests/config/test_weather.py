"""Reports: what can't be read or would have to be guessed is listed, and everything else still counts."""

from dataclasses import fields, replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from otherseat.advisories.weather_report import Weather
from otherseat.config.weather import ReportError, read_report

GOOD = "METAR ZZPS 121755Z 21016KT 9999 BKN015 06/04 Q1013"


@pytest.mark.parametrize(
    ("instead_of", "group"),
    [
        pytest.param("21016KT", "21016", id="wind-without-unit"),
        pytest.param("21016KT", "21O16KT", id="letter-o-in-wind"),
        pytest.param("21016KT", "/////KT", id="wind-missing"),
        pytest.param("21016KT", "40016KT", id="no-such-direction"),
        pytest.param("21016KT", "21016K", id="clipped-unit"),
        pytest.param("9999", "////", id="visibility-missing"),
        pytest.param("9999", "99999", id="too-many-figures"),
        pytest.param("9999", "R27/////", id="visual-range-missing"),
        pytest.param("BKN015", "0VC015", id="nought-for-o"),
        pytest.param("BKN015", "BKNO15", id="o-for-nought"),
        pytest.param("BKN015", "///015", id="cover-missing"),
        pytest.param("BKN015", "BNK015", id="letters-swapped"),
        pytest.param("06/04", "06//04", id="temperature-spoilt"),
        pytest.param("Q1013", "Q113", id="three-figures"),
        pytest.param("Q1013", "1O13", id="pressure-without-letter"),
        pytest.param("Q1013", "Q3013", id="pressure-out-of-this-world"),
        pytest.param("Q1013", "A2013", id="inches-out-of-this-world"),
        pytest.param("Q1013", "GARBAGE", id="garbage"),
    ],
)
def test_unread(instead_of: str, group: str) -> None:
    """A group that can't be read is listed, sets nothing, and spoils no other group."""
    good, found = read_report(GOOD), read_report(GOOD.replace(instead_of, group))
    missing = read_report(GOOD.replace(f" {instead_of}", ""))

    assert (group,) == found.unread
    assert replace(missing, text=found.text, unread=(group,)) == found
    assert good != found


def test_a_second_of_a_kind() -> None:
    """A wind or visibility said twice is not both: the second is listed."""
    found = read_report("ZZPS 121755Z 21016KT 24010KT 9999 4000 Q1013")

    assert ("24010KT", "4000") == found.unread
    assert (210.0, 10_000.0) == (found.wind_from_true_deg, found.visibility_m)


@pytest.mark.parametrize(
    ("group", "expected_m", "bound"),
    [
        ("9999", 10_000.0, "more"),
        ("CAVOK", 10_000.0, "more"),
        ("0350", 350.0, ""),
        ("P6SM", 6 * 1609.344, "more"),
        ("M1/4SM", 0.25 * 1609.344, "less"),
        ("1 1/2SM", 1.5 * 1609.344, ""),
        ("4KM", 4_000.0, ""),
    ],
)
def test_visibility(group: str, expected_m: float, bound: str) -> None:
    """Visibility comes in metres, with what it only bounds."""
    found = read_report(f"ZZPS 121755Z 21016KT {group} Q1013")

    assert (expected_m, bound) == (pytest.approx(found.visibility_m), found.visibility_bound)


@pytest.mark.parametrize(
    ("group", "hpa", "inhg"),
    [("Q1013", 1013.0, None), ("A2992", 1013.2, 29.92), ("QNH2992INS", 1013.2, 29.92), ("QNH1013", 1013.0, None)],
)
def test_altimeter(group: str, hpa: float, inhg: float | None) -> None:
    """The altimeter setting comes in hectopascals, and in inches when it was said in inches."""
    found = read_report(f"ZZPS 121755Z 21016KT {group}")

    assert (pytest.approx(found.altimeter_hpa, abs=0.05), inhg) == (hpa, found.altimeter_inhg)


@pytest.mark.parametrize(
    ("group", "expected"),
    [
        ("10MPS", None),
        ("36010MPS", (360.0, 19.4)),
        ("VRB03KT", (None, 3.0)),
        ("00000KT", (None, 0.0)),
        ("240P99KT", (240.0, 99.0)),
    ],
)
def test_wind(group: str, expected: tuple[float | None, float] | None) -> None:
    """Wind comes in knots; a variable or calm one has no direction."""
    found = read_report(f"ZZPS 121755Z {group} 9999 Q1013")

    if expected is None:
        assert (None, (group,)) == (found.wind_speed_kt, found.unread)
    else:
        direction, speed = found.wind_from_true_deg, found.wind_speed_kt
        assert expected == (direction, pytest.approx(speed, abs=0.05))


def test_trend_and_remarks() -> None:
    """A trend is no weather of now, and remarks are not read."""
    found = read_report(f"{GOOD} TEMPO 3000 +TSRA BKN005CB RMK XYZ Q0999=")

    assert "TEMPO 3000 +TSRA BKN005CB" == found.trend
    assert replace(read_report(GOOD), text=found.text, trend=found.trend) == found


def test_small_letters_and_line_breaks() -> None:
    """A report may be typed or pasted as it comes."""
    typed = read_report("  metar zzps 121755z 21016kt\n 9999 bkn015 06/04  q1013 =")

    assert replace(typed, text=GOOD) == read_report(GOOD)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("", "there is no report", id="empty"),
        pytest.param(
            "sunny", "a report begins with its station's four letters, such as ZZPS, not with SUNNY", id="word"
        ),
        pytest.param("METAR", "a report begins with its station's four letters, such as ZZPS", id="type-alone"),
        pytest.param("ZZPS 121755Z NIL", "ZZPS sent no report (NIL)", id="nil"),
        pytest.param("ZZPS 321755Z 21016KT", "321755Z is no day and time", id="day"),
        pytest.param("ZZPS 121790Z 21016KT", "121790Z is no day and time", id="minute"),
        pytest.param(
            "ZZPS 121755Z FEW015",
            "neither wind, visibility nor altimeter can be read in: ZZPS 121755Z FEW015",
            id="little",
        ),
        pytest.param(
            "blah",
            "neither wind, visibility nor altimeter can be read in: BLAH; a report looks like METAR ZZPS 121755Z "
            "21016KT 9999 BKN015 06/04 Q1013",
            id="no-report-at-all",
        ),
        pytest.param("A" * 1001, "a report has at most 1000 letters, this has 1001", id="long"),
    ],
)
def test_no_report(text: str, expected: str) -> None:
    """What is no report is refused with its reason."""
    with pytest.raises(ReportError) as caught:
        read_report(text)

    assert expected == str(caught.value)


@given(st.text(st.sampled_from("ZPSMETAR0123456789/KTGVQSCTBKNOFW+-X "), max_size=60))
@example("0/0/0 " * 20)
@example("///////////")
def test_whatever_is_written(text: str) -> None:
    """A report or a ReportError, nothing else; and no number of a report is made of nothing."""
    try:
        found = read_report(f"ZZPS 121755Z {text}")
    except ReportError:
        return

    assert all(getattr(found, field.name) is None or found.text for field in fields(Weather))
    assert found.altimeter_hpa is None or 850.0 <= found.altimeter_hpa <= 1_090.0
