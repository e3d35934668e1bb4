"""The stopwatch: an advisory that is late fails by name, one that hangs is brought back."""

import signal
import time
from collections.abc import Callable, Iterator
from itertools import count

import pytest

from otherseat.advisories.advisory import Advisory, Needs, Params
from otherseat.advisories.engine import Engine
from otherseat.advisories.levels import Finding, Level
from otherseat.daemon.stopwatch import RING, Stopwatch, TooSlowError
from tests.scripted import final, make_plan, make_table


def advisory(work: Callable[[], object]) -> Advisory:
    """Return an advisory that does some work and then finds something."""

    class Worker:
        def __init__(self, _params: Params) -> None:
            pass

        def look(self, *, altitude_ft: float) -> Iterator[Finding]:
            """Work."""
            work()
            yield Finding(alert="worker", level=Level.ADVICE, amount=altitude_ft, phrase="worker")

    return Advisory(name="worker", alerts=("worker",), params=Params, make=Worker)


def look(watch: Stopwatch, work: Callable[[], object]) -> list[Finding]:
    """Have a timed advisory look once."""
    return list(watch.timed(advisory(work)).make(Params()).look(altitude_ft=2.0))


def test_in_time_it_changes_nothing() -> None:
    """What an advisory in time finds is what the engine gets, and its needs are still read from its parameters."""
    timed = Stopwatch().timed(advisory(lambda: None)).make(Params())

    assert [2.0] == [finding.amount for finding in timed.look(altitude_ft=2.0)]
    assert ("altitude_ft",) == Needs.of(name="worker", look=timed.look).required


def test_late_it_fails_by_name() -> None:
    """An advisory that is late on average fails, by the injected clock, though its work is lazy."""
    ticks = count(0.0, 0.08)
    timed = Stopwatch(clock=lambda: next(ticks)).timed(advisory(lambda: None)).make(Params())
    for _ in range(3):
        assert 1 == len(list(timed.look(altitude_ft=2.0)))

    with pytest.raises(TooSlowError, match=r"on average, of the 0\.005 s"):
        timed.look(altitude_ft=2.0)


def test_late_now_and_then_it_is_forgiven() -> None:
    """A second's delay at every hundredth answer, as on a busy machine, is no fault of the advisory."""
    now_s = 0.0
    asked = count()

    def work() -> None:
        nonlocal now_s
        now_s += 1.0 if next(asked) % 100 == 0 else 1e-5

    timed = Stopwatch(clock=lambda: now_s).timed(advisory(work)).make(Params())

    assert 1_000 == sum(len(list(timed.look(altitude_ft=2.0))) for _ in range(1_000))


def sleeping() -> None:
    """Wait in the system for longer than any test takes."""
    time.sleep(600.0)


def stubborn() -> None:
    """Compute for ever, and take every Exception that could end it."""
    while True:
        try:
            sum(range(1_000))
        except Exception:  # noqa: BLE001, S112 - as a bad plug-in has it
            continue


@pytest.mark.parametrize("work", [sleeping, stubborn])
def test_what_hangs_is_brought_back(work: Callable[[], object]) -> None:
    """Waiting for ever and computing for ever both end in the same error, and the signal is given back."""
    before = signal.getsignal(RING)
    watch = Stopwatch(hang_s=0.05)
    with watch.watching(), pytest.raises(TooSlowError, match="interrupted"):
        look(watch, work)

    assert before == signal.getsignal(RING)


def test_a_signal_from_elsewhere_is_ignored() -> None:
    """When no advisory is at work the signal does nothing."""
    watch = Stopwatch()
    with watch.watching():
        signal.raise_signal(RING)

    assert 1 == len(look(watch, lambda: None))


def test_always_late_is_benched() -> None:
    """The engine benches what stays late, as it does with any other fault."""
    ticks = count(0.0, 1.0)
    table = make_table()
    watch = Stopwatch(clock=lambda: next(ticks))
    engine = Engine(
        aircraft="own", runways=table, plan=make_plan(table), advisories=[watch.timed(advisory(lambda: None))]
    )
    states = final(end=table.end("ZZBB/09L"), distance_nm=5.0, seconds=5.0)
    faults = [fault for state in states for fault in engine.step(state).faults]

    assert [False, False, True] == [fault.benched for fault in faults]
    assert {"worker": "benched after faults"} == engine.live()
