"""How often what `identify` claims is so: exports drawn at random, studied after ever longer listening.

python -m tests.adapters.claims --kind binary --first 0 --last 60
"""

from collections import Counter
from dataclasses import replace

import click

from otherseat.adapters.identify import Certainty, Claim, Helped, identify
from tests.adapters.flown import RATE_HZ, Table, flight
from tests.adapters.formats import Format, make
from tests.adapters.test_identify import KINDS, is_right

SECONDS = (30, 40, 50, 60, 80, 100, 120)


def is_so(claim: Claim, export: Format) -> bool:
    """Say whether a claim is right; one that is open when any of its choices is."""
    choices = claim.others if claim.certainty is Certainty.OPEN else ()
    return any(is_right(each, export) for each in (claim, *choices))


def early(table: Table, seconds: int) -> Table:
    """Return the first seconds of a flight."""
    return {name: values[: seconds * RATE_HZ] for name, values in table.items()}


@click.command()
@click.option("--kind", type=click.Choice(KINDS), default="binary", show_default=True)
@click.option("--first", default=0, show_default=True, help="Seed of the first export.")
@click.option("--last", default=60, show_default=True, help="Seed behind the last one.")
def main(kind: str, first: int, last: int) -> None:
    """Print each claim that is not so, and a table."""
    counts: Counter[tuple[int, str, bool]] = Counter()
    for seed in range(first, last):
        for seconds in SECONDS:
            export = make(kind, early(flight(seed), seconds), seed)
            for claim in identify(export.datagrams, helped=Helped(so_far=seconds < SECONDS[-1])).claims:
                so = is_so(claim, export)
                counts[seconds, claim.certainty.value, so] += 1
                if not so:
                    short = replace(claim, why="")
                    click.echo(f"seed {seed}, {seconds} s: {short.certainty.value} {short.field} {short.place()}")
    click.echo(
        f"| seconds | {' | '.join(f'{c.value}, not so' for c in Certainty)} |\n| ---: |{' ---: |' * len(Certainty)}"
    )
    for seconds in SECONDS:
        cells = [
            f"{sum(counts[seconds, c.value, so] for so in (True, False))}, {counts[seconds, c.value, False]}"
            for c in Certainty
        ]
        click.echo(f"| {seconds} | {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
