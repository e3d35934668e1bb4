"""What to type for a missing extra fits how this copy was installed."""

import json
import sys
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest

from otherseat.daemon import extras
from otherseat.daemon.extras import how_to_install

FOLDER = json.dumps({"url": "file:///somewhere/otherseat", "dir_info": {}})


def installed(monkeypatch: pytest.MonkeyPatch, *notes: str | None) -> None:
    """Pretend that these sets of metadata are found, each with its note of where it came from."""
    found = [SimpleNamespace(read_text=lambda _, note=note: note) for note in notes]
    monkeypatch.setattr(extras, "distributions", lambda **_: found)


@pytest.mark.parametrize("notes", [(FOLDER,), (None, FOLDER), ()], ids=["folder", "run in the folder", "not at all"])
def test_from_the_folder(monkeypatch: pytest.MonkeyPatch, notes: tuple[str | None, ...]) -> None:
    """Installed from its folder, it is installed again from there: no index of packages has it."""
    installed(monkeypatch, *notes)

    assert 'pip install ".[demo]" in the folder of its README' == how_to_install("demo")


def test_from_an_index(monkeypatch: pytest.MonkeyPatch) -> None:
    """Installed by its name, it is installed again by its name."""
    installed(monkeypatch, None)

    assert 'pip install "otherseat[voice,piper]"' == how_to_install("voice", "piper")


@pytest.mark.parametrize(
    ("file", "command"),
    [("pipx_metadata.json", "pipx install --force"), ("uv-receipt.toml", "uv tool install --force")],
)
def test_in_an_environment_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, file: str, command: str) -> None:
    """The tool that made the environment makes it anew, with what is there already."""
    (tmp_path / file).touch()
    monkeypatch.setattr(sys, "prefix", str(tmp_path))
    monkeypatch.setattr(extras, "find_spec", lambda name: name if name in {"espeakng_loader", "jsbsim"} else None)
    installed(monkeypatch, FOLDER)

    assert f'{command} ".[demo,voice,pages]" in the folder of its README' == how_to_install("pages")


def test_every_extra_has_a_mark() -> None:
    """Whatever a user may have installed is known by its library, which that extra does bring."""
    with (Path(__file__).parents[2] / "pyproject.toml").open("rb") as stream:
        listed = tomllib.load(stream)["project"]["optional-dependencies"]
    brings = {extra: " ".join(needs).replace("-", "_") for extra, needs in listed.items()}

    assert set(listed) - {"browser", "dev", "evaluation", "test"} == set(extras.MARKS)
    assert [] == [extra for extra, library in extras.MARKS.items() if library not in brings[extra]]


def test_nothing_else_says_how() -> None:
    """No other module has a command of its own for a missing extra."""
    house = Path(__file__).parents[2]
    others = [
        path.name
        for folder in ("adapters", "advisories", "config", "daemon")
        for path in (house / folder).rglob("*.py")
        if "pip install" in path.read_text(encoding="utf-8")
    ]

    assert ["extras.py"] == others
