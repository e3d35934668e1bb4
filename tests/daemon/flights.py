"""Recordings for tests: states through the real engine, written by the real recorder, as the daemon does it."""

from collections.abc import Iterable
from pathlib import Path

from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.messages import PlanMessage, alert_message, call_message
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.recorder import Recorder
from otherseat.daemon.refly import Crew
from tests.scripted import final, make_plan, make_table


def recorded(
    path: Path, *, states: Iterable[State], plan: ResolvedPlan, runways: RunwayTable, settings: str = ""
) -> Path:
    """Fly the states through an engine and record all of it. Without settings the packaged ones apply, also later."""
    recorder = Recorder(path, runways=runways, session={"settings": settings} if settings else None)
    crew = Crew(runways=runways, settings=read_settings(), advisories=plugins.advisories())
    phrasebook = Phrasebook.load()
    message = PlanMessage.of(aircraft="own", resolved=plan)
    recorder.plan(message)
    crew.set_plan(message)
    for state in states:
        recorder.state(state)
        outcome = crew.step(state)
        for alert in outcome.alerts:
            said = phrasebook.compose(phrase=alert.phrase, values=alert.values)
            recorder.alert(alert_message(alert, text=said.text, speech=said.speech))
        for call in outcome.calls:
            said = phrasebook.compose(phrase=call.phrase, values=call.values)
            recorder.call(call_message(call, text=said.text, speech=said.speech))
    recorder.close()
    assert recorder.trouble is None
    return path


def high_final(path: Path, *, above_path_ft: float = 250.0, settings: str = "") -> Path:
    """Record a final that stays high, long enough to be told."""
    runways = make_table()
    plan = make_plan(runways)
    assert plan.arrival is not None
    states = final(end=plan.arrival, distance_nm=4.0, above_path_ft=above_path_ft, seconds=60.0)
    return recorded(path, states=states, plan=plan, runways=runways, settings=settings)
