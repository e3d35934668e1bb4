"""What the demo shows while it runs: lines as things happen, or in real time the screen of `otherseat watch`."""

import contextlib
import time
from collections.abc import Iterator
from typing import Protocol

from rich.console import Console, Group, RenderableType
from rich.live import Live
from rich.text import Text

from otherseat.daemon.client import AskError, Client, NoAnswerError
from otherseat.daemon.demo_log import DemoLog, FlownScene
from otherseat.daemon.demo_report import print_call, print_cut_short, print_scene
from otherseat.daemon.messages import CallMessage
from otherseat.daemon.page import safety
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import FRAME_S, Watcher
from otherseat.daemon.voice.player import NO_DEVICE
from otherseat.daemon.voice.voice import SILENT


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

    def __init__(self, *, live: Live, watcher: Watcher, console: Console, log: DemoLog, silence: str = "") -> None:
        self._live = live
        self._watcher = watcher
        self._console = console
        self._log = log
        self._drawn_s = float("-inf")
        self._silence = silence
        self._heading = Text(silence)

    def scene(self, scene: FlownScene) -> None:
        """Put it above the screen."""
        self._log.scenes.append(scene)
        self._heading = Text.assemble((f"Scene {scene.number}: {scene.name}. ", "bold"), scene.told)
        if self._silence:
            self._heading.append(f"\n{self._silence}", style="dim")

    def call(self, call: CallMessage) -> None:
        """Keep it; the screen shows it by itself."""
        self._log.calls.append(call)

    def step(self) -> None:
        """Take in what is new, and draw a few times a second."""
        self._watcher.step(timeout_s=0.0)
        now_s = time.monotonic()
        if now_s - self._drawn_s >= FRAME_S:
            self._drawn_s = now_s
            self._live.update(Group(self._heading, self._screen()), refresh=True)

    def _screen(self) -> RenderableType:
        if not self._watcher.scene.seats:
            return Group(safety(), Text("The daemon is there; its pilot is getting ready."))
        width = self._console.width
        heading = self._console.render_lines(self._heading, self._console.options.update(width=width))
        return self._watcher.screen(lines=max(self._console.height - len(heading), 1), width=width)


@contextlib.contextmanager
def view_for(console: Console, client: Client, *, where: str, fast: bool) -> Iterator[View]:
    """Choose the screen in a terminal and in real time, else lines.

    In real time a voice that nobody can hear is said first. Ctrl-C leaves behind what the screen has shown.
    """
    silence = "" if fast else _why_silent(client)
    if silence:
        console.print(silence, highlight=False)
    if fast or not console.is_terminal:
        yield Lines(console)
        return
    log = DemoLog()
    try:
        with (
            client.subscribe(*KINDS, newest=True) as subscription,
            Live(console=console, screen=True, auto_refresh=False) as live,
        ):
            watcher = Watcher(subscription, where=where)
            yield Screen(live=live, watcher=watcher, console=console, log=log, silence=silence)
    except KeyboardInterrupt:
        print_cut_short(console, log)
        raise


def _why_silent(client: Client) -> str:
    """Return in the daemon's own words why nothing will be heard; "" where something will, or nothing should."""
    try:
        voice: str = client.ask("status").voice
    except (AskError, NoAnswerError):
        return ""
    if NO_DEVICE in voice:
        return f"voice: {NO_DEVICE}"
    return f"voice: {voice}" if voice.startswith(f"{SILENT} ") else ""
