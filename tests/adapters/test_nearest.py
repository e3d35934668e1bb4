"""What is suggested in place of a name that there is not."""

from pathlib import Path

import pytest

from otherseat.adapters.layout_file import LayoutError, load
from otherseat.adapters.nearest import alike, nearest
from otherseat.adapters.parts import TARGETS


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("temperature", "outside_air_temperature_c"),
        ("oat", "outside_air_temperature_c"),
        ("oat_c", "outside_air_temperature_c"),
        ("OAT", "outside_air_temperature_c"),
        ("tas", "true_airspeed_kt"),
        ("ias_kt", "indicated_airspeed_kt"),
        ("gs", "groundspeed_kt"),
        ("alt_ft", "altitude_ft"),
        ("altitude", "altitude_ft"),
        ("airspeed", "indicated_airspeed_kt | true_airspeed_kt"),
        ("agl", "height_agl_ft"),
        ("mag_heading", "heading_magnetic_deg"),
        ("heading_truw_deg", "heading_true_deg"),
        ("lattitude_deg", "latitude_deg"),
    ],
)
def test_a_field_by_half_its_name(word: str, meant: str) -> None:
    """Parts, beginnings, abbreviations and slips lead to the field; where they fit several all of those are named."""
    assert meant == nearest(word, TARGETS)


def test_a_unit_written_out() -> None:
    """The abbreviation is found by the word."""
    assert ["kt", "ft", "hPa"] == [
        nearest("knots", ["km/h", "kt", "m/s", "mph"]),
        nearest("feet", ["ft", "m"]),
        nearest("hectopascal", ["Pa", "hPa", "inHg"]),
    ]


def test_what_is_like_nothing() -> None:
    """No choice is suggested that is hardly like the word: all are named."""
    assert [] == alike("rpm", TARGETS)
    assert "column | key" == nearest("rpm", ["key", "column"])


def test_a_layout_of_that_name_in_the_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its ending the name of a file is no layout: the file is suggested, before any packaged one."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(LayoutError, match=r"no layout called 'mine'; did you mean jsbsim\?"):
        load("mine")
    (tmp_path / "mine.toml").write_text("", encoding="utf-8")
    with pytest.raises(LayoutError, match=r"no layout called 'mine'; did you mean mine\.toml\?"):
        load("mine")
