"""`otherseat evaluate`: flights by the hundred, normal and faulty, and a table of what was said, missed and too much.

Everything happens in this program, on several cores, without a socket; the same seed gives the same flights and the
same table.
"""

import importlib.util
import json
import os
from collections.abc import Sequence
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from otherseat.daemon.extras import how_to_install
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.unusable import UnusableError, usable


@click.command(epilog="Example: otherseat evaluate --flights 200 --faults 40 --seed 7 --pictures failures")
@click.option("--flights", default=60, show_default=True, type=click.IntRange(0), help="Normal flights.")
@click.option(
    "--faults", default=3, show_default=True, type=click.IntRange(0), help="Flights of each fault, size and aircraft."
)
@click.option("--seed", default=1, show_default=True, help="The first flight's; the same seed is the same flight.")
@click.option("--only", multiple=True, help="Only this scenario; may be given again. `--only list` names them all.")
@click.option("--aircraft", multiple=True, type=click.Choice(["light", "jet"]), help="Only this one; both if left out.")
@click.option("--table", type=click.Path(path_type=Path, dir_okay=False), help="The table as JSON goes into this file.")
@click.option("--jobs", default=os.cpu_count() or 1, show_default=True, type=click.IntRange(1), help="Cores to use.")
@click.option(
    "--pictures", type=click.Path(path_type=Path, file_okay=False), help="A picture of each failure goes here."
)
def evaluate(  # noqa: PLR0917 - click passes options by name
    flights: int,
    faults: int,
    seed: int,
    only: Sequence[str],
    aircraft: Sequence[str],
    table: Path | None,
    jobs: int,
    pictures: Path | None,
) -> None:
    """Measure the checks: what they see, how soon, and how often they speak of nothing."""
    _needs("jsbsim", "the flight model", extra="demo")
    if pictures is not None:
        _needs("matplotlib", "a drawing library", extra="pages")
        with usable():
            pictures.mkdir(parents=True, exist_ok=True)
    from otherseat.config.toml_files import nearest  # noqa: PLC0415 - likewise
    from otherseat.daemon.evaluation.catalogue import AIRCRAFT, SCENARIOS  # noqa: PLC0415 - needs the flight model
    from otherseat.daemon.evaluation.report import failures, figures, print_report  # noqa: PLC0415 - likewise
    from otherseat.daemon.evaluation.squadron import fly_orders, make_orders  # noqa: PLC0415 - likewise

    if "list" in only:
        click.echo("\n".join(SCENARIOS))
        return
    for name in only:
        if name not in SCENARIOS:
            raise click.BadParameter(
                f"no scenario is called {name}{nearest(name, list(SCENARIOS))}", param_hint="--only"
            )
    orders = make_orders(flights=flights, faults=faults, seed=seed, aircraft=aircraft or tuple(AIRCRAFT), only=only)
    console = Console()
    console.print(CAUTION_LINE, style="bold", highlight=False)
    flown = []
    with Progress(
        TextColumn("flown"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), console=console, transient=True
    ) as progress:
        task = progress.add_task("", total=len(orders))
        for one in fly_orders(orders, jobs=jobs):
            flown.append(one)
            progress.advance(task)
    print_report(console, flown)
    if table is not None:
        table.write_text(json.dumps(figures(flown), indent=1) + "\n", encoding="utf-8")
    if pictures is not None:
        from otherseat.daemon.evaluation.pictures import draw  # noqa: PLC0415 - needs the drawing library
        from otherseat.daemon.flight_model.world import World  # noqa: PLC0415 - needs the flight model

        world = World.make()
        files = [draw(one, world=world, folder=pictures) for one in failures(flown) if one.track]
        console.print(f"{len(files)} pictures in {pictures}")


def _needs(module: str, what: str, *, extra: str) -> None:
    if importlib.util.find_spec(module) is None:
        raise UnusableError(f"this needs {what}: {how_to_install(extra)}")
