"""Files: what the page weighs, and that it needs nothing from elsewhere."""

import re
from pathlib import Path

import pytest

from otherseat.daemon.panel.files import page_files

FILES = page_files()
LIMIT_BYTES = 150_000
PAGES = [name for name in FILES if name.endswith(".html")]
CAUTION = "For simulation and training. Not certified."


def test_the_page_is_light() -> None:
    """All files together, the overlay and the pairing page included, stay below 150 kB."""
    assert LIMIT_BYTES > sum(len(file.content) for file in FILES.values())


@pytest.mark.parametrize("name", FILES)
def test_nothing_is_fetched_from_elsewhere(name: str) -> None:
    """No file names another host; the only address is the name of the SVG language."""
    found = re.findall(rb"(?:https?:)?//[a-z][\w.-]+", FILES[name].content.replace(b"http://www.w3.org/2000/svg", b""))

    assert [] == found


@pytest.mark.parametrize("name", PAGES)
def test_every_page_carries_the_caution(name: str) -> None:
    """The caution about what this is for is written on every page."""
    assert CAUTION in FILES[name].content.decode()


@pytest.mark.parametrize("name", PAGES)
def test_the_policy_has_nothing_to_refuse(name: str) -> None:
    """No page holds a script, a style or a handler of its own: the policy forbids them."""
    text = FILES[name].content.decode()

    assert [] == re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=", text)


@pytest.mark.parametrize("name", [name for name in FILES if name.endswith(".html")])
def test_every_file_that_a_page_names_is_there(name: str) -> None:
    """What a page links to exists; what a script imports exists."""
    wanted = re.findall(r'(?:src|href)="/([\w.]+\.\w+)"', FILES[name].content.decode())
    for script in [file for own, file in FILES.items() if own.endswith(".js")]:
        wanted += re.findall(r'from "\./([\w.]+)"', script.content.decode())

    assert [] == [each for each in wanted if each not in FILES]


def test_the_client_for_own_pages_is_short() -> None:
    """The client that a person's own page uses has at most twenty lines of code."""
    lines = FILES["seat.js"].content.decode().splitlines()

    assert 20 >= len([line for line in lines if line.strip() and not line.strip().startswith("//")])


def test_the_package_lists_its_page() -> None:
    """Every file in the folder is one that is served: nothing lies there unused."""
    folder = Path(__file__).parents[3] / "daemon" / "panel" / "page"

    assert sorted(FILES) == sorted(path.name for path in folder.iterdir())
