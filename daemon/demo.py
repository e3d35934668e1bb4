"""`otherseat demo`: the real daemon, and beside it a real flight model whose pilot makes mistakes.

Two child processes: the daemon (`otherseat fly`) and the pilot (otherseat.daemon.flight_model.pilot), who know of each
other only by UDP and desk. This process listens on the bus like any display, prints what is flown and said, and ends
with a table of everything said and one of what was promised. Exit code 0 when every promise was kept.
"""

import importlib.util
from pathlib import Path

import click
from rich.console import Console

from otherseat.daemon.addresses import desk_option, feed_option
from otherseat.daemon.children import ChildError, ended_as_by_ctrl_c
from otherseat.daemon.extras import how_to_install
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.unusable import UnusableError


@click.command(epilog="Example: otherseat demo --fast --voice-to demo.wav")
@click.option("--fast", is_flag=True, help="As fast as the daemon takes it, still over UDP and the bus.")
@click.option("--scene", default=1, show_default=True, type=click.IntRange(1, 3), help="Begin with this scene.")
@click.option("--voice-to", type=click.Path(path_type=Path), help="Write the voice to this WAV file, as it speaks.")
@click.option(
    "--voice", help="Which voice speaks: espeak, or none. With --fast none speaks unless --voice-to is given."
)
@feed_option
@desk_option
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
    from otherseat.daemon.demo_run import run_demo  # noqa: PLC0415 - needs the flight model

    try:
        with ended_as_by_ctrl_c():
            code = run_demo(console, fly_options=_fly_options(voice_to, voice, feed, desk), fast=fast, scene=scene)
    except ChildError as error:
        raise UnusableError(str(error).removeprefix("otherseat: ")) from error
    raise click.exceptions.Exit(code)


def _fly_options(voice_to: Path | None, voice: str | None, feed: str, desk: str) -> list[str]:
    options = ["--port", "0", "--feed", feed, "--desk", desk, "--quiet", "--no-world", "--no-recording", "--no-memory"]
    if voice_to is not None:
        options += ["--voice-to", str(voice_to)]
    if voice is not None:
        options += ["--voice", voice]
    return options
