"""`otherseat demo`: the real daemon, and beside it a real flight model whose pilot makes mistakes.

Two child processes: the daemon (`otherseat fly`) and the pilot (otherseat.daemon.flight_model.pilot), who know of each
other only by UDP and desk. This process listens on the bus like any display, prints what is flown and said, and ends
with a table of everything said and one of what was promised. Exit code 0 when every promise was kept.
"""

import importlib.resources
import importlib.util
import json
import sys
from collections.abc import Sequence
from pathlib import Path

import click
from rich.console import Console

from otherseat.daemon.children import Child, ChildError, Endpoints, start_daemon, start_pilot
from otherseat.daemon.client import Client
from otherseat.daemon.demo_log import DemoLog
from otherseat.daemon.demo_report import print_tables
from otherseat.daemon.demo_view import View, view_for
from otherseat.daemon.extras import how_to_install
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.messages import AlertMessage, CallMessage, Message
from otherseat.daemon.sockets import DESK, FEED
from otherseat.daemon.unusable import UnusableError

EXIT_PROMISE_BROKEN = 1
LISTEN_S = 0.05
LAST_WORDS_S = 0.5


@click.command(epilog="Example: otherseat demo --fast --voice-to demo.wav")
@click.option("--fast", is_flag=True, help="As fast as the daemon takes it, still over UDP and the bus.")
@click.option("--scene", default=1, show_default=True, type=click.IntRange(1, 3), help="Begin with this scene.")
@click.option("--voice-to", type=click.Path(path_type=Path), help="Write the voice to this WAV file.")
@click.option(
    "--voice", help="Which voice speaks: espeak, or none. With --fast none speaks unless --voice-to is given."
)
@click.option("--feed", default=FEED, show_default=True, help="Where the daemon's feed stands.")
@click.option("--desk", default=DESK, show_default=True, help="Where the daemon's desk stands.")
def demo(  # noqa: PLR0917 - click passes options by name
    fast: bool,  # noqa: FBT001 - likewise
    scene: int,
    voice_to: Path | None,
    voice: str | None,
    feed: str,
    desk: str,
) -> None:
    """See and hear it work: a flight over invented islands, with four mistakes on purpose.

    Lines up on the wrong runway, flies past the destination, joins too high, lines up with the wrong parallel. About
    fourteen minutes in real time, seconds with --fast. While it runs, other displays may listen on the same bus.
    """
    console = Console()
    if importlib.util.find_spec("jsbsim") is None:
        raise UnusableError(f"the demo needs the flight model: {how_to_install('demo')}")
    console.print(CAUTION_LINE, style="bold", highlight=False)
    if voice is None and fast and voice_to is None:
        voice = "none"
    try:
        code = _run(console, fly_options=_fly_options(voice_to, voice, feed, desk), fast=fast, scene=scene)
    except ChildError as error:
        raise UnusableError(str(error).removeprefix("otherseat: ")) from error
    raise click.exceptions.Exit(code)


def _fly_options(voice_to: Path | None, voice: str | None, feed: str, desk: str) -> list[str]:
    options = ["--port", "0", "--feed", feed, "--desk", desk, "--quiet", "--no-world", "--no-recording"]
    if voice_to is not None:
        options += ["--voice-to", str(voice_to)]
    if voice is not None:
        options += ["--voice", voice]
    return options


def _run(console: Console, *, fly_options: list[str], fast: bool, scene: int) -> int:
    from otherseat.daemon.flight_model.scenes import MISTAKES  # noqa: PLC0415 - needs the flight model
    from otherseat.daemon.flight_model.world import demo_plan  # noqa: PLC0415 - likewise

    with importlib.resources.as_file(demo_plan()) as plan:
        daemon, where = start_daemon("--plan", str(plan), *fly_options)
    with daemon:
        console.print(
            f"Another terminal may listen: feed {where.feed}, desk {where.desk}", style="dim", highlight=False
        )
        log = _watch(console, where=where, fast=fast, scene=scene)
        kept, unpromised = log.kept(MISTAKES), list(log.unpromised(MISTAKES))
        print_tables(console, log, kept=kept, unpromised=unpromised)
        return 0 if kept and all(one.ok for one in kept) and not unpromised and not log.lost else EXIT_PROMISE_BROKEN


def _watch(console: Console, *, where: Endpoints, fast: bool, scene: int) -> DemoLog:
    """Fly, and return what was heard."""
    log = DemoLog()
    with (
        Client(feed=where.feed, desk=where.desk) as client,
        client.subscribe("alert", "call") as subscription,
        view_for(console, client, where=where.feed, fast=fast) as view,
    ):
        subscription.receive(timeout_s=LISTEN_S)
        options = ["--host", where.host, "--port", str(where.port), "--desk", where.desk, "--scene", str(scene)]
        with start_pilot(*options, *(["--fast"] if fast else [])) as pilot:
            while not pilot.silent:
                messages = subscription.receive(timeout_s=LISTEN_S)
                _take_events(view, log, pilot)
                _take_messages(view, log, messages)
                view.step()
        while messages := subscription.receive(timeout_s=LAST_WORDS_S):
            _take_messages(view, log, messages)
    if log.end_s is None:
        raise ChildError("\n".join(["the flight ended early", *log.remarks]))
    return log


def _take_events(view: View, log: DemoLog, pilot: Child) -> None:
    """Take in what the pilot told; a line that is no event is the flight model's own, and says why it ended early."""
    while (line := pilot.line(timeout_s=0.0)) is not None:
        try:
            event = json.loads(line)
        except ValueError:
            log.remarks.append(line)
            continue
        if begun := log.flown(event):
            view.scene(begun)


def _take_messages(view: View, log: DemoLog, messages: Sequence[Message]) -> None:
    """Take in what the bus brought."""
    for message in messages:
        match message.body:
            case CallMessage() as call:
                log.calls.append(call)
                view.call(call)
            case AlertMessage() as alert:
                log.alerts.append(alert)


if __name__ == "__main__":
    sys.exit(demo.main(standalone_mode=True))
