"""Aircraft profiles: the packaged ones, inheritance, and errors."""

from pathlib import Path

import pytest

from otherseat.config.errors import ConfigError
from otherseat.config.profiles import profile_names, read_profile

PACKAGED = ["airliner", "glider", "light-jet", "light-single", "light-twin", "turboprop"]


def own(folder: Path, **files: str) -> Path:
    """Write profiles of one's own."""
    for name, text in files.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def test_names(tmp_path: Path) -> None:
    """The six kinds are there, and one's own beside them."""
    assert PACKAGED == profile_names(folder=tmp_path)
    assert [*PACKAGED, "zebra"] == profile_names(folder=own(tmp_path, zebra=""))


@pytest.mark.parametrize("name", PACKAGED)
def test_believable(name: str, tmp_path: Path) -> None:
    """Speeds rise from rotation to cruise, gates come in their order, and there is room to stop."""
    profile = read_profile(name, folder=tmp_path)

    assert (profile.rotation_speed_kt or 0.0) < profile.climb_speed_kt
    assert profile.approach_speed_kt < profile.cruise_true_airspeed_kt
    assert profile.visual_gate_ft < profile.instrument_gate_ft
    assert profile.turn_bank_deg <= profile.most_bank_deg


@pytest.mark.parametrize("name", ["light-single", "light-jet", "airliner"])
def test_gates(name: str, tmp_path: Path) -> None:
    """The gates are those of the Flight Safety Foundation's ALAR briefing note 7.1."""
    profile = read_profile(name, folder=tmp_path)

    assert (1_000, 500, 1_000) == (profile.instrument_gate_ft, profile.visual_gate_ft, profile.most_sink_fpm)


def test_inheritance(tmp_path: Path) -> None:
    """What a profile doesn't say is its base's, through as many bases as there are."""
    own(tmp_path, mine='base = "middle"\nname = "mine"', middle='base = "light-single"\napproach_speed_kt = 71')
    profile, base = read_profile("mine", folder=tmp_path), read_profile("light-single", folder=tmp_path)

    assert base.model_copy(update={"name": "mine", "approach_speed_kt": 71.0}) == profile


def test_own_before_packaged(tmp_path: Path) -> None:
    """One's own profile takes the place of the packaged one of that name."""
    own(tmp_path, glider='base = "light-single"\nname = "my glider"')

    assert read_profile("glider", folder=tmp_path).name == "my glider"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param(
            'base = "light-singel"',
            "base: no aircraft profile is called light-singel; did you mean light-single?",
            id="base",
        ),
        pytest.param("base = 3", "base: must be the name of a profile in quotes", id="base-kind"),
        pytest.param('base = "mine"', "base: goes round in circles: mine > mine", id="circle"),
        pytest.param(
            'base = "glider"\naproach_speed_kt = 3',
            "aproach_speed_kt: no such key; did you mean approach_speed_kt?",
            id="key",
        ),
        pytest.param(
            'base = "glider"\napproach_speed_kt = 3', "approach_speed_kt: must be more than 20, was 3", id="range"
        ),
        pytest.param(
            'base = "glider"\napproach_speed_kt = "3"', 'approach_speed_kt: must be a number, was "3"', id="kind"
        ),
        pytest.param('name = "bare"', "climb_speed_kt: is missing (and 19 more)", id="no-base"),
    ],
)
def test_errors(tmp_path: Path, text: str, expected: str) -> None:
    """One line names the file, the key and the nearest valid choice."""
    own(tmp_path, mine=text)

    with pytest.raises(ConfigError) as caught:
        read_profile("mine", folder=tmp_path)

    assert f"{tmp_path / 'mine.toml'}: {expected}" == str(caught.value)


def test_unknown(tmp_path: Path) -> None:
    """A name that doesn't exist is answered with the one that does."""
    with pytest.raises(ConfigError) as caught:
        read_profile("airlner", folder=tmp_path)

    assert str(caught.value) == "aircraft: no aircraft profile is called airlner; did you mean airliner?"
