"""One measured number, and how a list of them is shown."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What was measured, the number, its unit, and the most (or, for a rate, the least) that it should be."""

    what: str
    value: float
    unit: str
    most: float | None = None
    least: float | None = None

    @property
    def holds(self) -> bool | None:
        """Say whether the target holds; None where there is none."""
        if self.most is not None:
            return self.value <= self.most
        return None if self.least is None else self.value >= self.least


def table(rows: Iterable[Row]) -> str:
    """Return the rows as a Markdown table."""
    lines = ["| what | measured | target | |", "| --- | ---: | ---: | --- |"]
    for row in rows:
        target = "" if row.most is None else f"at most {row.most:,g}"
        target = target if row.least is None else f"at least {row.least:,g}"
        verdict = {True: "holds", False: "**missed**", None: ""}[row.holds]
        lines.append(f"| {row.what} | {_number(row.value)} {row.unit} | {target} | {verdict} |")
    return "\n".join(lines)


def percentile(values: Sequence[float], share: float) -> float:
    """Return the value below which that share of the values lies."""
    ordered = sorted(values)
    return ordered[min(int(share * len(ordered)), len(ordered) - 1)]


def _number(value: float) -> str:
    if value >= 1_000:
        return f"{value:,.0f}"
    return f"{value:.{max(0, 2 - int(math.log10(value)))}f}" if value > 0 else "0"
