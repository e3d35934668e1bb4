"""Extras: what to type when a command needs a library that not everybody has.

From the project's own folder   the package is installed as "." with the extra, in that folder
From an index of packages       it is installed by its name
In an environment of its own    the tool that made it (pipx, uv) makes it anew, with the extras that are there too
"""

import json
import sys
from importlib.metadata import distributions
from importlib.util import find_spec
from pathlib import Path

NAME = "otherseat"
TOOLS = {"pipx_metadata.json": "pipx install --force", "uv-receipt.toml": "uv tool install --force"}
"""The file by which an environment tells who made it, and how that tool installs anew."""


MARKS = {
    "demo": "jsbsim",
    "pages": "matplotlib",
    "panel": "uvicorn",
    "piper": "piper",
    "school": "distributed",
    "system": "pyttsx3",
    "tracks": "gpxpy",
    "traffic": "traffic",
    "voice": "espeakng_loader",
}
"""The library by which an extra is known to be installed."""


def how_to_install(*extras: str) -> str:
    """Return the command that adds extras to this installation, and where to give it."""
    tool = next((command for file, command in TOOLS.items() if (Path(sys.prefix) / file).exists()), None)
    there = () if tool is None else [extra for extra, library in MARKS.items() if find_spec(library) is not None]
    wanted = f"[{','.join(dict.fromkeys([*there, *extras]))}]"
    if _came_from_a_folder():
        return f'{tool or "pip install"} ".{wanted}" in the folder of its README'
    return f'{tool or "pip install"} "{NAME}{wanted}"'


def _came_from_a_folder() -> bool:
    """Say whether it was installed from a folder or file of this machine: PEP 610 has the installer note that.

    In that folder itself a second set of metadata, without the note, may come first.
    """
    notes = [each.read_text("direct_url.json") for each in distributions(name=NAME)]
    return not notes or any(note and str(json.loads(note).get("url", "")).startswith("file:") for note in notes)
