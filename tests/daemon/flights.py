"""Recordings for tests: a final to ZZBB/09L with the real engine's alerts, written by the real recorder."""

from collections.abc import Iterable
from importlib.metadata import entry_points
from pathlib import Path

from otherseat.advisories.advisory import Advisory
from otherseat.advisories.engine import Engine
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.daemon.messages import PlanMessage, alert_message, call_message
from otherseat.daemon.recorder import Recorder
from tests.scripted import final, make_plan, make_table


def advisories() -> list[Advisory]:
    """Return every advisory that is installed."""
    return [entry.load() for entry in sorted(entry_points(group="otherseat.advisories"))]


def recorded(path: Path, *, states: Iterable[State], plan: ResolvedPlan, runways: RunwayTable) -> Path:
    """Fly the states through an engine and record all of it, as the service does."""
    recorder = Recorder(path, runways=runways, session={"settings": "{}"}, period_s=0.05)
    engine = Engine(aircraft="own", runways=runways, plan=plan, advisories=advisories())
    recorder.plan(PlanMessage.of(aircraft="own", resolved=plan))
    for state in states:
        recorder.state(state)
        outcome = engine.step(state)
        for alert in outcome.alerts:
            recorder.alert(alert_message(alert, text=alert.phrase, speech=alert.phrase))
        for call in outcome.calls:
            recorder.call(call_message(call, text=call.phrase, speech=call.phrase))
    recorder.close()
    assert recorder.trouble is None
    return path


def high_final(path: Path) -> Path:
    """Record a final that stays 250 ft high, long enough to be told."""
    runways = make_table()
    plan = make_plan(runways)
    assert plan.arrival is not None
    states = final(end=plan.arrival, distance_nm=4.0, above_path_ft=250.0, seconds=60.0)
    return recorded(path, states=states, plan=plan, runways=runways)
