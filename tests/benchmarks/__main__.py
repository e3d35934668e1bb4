"""`python -m tests.benchmarks`: measure everything, print a table, write a JSON file beside it.

Absolute numbers are those of one machine at one moment; ratios are of the same run. On a machine with other work the
medians of processor time still mean something, the clock's do not.
"""

import importlib.metadata
import json
import os
import platform
from collections.abc import Callable, Iterator
from dataclasses import asdict
from pathlib import Path

import click

from tests.benchmarks import inside, outside, recovery, spoken, think
from tests.benchmarks.rows import Row, table

Part = Callable[[bool], Iterator[Row]]
PARTS: dict[str, Part] = {
    "chain": lambda quick: outside.chain(
        (60.0,) if quick else (60.0, 250.0, 1_000.0), starts=2 if quick else 6, rounds=2
    ),
    "think": lambda quick: think.thoughts(1, 5.0) if quick else think.thoughts(6, 60.0),
    "share": lambda quick: outside.shares(5.0 if quick else 30.0),
    "memory": lambda quick: outside.memory(2 if quick else 60),
    "step": lambda quick: inside.steps(1 if quick else 5),
    "flood": lambda quick: outside.flood((10_000,) if quick else (1_000, 5_000, 10_000, 20_000), 2.0 if quick else 5.0),
    "crowd": lambda quick: outside.crowds((1, 1_000) if quick else (1, 10, 100, 1_000), 4.0 if quick else 20.0),
    "start": lambda quick: outside.start(1 if quick else 5),
    "recovery": lambda _quick: recovery.recovery(),
    "voice": lambda quick: spoken.soon(10 if quick else 100),
    "again": lambda _quick: inside.again(),
    "runways": lambda _quick: inside.queries(),
}


@click.command()
@click.option("--only", type=click.Choice(list(PARTS)), multiple=True, help="Only these parts.")
@click.option("--quick", is_flag=True, help="Fewer rounds: to see that it works.")
@click.option("--json", "json_file", type=click.Path(path_type=Path), help="Write the numbers there too.")
def main(only: tuple[str, ...], json_file: Path | None, *, quick: bool) -> None:
    """Measure, and print what was found."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # forbidden to keep what it compiled, each start compiles it again
    rows = []
    for name in only or PARTS:
        for row in PARTS[name](quick):
            rows.append(row)
            click.echo(f"{row.what}: {row.value:.4g} {row.unit}", err=True)
    version = importlib.metadata.version("otherseat")
    machine = f"{platform.system()} {platform.machine()}, Python {platform.python_version()}"
    click.echo(f"Version {version}, {machine}\n\n{table(rows)}")
    if json_file is not None:
        whole = {"version": version, "machine": machine, "rows": [asdict(row) for row in rows]}
        json_file.write_text(json.dumps(whole, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
