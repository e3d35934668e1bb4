"""What the demo shows while it runs."""

import io

import pytest
from rich.console import Console

from otherseat.daemon.client import Client
from otherseat.daemon.demo_log import FlownScene
from otherseat.daemon.demo_view import Lines, Screen, view_for
from otherseat.daemon.voice.player import NO_DEVICE
from tests.daemon.bench import HEALTH, bench
from tests.daemon.samples import call

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
    """Above the screen stands the scene; before the first datagram nobody is asked whether the daemon runs."""
    file = io.StringIO()
    console = Console(file=file, force_terminal=True, width=100, height=40)
    with (
        Client(relay="tcp://127.0.0.1:9") as client,
        view_for(console, client, where="tcp://127.0.0.1:9", fast=False) as view,
    ):
        view.scene(SCENE)
        view.step()

    assert "Scene 2: Departure." in file.getvalue()
    assert "getting ready" in file.getvalue()
    assert "Is the daemon running" not in file.getvalue()


def test_ctrl_c_leaves_what_was_said() -> None:
    """Whoever has seen enough keeps a table of what was said so far."""
    file = io.StringIO()
    console = Console(file=file, force_terminal=True, width=100, height=40)

    def watched(client: Client) -> None:
        with view_for(console, client, where="there", fast=False) as view:
            view.call(call())
            raise KeyboardInterrupt

    with Client(relay="tcp://127.0.0.1:9") as client, pytest.raises(KeyboardInterrupt):
        watched(client)

    after = file.getvalue().rpartition("\x1b[?1049l")[2]
    assert "Everything said so far" in after
    assert "High, 200 ft." in after


@pytest.mark.parametrize(
    ("voice", "expected"),
    [
        (f"espeak  {NO_DEVICE}", f"voice: {NO_DEVICE}"),
        ("none no library", "voice: none no library"),
        ("espeak default device", ""),
        ("none", ""),
    ],
    ids=["device", "library", "heard", "wanted"],
)
@pytest.mark.parametrize("fast", [True, False])
def test_a_voice_that_nobody_hears_is_said(voice: str, expected: str, *, fast: bool) -> None:
    """In real time the demo says in the daemon's words why nothing is heard, and nothing where something is."""
    file = io.StringIO()
    health = HEALTH.model_copy(update={"voice": voice})
    with (
        bench(handlers={"status": lambda _: health}) as standing,
        Client(feed=standing.feed.endpoint, desk=standing.desk.endpoint) as client,
        view_for(Console(file=file, width=100), client, where="there", fast=fast),
    ):
        pass

    assert ("" if fast else expected) == file.getvalue().strip()


def test_lines() -> None:
    """In lines a scene is a heading and what is about to happen."""
    file = io.StringIO()
    Lines(Console(file=file, width=100)).scene(SCENE)

    assert "0:00:31  Scene 2: Departure" in file.getvalue()
    assert "Takes off." in file.getvalue()
