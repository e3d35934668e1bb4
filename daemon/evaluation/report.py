"""The evaluation on the terminal: faults, nuisances, and which flights to look at."""

from collections.abc import Sequence
from dataclasses import asdict

from rich.console import Console
from rich.table import Table

from otherseat.advisories.levels import Level
from otherseat.daemon.evaluation.catalogue import SCENARIOS
from otherseat.daemon.evaluation.flown import Flown
from otherseat.daemon.evaluation.judge import (
    GOOD,
    FaultRow,
    Verdict,
    fault_rows,
    judge,
    nuisance_rows,
    worst_levels,
)
from otherseat.daemon.evaluation.truth import SEEN_FROM

LISTED = 12


def failures(flights: Sequence[Flown]) -> list[Flown]:
    """Return the flights to look at: faults not handled, and normal ones with a caution or a warning."""
    return [one for one in flights if _failed(one)]


def _failed(one: Flown) -> bool:
    verdict = judge(one)
    if verdict is Verdict.NUISANCE and SCENARIOS[one.order.scenario].normal:
        return max(worst_levels(one).values()) >= Level.CAUTION
    return verdict not in GOOD


def print_report(console: Console, flights: Sequence[Flown]) -> None:
    """Print the tables."""
    rows = fault_rows(flights)
    if rows:
        console.print(_faults(rows))
    normal = [one for one in flights if SCENARIOS[one.order.scenario].normal]
    if normal:
        console.print(_nuisances(flights, normal=len(normal)))
    bad = failures(flights)
    console.print(f"{len(flights)} flights, {len(bad)} to look at")
    for one in bad[:LISTED]:
        order = one.order
        console.print(
            f"  {order.scenario} {order.aircraft} x{order.size:g} seed {order.seed}: {one.error or judge(one).value}",
            highlight=False,
        )


def _faults(rows: Sequence[FaultRow]) -> Table:
    table = Table(
        title="Faults, in sizes of the threshold; seconds before it is of no more use",
        title_justify="left",
        caption=f"{MEANING}\n{_useful(rows)}",
        caption_justify="left",
        box=None,
        padding=(0, 1, 0, 0),
    )
    table.add_column("fault", no_wrap=True)
    for name in ("size", "by", "flown", "seen", "late", "missed", "keen", "unflown", "least", "median"):
        table.add_column(name, justify="right", no_wrap=True)
    for row in rows:
        table.add_row(*_cells(row))
    return table


MEANING = (
    "keen: said although smaller than the threshold. unflown, and in no other column: by the flight model's own "
    "course never as big as meant, or half a fault that was a whole one when it was said"
)


def _useful(rows: Sequence[FaultRow]) -> str:
    """Return until when an alert is of use, fault by fault."""
    faults: dict[str, list[str]] = {}
    for row in rows:
        faults.setdefault(row.useful, []).append(row.scenario)
    return "\n".join(f"of use {words}: {', '.join(dict.fromkeys(names))}" for words, names in faults.items() if words)


def _cells(row: FaultRow) -> tuple[str, ...]:
    small, verdicts = row.size < SEEN_FROM, row.verdicts
    return (
        row.scenario,
        f"{row.size:g}",
        row.aircraft,
        str(row.flown),
        "" if row.detected_percent is None else f"{row.detected_percent:.0f}%",
        "" if small else str(verdicts[Verdict.LATE]),
        "" if small else str(verdicts[Verdict.MISSED]),
        str(verdicts[Verdict.NUISANCE]) if small else "",
        str(verdicts[Verdict.NOT_FLOWN] or ""),
        "" if row.lead_s is None else f"{row.lead_s[0]:.0f}",
        "" if row.lead_s is None else f"{row.lead_s[1]:.0f}",
    )


def figures(flights: Sequence[Flown]) -> dict[str, object]:
    """Return both tables as numbers and names, and every flight to look at."""
    return {
        "flights": len(flights),
        "faults": [
            {
                "fault": row.scenario,
                "size": row.size,
                "aircraft": row.aircraft,
                "useful": row.useful,
                "flown": row.flown,
                "detected_percent": row.detected_percent,
                **{verdict.name.lower(): row.verdicts[verdict] for verdict in Verdict},
                "least_lead_s": None if row.lead_s is None else row.lead_s[0],
                "median_lead_s": None if row.lead_s is None else row.lead_s[1],
            }
            for row in fault_rows(flights)
        ],
        "normal_flights": sum(SCENARIOS[one.order.scenario].normal for one in flights),
        "said_per_hundred": {
            row.alert: {level.word: share for level, share in row.per_hundred.items()} for row in nuisance_rows(flights)
        },
        "to_look_at": [
            {**asdict(one.order), "conditions": one.conditions, "verdict": judge(one).value, "error": one.error}
            for one in failures(flights)
        ],
    }


def _nuisances(flights: Sequence[Flown], *, normal: int) -> Table:
    table = Table(title=f"Said in {normal} normal flights, per hundred", title_justify="left")
    table.add_column("alert")
    for level in (Level.WARNING, Level.CAUTION, Level.ADVICE):
        table.add_column(level.word, justify="right")
    rows = nuisance_rows(flights)
    for row in rows:
        table.add_row(row.alert, *(f"{row.per_hundred[level]:.1f}" for level in sorted(row.per_hundred, reverse=True)))
    totals = [sum(row.per_hundred[level] for row in rows) for level in (Level.WARNING, Level.CAUTION, Level.ADVICE)]
    table.add_section()
    table.add_row("all", *(f"{total:.1f}" for total in totals))
    return table
