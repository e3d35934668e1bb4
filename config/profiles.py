"""Aircraft profiles: speeds, gates, tolerances and distances of a kind of aircraft, in TOML, each on top of another.

Packaged    light-single, light-twin, turboprop, light-jet, airliner, glider; figures of the kind, not of any type
Own         NAME.toml in the user's folder aircraft/; it wins over a packaged one of the same name
base        the profile whose values hold where this one says nothing; chains may be as long as they like

These are starting points for training: an aircraft's handbook comes first.
"""

import importlib.resources
from collections.abc import Mapping
from functools import cache
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from otherseat.advisories.profile import AircraftProfile
from otherseat.config.errors import ConfigError
from otherseat.config.folders import own_folder
from otherseat.config.toml_files import nearest, read_toml, to_model

USUAL_PROFILE = "light-single"
PACKAGED = importlib.resources.files("otherseat.config") / "aircraft"


def profile_names(*, folder: Path | None = None) -> list[str]:
    """Return the names of every packaged profile and of the user's own."""
    return sorted({_name(path) for path in (*_packaged(), *_own(folder))})


def read_profile(name: str, *, folder: Path | None = None) -> AircraftProfile:
    """Return the profile of that name on top of its bases, or raise ConfigError."""
    tables: dict[str, Any] = {}
    chain: list[str] = []
    wanted: str | None = name
    file = name
    while wanted is not None:
        path = _find(wanted, folder=folder, above=file if chain else None)
        if wanted in chain:
            raise ConfigError(file=file, key="base", problem=f"goes round in circles: {' > '.join((*chain, wanted))}")
        chain.append(wanted)
        file = str(path)
        own = read_toml(path=path)
        wanted = _base(own.pop("base", None), file=file)
        _check_keys(own, file=file)
        tables = own | tables
    return to_model(file=str(_find(name, folder=folder, above=None)), tables=tables, model=AircraftProfile)


def _find(name: str, *, folder: Path | None, above: str | None) -> Path | Traversable:
    found = {_name(path): path for path in (*_packaged(), *_own(folder))}
    if name not in found:
        problem = f"no aircraft profile is called {name}{nearest(name, sorted(found))}"
        raise ConfigError(file=above or "", key="base" if above else "aircraft", problem=problem)
    return found[name]


def _base(value: Any, *, file: str) -> str | None:
    if value is not None and not isinstance(value, str):
        raise ConfigError(file=file, key="base", problem="must be the name of a profile in quotes")
    return value


def _check_keys(tables: Mapping[str, Any], *, file: str) -> None:
    """Blame the file that has an unknown key, not the one on top of it."""
    for key in tables:
        if key not in AircraftProfile.model_fields:
            problem = f"no such key{nearest(key, list(AircraftProfile.model_fields))}"
            raise ConfigError(file=file, key=key, problem=problem)


@cache
def _packaged() -> tuple[Traversable, ...]:
    return tuple(path for path in PACKAGED.iterdir() if path.name.endswith(".toml"))


def _own(folder: Path | None) -> list[Path]:
    return sorted((folder or own_folder() / "aircraft").glob("*.toml"))


def _name(path: Path | Traversable) -> str:
    return path.name.removesuffix(".toml")
