"""`otherseat watch`: a screen in the terminal, fed only by the bus."""

import io
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NoReturn

import click
from rich.console import Console, RenderableType
from rich.live import Live

from otherseat.daemon.board import board, waiting_daemons
from otherseat.daemon.client import Client, Keys, Subscription
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.hanging import say
from otherseat.daemon.keys import KeysError
from otherseat.daemon.messages import Kind, Message
from otherseat.daemon.page import page, waiting
from otherseat.daemon.scene import KINDS, MISSING_S, Scene, seriousness
from otherseat.daemon.sockets import DESK, FEED
from otherseat.daemon.unusable import usable

FRAME_S = 0.25
PICTURE_WIDTH, PICTURE_LINES = 100, 60

SVG = """\
<svg viewBox="0 28 {width} {height}" xmlns="http://www.w3.org/2000/svg" role="img">
<style>
.{unique_id}-matrix {{ font-family: monospace; font-size: {char_height}px; line-height: {line_height}px; }}
{styles}
</style>
<defs>
<clipPath id="{unique_id}-clip-terminal">
<rect x="0" y="0" width="{terminal_width}" height="{terminal_height}"/>
</clipPath>
{lines}
</defs>
<rect y="28" width="100%" height="100%" rx="6" fill="#292929"/>
<g transform="translate({terminal_x}, {terminal_y})" clip-path="url(#{unique_id}-clip-terminal)">
{backgrounds}
<g class="{unique_id}-matrix">{matrix}</g>
</g>
</svg>
"""
"""A plain frame for the picture: no fonts from elsewhere, no window of any system around it."""


@click.command(epilog="Examples: otherseat watch; otherseat watch --all --relay tcp://127.0.0.1:47811")
@click.option("--feed", default=FEED, envvar="OTHERSEAT_FEED", show_default=True, help="Where the feed stands.")
@click.option("--desk", default=DESK, envvar="OTHERSEAT_DESK", show_default=True, help="Where the desk stands.")
@click.option("--relay", help="Listen to a relay at this address instead of one daemon.")
@click.option(
    "--key", envvar="OTHERSEAT_KEY", type=click.Path(path_type=Path), help="Your secret key, where the bus is locked."
)
@click.option(
    "--server-key",
    envvar="OTHERSEAT_SERVER_KEY",
    help="The public key of the daemon or relay, or the file that holds it.",
)
@click.option("--aircraft", help="Which aircraft; left out, the one that needs looking at first.")
@click.option("--all", "everybody", is_flag=True, help="A board of every aircraft, the most serious first.")
@click.option("--plain", is_flag=True, help="Print a line for each thing that happens, such as for a screen reader.")
@click.option("--picture", type=click.Path(path_type=Path), help="Write the screen to this SVG file, and leave.")
def watch(
    *,
    feed: str,
    desk: str,
    relay: str | None,
    key: Path | None,
    server_key: str | None,
    aircraft: str | None,
    everybody: bool,
    plain: bool,
    picture: Path | None,
) -> None:
    """Show what the daemon sees, on a page that says how old its data is. Ctrl-C leaves.

    Everything comes from the bus: what you see here, a display of your own can show as well.
    """
    if plain and picture is not None:
        raise click.UsageError("--plain prints lines and --picture draws the screen: give one of the two")
    with (
        usable(),
        Client(feed=feed, desk=desk, relay=relay, keys=read_keys(key, server_key)) as client,
        client.subscribe(*KINDS, aircraft=aircraft, newest=True, past=True) as subscription,
    ):
        watcher = Watcher(subscription, where=relay or feed, everybody=everybody, past=relay is None)
        if plain:
            print_lines(watcher)
        elif picture is not None:
            watcher.run_for(seconds=2.0)
            write_svg(watcher.screen(lines=PICTURE_LINES, width=PICTURE_WIDTH), picture)
            click.echo(f"wrote {picture}")
        else:
            show(watcher)


def read_keys(key: Path | None, server_key: str | None) -> Keys | None:
    """Return the keys that two options name, None where neither does; a mistake is said in one line."""
    if key is None and server_key is None:
        return None
    if key is None or server_key is None:
        raise click.UsageError("--key and --server-key go together")
    try:
        return Keys.read(key=key, server=server_key)
    except KeysError as error:
        raise click.UsageError(str(error)) from error


class Watcher:
    """Keeps a scene up to date from a subscription."""

    def __init__(
        self,
        subscription: Subscription,
        *,
        where: str,
        everybody: bool = False,
        past: bool = True,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.scene = Scene(past=past)
        self._subscription = subscription
        self.where = where
        self._everybody = everybody
        self._clock = clock

    @property
    def now_s(self) -> float:
        """The time by which ages are told."""
        return self._clock()

    def step(self, *, timeout_s: float = FRAME_S) -> list[Message]:
        """Take in what is new, and return it."""
        messages = self._subscription.receive(timeout_s=timeout_s)
        now_s = self._clock()
        for message in messages:
            self.scene.take(message, now_s=now_s)
        self.scene.forget(now_s=now_s)
        return messages

    def run_for(self, *, seconds: float) -> None:
        """Take in everything for so long."""
        until_s = self._clock() + seconds
        while (left_s := until_s - self._clock()) > 0:
            self.step(timeout_s=left_s)

    def screen(self, *, lines: int, width: int) -> RenderableType:
        """Return what is to be seen now, in a window of so many lines and columns."""
        now_s = self._clock()
        if not self.scene.seats and not self.scene.daemons:
            return waiting(self.where)
        if self._everybody or not self.scene.seats:
            return board(self.scene, now_s=now_s, lines=max(1, lines - 7))
        seat = max(self.scene.seats.values(), key=lambda seat: seriousness(self.scene, seat, now_s=now_s))
        return page(self.scene, seat, now_s=now_s, width=width, lines=lines)


def show(watcher: Watcher) -> NoReturn:
    """Draw the screen until interrupted."""
    console = Console(highlight=False)
    drawn_s = 0.0
    with Live(console=console, screen=True, auto_refresh=False) as live:
        while True:
            watcher.step()
            if time.monotonic() - drawn_s >= FRAME_S:
                live.update(watcher.screen(lines=console.height, width=console.width), refresh=True)
                drawn_s = time.monotonic()


def print_lines(watcher: Watcher) -> NoReturn:
    """Print a line for each thing that happens until interrupted."""
    say(CAUTION_LINE, indent=0)
    say(f"waiting for a daemon at {watcher.where}")
    heard = Heard()
    while True:
        happened = list(lines_of(watcher.step(timeout_s=1.0)))
        for line in [*heard.lines(watcher), *happened]:
            say(line)
        sys.stdout.flush()


def lines_of(messages: Iterable[Message]) -> Iterator[str]:
    """Return a line for each alert and each call."""
    for message in messages:
        if message.kind is Kind.ALERT:
            alert = message.body
            yield f"{alert.time_s:.1f} {alert.aircraft} {alert.level.word} {alert.change.value}: {alert.text}"
        elif message.kind is Kind.CALL:
            yield f"{message.body.time_s:.1f} {message.body.aircraft} said: {message.body.speech}"


class Heard:
    """Tells when a daemon or an aircraft is heard first, when it falls silent, and when it is heard again."""

    def __init__(self) -> None:
        self._found: set[str] = set()
        self._quiet: dict[str, str] = {}

    def lines(self, watcher: Watcher) -> Iterator[str]:
        """Return a line for each change."""
        scene = watcher.scene
        yield from self._newcomers(scene)
        quiet = dict(_quiet(scene, now_s=watcher.now_s))
        yield from (line for line in sorted(quiet) if line not in self._quiet)
        yield from (again for line, again in sorted(self._quiet.items()) if line not in quiet)
        self._quiet = quiet

    def _newcomers(self, scene: Scene) -> Iterator[str]:
        for session in scene.daemons:
            names = {aircraft for owner, aircraft in scene.seats if owner == session}
            of = {f"{session}.{name}" for name in names}
            new = sorted(name for name in names if f"{session}.{name}" not in self._found)
            if session not in self._found:
                yield f"daemon {scene.name_of(session)} found, aircraft {', '.join(new) or 'none yet'}"
            elif new:
                yield f"aircraft {', '.join(new)} of {scene.name_of(session)} found"
            self._found |= {session, *of}


def _quiet(scene: Scene, *, now_s: float) -> Iterator[tuple[str, str]]:
    """Yield what is not as it should be, and what to say once it is again."""
    for session in scene.daemons:
        if scene.is_missing(session, now_s=now_s):
            name = f"daemon {scene.name_of(session)}"
            yield f"{name} is not heard any more", f"{name} is heard again"
    for seat in scene.seats.values():
        name = f"{seat.aircraft} of {scene.name_of(seat.session)}"
        old_s = seat.age.seconds(now_s=now_s) or 0.0
        if seat.silent:
            yield f"{name} is silent: nothing comes from the simulator", f"{name} is heard again"
        elif old_s > MISSING_S and not scene.is_missing(seat.session, now_s=now_s):
            yield f"{name} has nothing new: its numbers are old", f"{name} has new numbers again"
    for line in waiting_daemons(scene):
        yield f"waiting: {line}", f"no longer waiting: {line.partition(':')[0]}"


def write_svg(screen: RenderableType, file: Path, *, width: int = PICTURE_WIDTH) -> None:
    """Write what is to be seen as a picture."""
    console = Console(
        record=True, width=width, file=io.StringIO(), force_terminal=True, color_system="truecolor", highlight=False
    )
    console.print(screen)
    file.write_text(console.export_svg(code_format=SVG, unique_id="otherseat"), encoding="utf-8")
