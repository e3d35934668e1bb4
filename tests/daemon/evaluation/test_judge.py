"""Judgement, on flights that were never flown."""

import pytest

from otherseat.advisories.levels import Alert, Change, Level
from otherseat.daemon.evaluation.flown import Flown, Order
from otherseat.daemon.evaluation.judge import Verdict, fault_rows, judge, nuisance_rows
from otherseat.daemon.evaluation.report import failures
from tests.daemon.debrief.made import alert as changed


def alert(
    time_s: float,
    *,
    name: str = "glidepath-high",
    change: Change = Change.RAISED,
    level: Level = Level.ADVICE,
    number: int = 1,
) -> Alert:
    """Return one change of an alert."""
    return changed(name, number=number, change=change, level=level, raised_s=time_s, time_s=time_s)


def flown(
    scenario: str,
    *alerts: Alert,
    size: float = 2.0,
    seed: int = 1,
    error: str | None = None,
    level: Level = Level.ADVICE,
    sizes: list[float] | None = None,
    reason: str | None = None,
    heard: bool = True,
) -> Flown:
    """Return a flight whose fault began at 100 s and mattered until 200 s; sizes: at 145 s and every 2 s."""
    return Flown(
        order=Order(scenario=scenario, aircraft="light", size=size, seed=seed),
        conditions="",
        fault_alerts=frozenset({"glidepath-high"}),
        fault_level=level,
        sizes=[(145.0 + 2.0 * number, size) for number, size in enumerate(sizes or [])],
        kept_s=None if sizes is None else 4.0,
        reason=reason,
        alerts=list(alerts),
        heard=[(one.time_s, one.alert, one.level) for one in alerts if heard and one.change is not Change.CLEARED],
        began_s=100.0,
        too_late_s=200.0,
        ended_s=300.0,
        error=error,
    )


@pytest.mark.parametrize(
    ("flight", "expected"),
    [
        pytest.param(flown("high", alert(150.0)), Verdict.DETECTED, id="in-time"),
        pytest.param(flown("high", alert(200.0)), Verdict.DETECTED, id="just-in-time"),
        pytest.param(flown("high", alert(201.0)), Verdict.LATE, id="late"),
        pytest.param(flown("high", alert(150.0), heard=False), Verdict.LATE, id="shown-but-never-spoken"),
        pytest.param(flown("high", alert(50.0)), Verdict.DETECTED, id="standing-when-it-began"),
        pytest.param(
            flown("high", alert(50.0), alert(90.0, change=Change.CLEARED)), Verdict.MISSED, id="gone-when-it-began"
        ),
        pytest.param(
            flown("high", alert(50.0), alert(120.0, change=Change.CLEARED)), Verdict.DETECTED, id="cleared-later"
        ),
        pytest.param(flown("high", alert(150.0, name="glidepath-low")), Verdict.MISSED, id="another-alert"),
        pytest.param(flown("high", alert(150.0), level=Level.WARNING), Verdict.MISSED, id="too-mild"),
        pytest.param(
            flown(
                "high",
                alert(50.0),
                alert(150.0, change=Change.CHANGED, level=Level.WARNING),
                level=Level.WARNING,
            ),
            Verdict.DETECTED,
            id="risen-in-time",
        ),
        pytest.param(flown("high", alert(150.0), sizes=[1.0, 1.2, 1.1]), Verdict.NOT_FLOWN, id="not-as-big-as-meant"),
        pytest.param(flown("high", sizes=[1.9, 2.1, 2.0]), Verdict.MISSED, id="as-big-as-meant"),
        pytest.param(flown("high", sizes=[]), Verdict.NOT_FLOWN, id="never-begun"),
        pytest.param(flown("high"), Verdict.MISSED, id="missed"),
        pytest.param(flown("high", size=0.5), Verdict.QUIET, id="small-and-quiet"),
        pytest.param(flown("high", alert(150.0), size=0.5), Verdict.NUISANCE, id="small-and-said"),
        pytest.param(flown("high", alert(150.0, name="other"), size=0.5), Verdict.QUIET, id="small-another-alert"),
        pytest.param(
            flown("high", alert(150.0), size=0.5, sizes=[0.6, 1.1, 1.2]),
            Verdict.NOT_FLOWN,
            id="small-but-in-truth-whole",
        ),
        pytest.param(flown("high", alert(150.0), size=0.5, sizes=[0.6, 0.9, 0.7]), Verdict.NUISANCE, id="truly-small"),
        pytest.param(flown("high", alert(150.0), size=0.5, reason="sink"), Verdict.QUIET, id="small-another-reason"),
        pytest.param(flown("circuit"), Verdict.QUIET, id="normal"),
        pytest.param(flown("circuit", alert(5.0, name="other")), Verdict.NUISANCE, id="normal-and-said"),
        pytest.param(flown("circuit", alert(5.0, level=Level.CALL)), Verdict.QUIET, id="a-call-is-no-nuisance"),
        pytest.param(flown("circuit", error="it broke"), Verdict.ERROR, id="error"),
    ],
)
def test_verdict(flight: Flown, expected: Verdict) -> None:
    """A verdict follows from what was raised, and when."""
    assert expected == judge(flight)


def test_without_a_moment_that_is_too_late_the_end_counts() -> None:
    """A flight that ended before it was too late gives its lead to its end."""
    flight = flown("high", alert(150.0))
    flight.too_late_s = None
    (row,) = fault_rows([flight])

    assert (150.0, 150.0) == row.lead_s


def test_fault_rows() -> None:
    """Flights of one fault and size make one row: how many in time, and the shortest and median lead."""
    flights = [flown("high", alert(time_s), seed=seed) for seed, time_s in enumerate((110.0, 150.0, 205.0))]
    (row,) = fault_rows([*flights, flown("circuit")])

    assert (3, 2, 1) == (row.flown, row.verdicts[Verdict.DETECTED], row.verdicts[Verdict.LATE])
    assert (-5.0, 50.0) == row.lead_s


def test_nuisances_per_hundred_normal_flights() -> None:
    """An alert counts once, at the highest level that it reached; two alerts of one name count twice."""
    loud = flown(
        "circuit",
        alert(1.0),
        alert(2.0, change=Change.CHANGED, level=Level.CAUTION),
        alert(9.0, number=2),
        alert(9.0, change=Change.CLEARED, level=Level.CAUTION),
    )
    (row,) = nuisance_rows([loud, *(flown("circuit") for _ in range(3)), flown("high", alert(5.0))])

    assert {Level.ADVICE: 25.0, Level.CAUTION: 25.0, Level.WARNING: 0.0} == row.per_hundred


def test_failures() -> None:
    """To look at: a fault not handled, a small one said, a normal flight with a caution; not one with advice only."""
    caution = flown("circuit", alert(1.0, level=Level.CAUTION))
    bad = [flown("high"), flown("high", alert(150.0), size=0.5), caution, flown("low", error="it broke")]

    assert bad == failures([*bad, flown("high", alert(150.0)), flown("circuit", alert(1.0)), flown("circuit")])
