"""Judgement: was the fault said in time, was anything said of a flight in which nothing was wrong.

detected   an alert that names the fault stood, at the level that is needed, and was spoken of, before it was of no
           more use
late       it came to stand, but it did or was heard too late
missed     it never did
quiet      a fault of half the threshold, or a normal flight, of which nothing was said above a call
nuisance   something was
not flown  the fault was not as big as meant; or half of one was said, but was in truth a whole one just then
"""

import statistics
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from otherseat.advisories.levels import Alert, Change, Level
from otherseat.daemon.evaluation.catalogue import SCENARIOS
from otherseat.daemon.evaluation.flown import Flown
from otherseat.daemon.evaluation.truth import SEEN_FROM, was_flown, was_whole


class Verdict(StrEnum):
    """What a flight shows."""

    DETECTED = "detected"
    LATE = "late"
    MISSED = "missed"
    QUIET = "quiet"
    NUISANCE = "nuisance"
    NOT_FLOWN = "not flown"
    ERROR = "error"


GOOD = frozenset({Verdict.DETECTED, Verdict.QUIET, Verdict.NOT_FLOWN})


def worst_levels(flown: Flown, *, alerts: Iterable[str] | None = None) -> dict[str, Level]:
    """Return the highest level that each alert of a flight reached, by its id."""
    worst: dict[str, Level] = {}
    for alert in flown.alerts:
        if (alerts is None or alert.alert in alerts) and alert.level > Level.CALL:
            worst[alert.id] = max(alert.level, worst.get(alert.id, Level.CALL))
    return worst


def said_s(flown: Flown) -> float | None:
    """Return from when on, since it began, the fault was named at its level; None when it never was."""
    began_s = flown.began_s if flown.began_s is not None else float("inf")
    loud: set[str] = set()
    for alert in flown.alerts:
        if alert.alert not in flown.fault_alerts:
            continue
        if alert.time_s > began_s and loud:
            return began_s
        if alert.change is Change.CLEARED or alert.level < flown.fault_level:
            loud.discard(alert.id)
        elif alert.time_s >= began_s:
            return alert.time_s
        else:
            loud.add(alert.id)
    return began_s if loud and flown.began_s is not None else None


def lead_s(flown: Flown) -> float | None:
    """Return how long before it was too late the fault was said; negative when it was too late."""
    when_s = said_s(flown)
    if when_s is None:
        return None
    return (flown.too_late_s if flown.too_late_s is not None else flown.ended_s) - when_s


def judge(flown: Flown) -> Verdict:
    """Return what a flight shows."""
    if flown.error is not None:
        return Verdict.ERROR
    if SCENARIOS[flown.order.scenario].normal:
        return Verdict.NUISANCE if worst_levels(flown) else Verdict.QUIET
    if flown.order.size < SEEN_FROM:
        return judge_small(flown)
    if flown.kept_s is not None and not was_flown(
        meant=flown.order.size, sizes=while_of_use(flown), kept_s=flown.kept_s
    ):
        return Verdict.NOT_FLOWN
    lead = lead_s(flown)
    if lead is None:
        return Verdict.MISSED
    return Verdict.DETECTED if lead >= 0.0 and was_heard(flown) else Verdict.LATE


def was_heard(flown: Flown) -> bool:
    """Say whether the fault was spoken of, at its level, before it was too late."""
    until_s = flown.too_late_s if flown.too_late_s is not None else flown.ended_s
    return any(
        name in flown.fault_alerts and level >= flown.fault_level and time_s <= until_s
        for time_s, name, level in flown.heard
    )


def judge_small(flown: Flown) -> Verdict:
    """Return what a flight with half a fault shows; what was said of a whole one was right."""
    raised = [alert for alert in flown.alerts if alert.change is Change.RAISED and _names_small(alert, flown)]
    if not raised:
        return Verdict.QUIET
    right = all(was_whole(sizes=flown.sizes, by_s=alert.time_s) for alert in raised)
    return Verdict.NOT_FLOWN if right else Verdict.NUISANCE


def _names_small(alert: Alert, flown: Flown) -> bool:
    return alert.alert in flown.fault_alerts and flown.reason in {None, alert.values.get("reason")}


def while_of_use(flown: Flown) -> list[tuple[float, float]]:
    """Return the sizes until it was too late."""
    until_s = float("inf") if flown.too_late_s is None else flown.too_late_s
    return [(time_s, size) for time_s, size in flown.sizes if time_s <= until_s]


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One kind of fault at one size, flown by one aircraft."""

    scenario: str
    size: float
    aircraft: str
    useful: str
    verdicts: Counter[Verdict]
    lead_s: tuple[float, float] | None
    """Shortest and median."""

    @property
    def flown(self) -> int:
        """How many were flown as meant."""
        return self.verdicts.total() - self.verdicts[Verdict.NOT_FLOWN] - self.verdicts[Verdict.ERROR]

    @property
    def detected_percent(self) -> float | None:
        """In time, of those that were flown; None for a small fault, or when none was."""
        if self.size < SEEN_FROM or self.flown == 0:
            return None
        return 100.0 * self.verdicts[Verdict.DETECTED] / self.flown


@dataclass(frozen=True, slots=True)
class NuisanceRow:
    """One alert, per hundred normal flights, by the highest level that it reached."""

    alert: str
    per_hundred: dict[Level, float]


def fault_rows(flights: Sequence[Flown]) -> list[FaultRow]:
    """Return one row for every fault, size and aircraft flown."""
    groups: dict[tuple[str, float, str], list[Flown]] = {}
    for one in flights:
        if not SCENARIOS[one.order.scenario].normal:
            groups.setdefault((one.order.scenario, one.order.size, one.order.aircraft), []).append(one)
    return [_row(*key, group) for key, group in groups.items()]


def _row(scenario: str, size: float, aircraft: str, group: Sequence[Flown]) -> FaultRow:
    verdicts = [(judge(one), one) for one in group]
    leads = [lead for verdict, one in verdicts if verdict in TIMED and (lead := lead_s(one)) is not None]
    return FaultRow(
        scenario=scenario,
        size=size,
        aircraft=aircraft,
        useful=next((one.useful for one in group if one.useful), ""),
        verdicts=Counter(verdict for verdict, _ in verdicts),
        lead_s=(min(leads), statistics.median(leads)) if leads else None,
    )


TIMED = frozenset({Verdict.DETECTED, Verdict.LATE})


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
