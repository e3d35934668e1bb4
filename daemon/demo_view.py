"""What the demo shows while it runs: lines as things happen, or in real time the screen of `otherseat watch`."""

import contextlib
import time
from collections.abc import Iterator
from typing import Protocol

from rich.console import Console, Group
from rich.live import Live
from rich.text import Text

from otherseat.daemon.client import Client
from otherseat.daemon.demo_log import FlownScene
from otherseat.daemon.demo_report import print_call, print_scene
from otherseat.daemon.messages import CallMessage
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import FRAME_S, Watcher


class View(Protocol):
    """Somebody to show it to."""

    def scene(self, scene: FlownScene) -> None:
        """Show that the aircraft has been put somewhere."""
        ...

    def call(self, call: CallMessage) -> None:
        """Show what is being said."""
        ...

    def step(self) -> None:
        """Bring up to date what changes all the time."""
        ...


class Lines:
    """A line for each thing that happens."""

    def __init__(self, console: Console) -> None:
        self._console = console

    def scene(self, scene: FlownScene) -> None:
        """Print it."""
        print_scene(self._console, scene)

    def call(self, call: CallMessage) -> None:
        """Print it."""
        print_call(self._console, call)

    def step(self) -> None:
        """Nothing changes all the time."""


class Screen:
    """The screen of `otherseat watch`, with the scene above it."""

    def __init__(self, *, live: Live, watcher: Watcher, console: Console) -> None:
        self._live = live
        self._watcher = watcher
        self._console = console
        self._drawn_s = float("-inf")
        self._heading = Text("")

    def scene(self, scene: FlownScene) -> None:
        """Put it above the screen."""
        self._heading = Text.assemble((f"Scene {scene.number}: {scene.name}. ", "bold"), scene.told)

    def call(self, call: CallMessage) -> None:
        """Nothing: the screen shows it by itself."""

    def step(self) -> None:
        """Take in what is new, and draw a few times a second."""
        self._watcher.step(timeout_s=0.0)
        now_s = time.monotonic()
        if now_s - self._drawn_s >= FRAME_S:
            self._drawn_s = now_s
            lines = max(self._console.height - 2, 1)
            screen = self._watcher.screen(lines=lines, width=self._console.width)
            self._live.update(Group(self._heading, screen), refresh=True)


@contextlib.contextmanager
def view_for(console: Console, client: Client, *, where: str, fast: bool) -> Iterator[View]:
    """Choose the screen in a terminal and in real time, else lines."""
    if fast or not console.is_terminal:
        yield Lines(console)
        return
    with (
        client.subscribe(*KINDS, newest=True) as subscription,
        Live(console=console, screen=True, auto_refresh=False) as live,
    ):
        yield Screen(live=live, watcher=Watcher(subscription, where=where), console=console)
