"""What the demo shows while it runs."""

import io

import pytest
from rich.console import Console

from otherseat.daemon.client import Client
from otherseat.daemon.demo_log import FlownScene
from otherseat.daemon.demo_view import Lines, Screen, view_for

SCENE = FlownScene(number=2, name="Departure", told="Takes off.", time_s=31.0)


@pytest.mark.parametrize(
    ("terminal", "fast", "expected"),
    [(True, False, Screen), (True, True, Lines), (False, False, Lines)],
    ids=["terminal", "fast", "piped"],
)
def test_choice(terminal: bool, fast: bool, expected: type) -> None:  # noqa: FBT001 - parameters
    """The screen needs a terminal and real time; otherwise lines."""
    console = Console(file=io.StringIO(), force_terminal=terminal)
    with (
        Client(relay="tcp://127.0.0.1:9") as client,
        view_for(console, client, where="there", fast=fast) as view,
    ):
        assert expected is type(view)


def test_screen_shows_scene_and_that_it_waits() -> None:
    """Above the screen stands the scene; with nothing on the bus the screen says where it waits."""
    file = io.StringIO()
    console = Console(file=file, force_terminal=True, width=100, height=40)
    with (
        Client(relay="tcp://127.0.0.1:9") as client,
        view_for(console, client, where="tcp://127.0.0.1:9", fast=False) as view,
    ):
        view.scene(SCENE)
        view.step()

    assert "Scene 2: Departure." in file.getvalue()
    assert "tcp://127.0.0.1:9" in file.getvalue()


def test_lines() -> None:
    """In lines a scene is a heading and what is about to happen."""
    file = io.StringIO()
    Lines(Console(file=file, width=100)).scene(SCENE)

    assert "0:31  Scene 2: Departure" in file.getvalue()
    assert "Takes off." in file.getvalue()
