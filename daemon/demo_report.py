"""The demo on the terminal: a line for what is flown and said as it happens, two tables at the end."""

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from otherseat.advisories.levels import Level
from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.demo_log import DemoLog, FlownScene, Kept
from otherseat.daemon.messages import AlertMessage, CallMessage

STYLES = {Level.WARNING: "bold red", Level.CAUTION: "yellow", Level.ADVICE: "bold", Level.CALL: ""}
"""Red for warning and amber for caution, as the regulation has them; nothing else has a colour."""
INDENT = 9
"""Columns of a time, under which nothing else stands."""


def print_scene(console: Console, scene: FlownScene) -> None:
    """Say that the aircraft has been put somewhere."""
    console.print(f"\n{clock_words(scene.time_s)}  Scene {scene.number}: {scene.name}", style="bold", highlight=False)
    console.print(Padding(Text(scene.told, style="dim"), (0, 0, 0, INDENT)))


def print_call(console: Console, call: CallMessage) -> None:
    """Print one thing that is being said, set in where it takes more than one line."""
    line = Table.grid(padding=(0, 2))
    line.add_column(no_wrap=True)
    line.add_column(no_wrap=True)
    line.add_column()
    line.add_row(clock_words(call.time_s), _level(call.level), call.text)
    console.print(line)


def print_tables(console: Console, log: DemoLog, *, kept: Sequence[Kept], unpromised: Sequence[AlertMessage]) -> None:
    """Print everything said, then every mistake and what became of it."""
    console.print()
    console.print(_said(log))
    console.print()
    console.print(_promises(kept))
    for alert in unpromised:
        console.print(
            f"Not expected: {alert.alert} ({alert.level.word}) at {clock_words(alert.time_s)}", style="bold red"
        )
    if log.lost:
        console.print(f"{log.lost} of {log.datagrams} datagrams were lost on the way", style="bold red")


def print_cut_short(console: Console, log: DemoLog) -> None:
    """Print what was said until somebody had seen enough."""
    console.print()
    console.print(_said(log, title="Everything said so far"))


def _said(log: DemoLog, *, title: str = "Everything said") -> Table:
    table = _table(title)
    table.add_column("time", justify="right", no_wrap=True)
    table.add_column("scene", no_wrap=True)
    table.add_column("level", no_wrap=True)
    table.add_column("words")
    for call in log.calls:
        scene = log.scene_at(call.time_s)
        table.add_row(clock_words(call.time_s), scene.name if scene else "", _level(call.level), call.text)
    return table


def _promises(kept: Sequence[Kept]) -> Table:
    table = _table("What went wrong, how soon it was said, and how soon it was quiet once mended")
    table.add_column("the pilot")
    for title in ("said after", "within", "quiet after", "within", "kept"):
        table.add_column(title, no_wrap=True, justify="left" if title == "said after" else "right")
    for one in kept:
        table.add_row(
            one.mistake.name,
            _rises(one),
            _seconds(one.mistake.said_within_s),
            _seconds(one.cleared_after_s),
            _seconds(one.mistake.cleared_within_s),
            "yes" if one.ok else Text("no", style="bold red"),
        )
    return table


def _table(title: str) -> Table:
    return Table(title=title, title_justify="left", box=None, pad_edge=False, padding=(0, 2, 0, 0))


def _rises(one: Kept) -> Text:
    """Return every level that it reached with its own time: the first is what was promised."""
    lines = [Text.assemble(_level(level), f" {after_s:3.0f} s") for level, after_s in one.rises]
    return Text("\n").join(lines) if lines else Text("never")


def _level(level: Level) -> Text:
    return Text(f"{level.word:7}", style=STYLES[level])


def _seconds(value: float | None) -> str:
    return "never" if value is None else f"{value:.0f} s"
