"""Judgement: was the fault said in time, was anything said of a flight in which nothing was wrong.

detected   an alert that names the fault was raised after it began and before it was of no more use
late       it was raised, but too late
missed     it never was
quiet      a fault of half the threshold, or a normal flight, of which nothing was said above a call
nuisance   something was
"""

import statistics
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.evaluation.catalogue import SCENARIOS
from otherseat.daemon.evaluation.flown import Flown

SEEN_FROM = 1.0
"""Faults smaller than this, in thresholds, must not be said."""


class Verdict(StrEnum):
    """What a flight shows."""

    DETECTED = "detected"
    LATE = "late"
    MISSED = "missed"
    QUIET = "quiet"
    NUISANCE = "nuisance"
    ERROR = "error"


GOOD = frozenset({Verdict.DETECTED, Verdict.QUIET})


def worst_levels(flown: Flown, *, alerts: Iterable[str] | None = None) -> dict[str, Level]:
    """Return the highest level that each alert of a flight reached, by its id."""
    worst: dict[str, Level] = {}
    for alert in flown.alerts:
        if (alerts is None or alert.alert in alerts) and alert.level > Level.CALL:
            worst[alert.id] = max(alert.level, worst.get(alert.id, Level.CALL))
    return worst


def raised_s(flown: Flown) -> float | None:
    """Return when the fault was said first, after it began; None when it never was."""
    times = [
        alert.time_s for alert in flown.alerts if alert.alert in flown.fault_alerts and alert.change is Change.RAISED
    ]
    began_s = flown.began_s if flown.began_s is not None else float("inf")
    return min((time_s for time_s in times if time_s >= began_s), default=None)


def lead_s(flown: Flown) -> float | None:
    """Return how long before it was too late the fault was said; negative when it was too late."""
    said_s = raised_s(flown)
    if said_s is None:
        return None
    return (flown.too_late_s if flown.too_late_s is not None else flown.ended_s) - said_s


def judge(flown: Flown) -> Verdict:
    """Return what a flight shows."""
    if flown.error is not None:
        return Verdict.ERROR
    if SCENARIOS[flown.order.scenario].normal:
        return Verdict.NUISANCE if worst_levels(flown) else Verdict.QUIET
    if flown.order.size < SEEN_FROM:
        return Verdict.NUISANCE if worst_levels(flown, alerts=flown.fault_alerts) else Verdict.QUIET
    lead = lead_s(flown)
    if lead is None:
        return Verdict.MISSED
    return Verdict.DETECTED if lead >= 0.0 else Verdict.LATE


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One kind of fault at one size."""

    scenario: str
    size: float
    flights: int
    verdicts: Counter[Verdict]
    lead_s: tuple[float, float] | None
    """Shortest and median."""


@dataclass(frozen=True, slots=True)
class NuisanceRow:
    """One alert, per hundred normal flights, by the highest level that it reached."""

    alert: str
    per_hundred: dict[Level, float]


def fault_rows(flights: Sequence[Flown]) -> list[FaultRow]:
    """Return one row for every fault and size flown."""
    rows = []
    for scenario, size in dict.fromkeys((one.order.scenario, one.order.size) for one in flights):
        if SCENARIOS[scenario].normal:
            continue
        group = [one for one in flights if (one.order.scenario, one.order.size) == (scenario, size)]
        leads = [lead for lead in map(lead_s, group) if lead is not None]
        rows.append(
            FaultRow(
                scenario=scenario,
                size=size,
                flights=len(group),
                verdicts=Counter(map(judge, group)),
                lead_s=(min(leads), statistics.median(leads)) if leads and size >= SEEN_FROM else None,
            )
        )
    return rows


def nuisance_rows(flights: Sequence[Flown]) -> list[NuisanceRow]:
    """Return one row for every alert that was raised in a normal flight, worst first."""
    normal = [one for one in flights if SCENARIOS[one.order.scenario].normal]
    counts: Counter[tuple[str, Level]] = Counter()
    for one in normal:
        names = {alert.id: alert.alert for alert in one.alerts}
        counts.update((names[alert_id], level) for alert_id, level in worst_levels(one).items())
    rows = [
        NuisanceRow(
            alert=name,
            per_hundred={level: 100.0 * counts[name, level] / len(normal) for level in Level if level > Level.CALL},
        )
        for name in dict.fromkeys(name for name, _ in counts)
    ]
    return sorted(rows, key=lambda row: [-row.per_hundred[level] for level in sorted(row.per_hundred, reverse=True)])
