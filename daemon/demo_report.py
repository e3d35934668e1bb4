"""The demo on the terminal: a line for what is flown and said as it happens, two tables at the end."""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from otherseat.advisories.levels import Level
from otherseat.daemon.demo_log import DemoLog, FlownScene, Kept
from otherseat.daemon.messages import AlertMessage, CallMessage

STYLES = {Level.WARNING: "bold red", Level.CAUTION: "yellow", Level.ADVICE: "bold", Level.CALL: ""}
"""Red for warning and amber for caution, as the regulation has them; nothing else has a colour."""


def clock(time_s: float) -> str:
    """Return minutes and seconds."""
    minutes, seconds = divmod(int(time_s), 60)
    return f"{minutes:2d}:{seconds:02d}"


def print_scene(console: Console, scene: FlownScene) -> None:
    """Say that the aircraft has been put somewhere."""
    console.print(f"\n{clock(scene.time_s)}  Scene {scene.number}: {scene.name}", style="bold", highlight=False)
    console.print(f"       {scene.told}", style="dim", highlight=False)


def print_call(console: Console, call: CallMessage) -> None:
    """Print one thing that is being said."""
    console.print(Text.assemble(f"{clock(call.time_s)}  ", _level(call.level), "  ", call.text))


def print_tables(console: Console, log: DemoLog, *, kept: Sequence[Kept], unpromised: Sequence[AlertMessage]) -> None:
    """Print everything said, then every mistake and what became of it."""
    console.print()
    console.print(_said(log))
    console.print(_promises(kept))
    for alert in unpromised:
        console.print(
            f"Not expected: {alert.alert} ({alert.level.word}) at {clock(alert.time_s).strip()}", style="bold red"
        )
    if log.lost:
        console.print(f"{log.lost} of {log.datagrams} datagrams were lost on the way", style="bold red")


def _said(log: DemoLog) -> Table:
    table = Table(title="Everything said", title_justify="left")
    table.add_column("time", justify="right")
    table.add_column("scene")
    table.add_column("level")
    table.add_column("words")
    for call in log.calls:
        scene = log.scene_at(call.time_s)
        table.add_row(clock(call.time_s), scene.name if scene else "", _level(call.level), call.text)
    return table


def _promises(kept: Sequence[Kept]) -> Table:
    table = Table(title="What went wrong, and how soon it was said", title_justify="left")
    table.add_column("the pilot")
    table.add_column("level")
    table.add_column("said after", justify="right")
    table.add_column("promised", justify="right")
    table.add_column("cleared after mending", justify="right")
    table.add_column("promised", justify="right")
    table.add_column("kept")
    for one in kept:
        table.add_row(
            one.mistake.name,
            _level(one.level) if one.level is not None else "-",
            _seconds(one.said_after_s),
            _seconds(one.mistake.said_within_s),
            _seconds(one.cleared_after_s),
            _seconds(one.mistake.cleared_within_s),
            "yes" if one.ok else Text("no", style="bold red"),
        )
    return table


def _level(level: Level) -> Text:
    return Text(f"{level.word:7}", style=STYLES[level])


def _seconds(value: float | None) -> str:
    return "never" if value is None else f"{value:.0f} s"
