"""`otherseat watch`: a screen in the terminal, fed only by the bus."""

import io
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import click
from rich.console import Console, RenderableType
from rich.live import Live

from otherseat.daemon.addresses import desk_option, feed_option
from otherseat.daemon.board import board
from otherseat.daemon.client import Client, Keys, Subscription
from otherseat.daemon.keys import KeysError
from otherseat.daemon.messages import Message
from otherseat.daemon.page import page, waiting
from otherseat.daemon.plain import print_lines
from otherseat.daemon.scene import KINDS, Scene, Seat, seriousness
from otherseat.daemon.unusable import usable

FRAME_S = 0.25
EVERY_S = 60.0
"""Between the numbers in plain lines: a screen reader takes some twenty seconds to read them."""
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
@feed_option
@desk_option
@click.option("--relay", help="Listen to a relay at this address instead of one daemon.")
@click.option(
    "--key",
    envvar="OTHERSEAT_KEY",
    show_envvar=True,
    type=click.Path(path_type=Path),
    help="Your secret key, where the bus is locked.",
)
@click.option(
    "--server-key",
    envvar="OTHERSEAT_SERVER_KEY",
    show_envvar=True,
    help="The public key of the daemon or relay, or the file that holds it.",
)
@click.option("--aircraft", help="Which aircraft; left out, the one that needs looking at first.")
@click.option("--all", "everybody", is_flag=True, help="A board of every aircraft, the most serious first.")
@click.option(
    "--plain", is_flag=True, help="Print lines for what happens and for the numbers, for a screen reader or a log."
)
@click.option(
    "--every",
    "every_s",
    type=click.FloatRange(min=0.0),
    help=f"Seconds between the numbers of --plain, usually {EVERY_S:.0f}; 0: when phase, runway or plan change.",
)
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
    every_s: float | None,
    picture: Path | None,
) -> None:
    """Show what the daemon sees, on a page that says how old its data is. Ctrl-C leaves.

    The phase of flight stands at the top right; a climb or a descent is one once it has lasted ten seconds,
    and over once it has been level for twenty: a short step on the way down is part of it.

    Everything comes from the bus: what you see here, a display of your own can show as well. Into a pipe or a file it
    prints lines, as with --plain.
    """
    if plain and picture is not None:
        raise click.UsageError("--plain prints lines and --picture draws the screen: give one of the two")
    plain = plain or (picture is None and not sys.stdout.isatty())
    if every_s is not None and (not plain or everybody):
        raise click.UsageError("--every is about the numbers that --plain tells of one aircraft")
    with (
        usable(),
        Client(feed=feed, desk=desk, relay=relay, keys=read_keys(key, server_key)) as client,
        client.subscribe(*KINDS, aircraft=aircraft, newest=True, past=True) as subscription,
    ):
        watcher = Watcher(subscription, where=relay or feed, everybody=everybody, past=relay is None)
        if plain:
            print_lines(watcher, every_s=None if everybody else EVERY_S if every_s is None else every_s)
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
        return page(self.scene, self.first(), now_s=now_s, width=width, lines=lines)

    def first(self) -> Seat:
        """Return the aircraft that needs looking at first; there is one."""
        now_s = self._clock()
        return max(self.scene.seats.values(), key=lambda seat: seriousness(self.scene, seat, now_s=now_s))


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


def write_svg(screen: RenderableType, file: Path, *, width: int = PICTURE_WIDTH) -> None:
    """Write what is to be seen as a picture."""
    console = Console(
        record=True, width=width, file=io.StringIO(), force_terminal=True, color_system="truecolor", highlight=False
    )
    console.print(screen)
    file.write_text(console.export_svg(code_format=SVG, unique_id="otherseat"), encoding="utf-8")
