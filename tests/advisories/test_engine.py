"""The engine: needs, jumps, faults, silence, and the same thing twice."""

import json
from collections.abc import Iterable
from dataclasses import asdict, replace

import pytest

from otherseat.advisories import glidepath
from otherseat.advisories.advisory import Advisory, NeedsError, Params
from otherseat.advisories.attention import AttentionSettings, Policy
from otherseat.advisories.engine import BENCHED, SILENCE, Engine, EngineError, is_jump
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from tests.scripted import final, make_plan, make_table, straight

TABLE = make_table()
END = TABLE.end("ZZBB/09L")


def make_engine(*, advisories: Iterable[Advisory] | None = None, **plan: object) -> Engine:
    """Return an engine with every built-in advisory, or with those given."""
    return Engine(
        aircraft="own",
        runways=TABLE,
        plan=make_plan(TABLE, **plan),
        advisories=plugins.advisories() if advisories is None else advisories,
        attention=read_settings().attention,
    )


def run(engine: Engine, states: Iterable[State]) -> list[tuple[float, str, str, str]]:
    """Return (time, change, level, alert) of every change."""
    return [
        (alert.time_s, alert.change.value, alert.level.word, alert.alert)
        for state in states
        for alert in engine.step(state).alerts
    ]


class Broken:
    """An advisory that raises."""

    def __init__(self, _params: Params) -> None:
        self.asked = 0

    def look(self, *, altitude_ft: float) -> Iterable[Finding]:
        """Raise."""
        raise ZeroDivisionError(altitude_ft)


class Needy:
    """An advisory with one need and one wish."""

    def __init__(self, _params: Params) -> None:
        self.seen: list[tuple[float, float | None]] = []

    def look(self, *, pitch_deg: float, bank_deg: float | None = None) -> Iterable[Finding]:
        """Remember what came, and find something."""
        self.seen.append((pitch_deg, bank_deg))
        return [Finding(alert="needy", level=Level.ADVICE, amount=2.0, phrase="needy")]


def make_advisory(kind: type) -> Advisory:
    """Return a test's advisory."""
    name = kind.__name__.lower()
    return Advisory(name=name, alerts=(name,), params=Params, make=kind)


def test_on_path_says_nothing() -> None:
    """A final flown on the path, on the planned runway, raises nothing at all."""
    assert [] == run(make_engine(), final(end=END, distance_nm=6.0, seconds=220))


def test_high_on_path() -> None:
    """400 ft above a 3 deg path at 5 NM is advice, and a caution when it stays as the runway nears."""
    changes = run(make_engine(), final(end=END, distance_nm=5.0, above_path_ft=400.0, seconds=90))

    assert [("raised", "advice", "glidepath-high"), ("changed", "caution", "glidepath-high")] == [
        change[1:] for change in changes
    ]


def test_low_on_path() -> None:
    """250 ft below it is a caution at once."""
    changes = run(make_engine(), final(end=END, distance_nm=5.0, above_path_ft=-250.0, seconds=20))

    assert [("raised", "caution", "glidepath-low")] == [change[1:] for change in changes]


def test_wrong_parallel() -> None:
    """A final to the parallel is seen while there is time to change over."""
    states = final(end=TABLE.end("ZZBB/09R"), distance_nm=5.0, seconds=60)
    changes = run(make_engine(), states)

    assert [("raised", "caution", "wrong-runway-arrival")] == [change[1:] for change in changes]


def test_destination_passed_and_turned_back() -> None:
    """Sailing past escalates level by level; flying back clears it."""
    out = list(
        straight(
            latitude_deg=10.0,
            longitude_deg=20.45,
            track_true_deg=90.0,
            groundspeed_kt=120.0,
            altitude_ft=4_000.0,
            seconds=300,
            rate_hz=2,
        )
    )
    back = straight(
        latitude_deg=out[-1].latitude_deg or 0.0,
        longitude_deg=out[-1].longitude_deg or 0.0,
        track_true_deg=270.0,
        groundspeed_kt=120.0,
        altitude_ft=4_000.0,
        seconds=30,
        from_s=out[-1].time_s + 0.5,
    )
    changes = run(make_engine(destination="ZZBB"), [*out, *back])

    assert [
        ("raised", "advice"),
        ("changed", "caution"),
        ("changed", "warning"),
        ("cleared", "warning"),
    ] == [change[1:3] for change in changes if change[3] == "destination-passed"]


def test_a_missing_need_keeps_an_advisory_quiet_and_says_so() -> None:
    """It is not asked without what it needs, is asked without what it only wishes for, and `live` tells which."""
    engine = make_engine(advisories=[make_advisory(Needy)])
    engine.step(State(time_s=0.0, altitude_ft=100.0))
    lacking = engine.live()
    engine.step(State(time_s=1.0, pitch_deg=2.0))

    assert {"needy": "lacks pitch_deg"} == lacking
    assert {"needy": "live"} == engine.live()


def test_an_alert_clears_when_its_data_stops() -> None:
    """What can no longer be seen no longer stands."""
    engine = make_engine(advisories=[make_advisory(Needy)])
    states = [State(time_s=float(t), pitch_deg=1.0) for t in range(5)] + [State(time_s=float(t)) for t in range(5, 10)]

    assert [(2.0, "raised"), (7.0, "cleared")] == [change[:2] for change in run(engine, states)]


def test_unknown_needs_are_refused_at_the_start() -> None:
    """A parameter that names no field of the vocabulary is an error before anything flies."""

    class Odd:
        def __init__(self, _params: Params) -> None: ...

        def look(self, *, altitude_m: float) -> Iterable[Finding]:
            return [Finding(alert="odd", level=Level.ADVICE, amount=altitude_m, phrase="odd")]

    class Positional:
        def __init__(self, _params: Params) -> None: ...

        def look(self, altitude_ft: float) -> Iterable[Finding]:
            return [Finding(alert="odd", level=Level.ADVICE, amount=altitude_ft, phrase="odd")]

    with pytest.raises(NeedsError, match="nothing is called altitude_m"):
        make_engine(advisories=[make_advisory(Odd)])
    with pytest.raises(NeedsError, match="must be keyword-only"):
        make_engine(advisories=[make_advisory(Positional)])


class Flapping(Broken):
    """An advisory that raises at every other state."""

    def look(self, *, altitude_ft: float) -> Iterable[Finding]:
        """Raise, or find nothing."""
        self.asked += 1
        return [] if self.asked % 2 else super().look(altitude_ft=altitude_ft)


def test_a_plugin_that_raises_now_and_then_is_benched_too() -> None:
    """Four good answers make up for one fault: every other state is too often, every tenth would not be."""
    engine = make_engine(advisories=[make_advisory(Flapping)])
    for state in final(end=END, distance_nm=6.0, seconds=10):
        engine.step(state)

    assert {"flapping": "benched after faults"} == engine.live()


def test_a_plugin_that_raises_is_benched_and_the_rest_go_on() -> None:
    """Three faults in a row bench it; a caution says so; the others still find what they find."""
    engine = make_engine(advisories=[make_advisory(Broken), glidepath.ADVISORY])
    outcomes = [engine.step(state) for state in final(end=END, distance_nm=5.0, above_path_ft=-300.0, seconds=10)]
    faults = [fault for outcome in outcomes for fault in outcome.faults]
    raised = {alert.alert: alert.level for outcome in outcomes for alert in outcome.alerts}

    assert [False, False, True] == [fault.benched for fault in faults]
    assert Level.CAUTION is raised[BENCHED]
    assert "glidepath-low" in raised
    assert "benched after faults" == engine.live()["broken"]


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        pytest.param({"time_s": 100.1}, False, id="next-state"),
        pytest.param({"time_s": 99.8}, False, id="a-little-late"),
        pytest.param({"time_s": 0.0}, True, id="restarted"),
        pytest.param({"time_s": 140.0}, True, id="long-gap"),
        pytest.param({"time_s": 100.1, "latitude_deg": 10.1}, True, id="moved-elsewhere"),
        pytest.param({"time_s": 120.0, "latitude_deg": 10.05}, False, id="far-but-possible"),
        pytest.param({"time_s": 100.1, "latitude_deg": None}, False, id="no-position"),
    ],
)
def test_what_is_a_jump(after: dict[str, float], expected: bool) -> None:  # noqa: FBT001 - a table's column
    """Time or place that changes as no flight does is a jump."""
    before = State(time_s=100.0, latitude_deg=10.0, longitude_deg=20.0)

    assert expected is is_jump(before=before, after=replace(before, **after))


def test_a_jump_forgets_without_a_word() -> None:
    """After a reposition what stood is cleared, and nothing nonsensical is raised."""
    engine = make_engine()
    run(engine, final(end=END, distance_nm=5.0, above_path_ft=-300.0, seconds=10))
    outcomes = [engine.step(state) for state in final(end=END, distance_nm=9.0, seconds=20, from_s=1_000.0)]

    assert outcomes[0].jumped
    assert ["cleared"] == [alert.change.value for outcome in outcomes for alert in outcome.alerts]
    assert () == tuple(call for outcome in outcomes for call in outcome.calls)


def test_silence_is_raised_and_cleared() -> None:
    """Blindness is a caution; it ends when states come again, and leaves the other alerts alone."""
    engine = make_engine()
    states = list(final(end=END, distance_nm=5.0, above_path_ft=-300.0, seconds=10))
    run(engine, states)
    said = engine.blind(time_s=12.5, silent_s=2.5)
    still = {alert.alert for alert in engine.attention.standing}
    later = [replace(state, time_s=state.time_s + 13.0) for state in states[:10]]
    cleared = run(engine, later)

    assert [(SILENCE, Level.CAUTION)] == [(alert.alert, alert.level) for alert in said.alerts]
    assert {SILENCE, "glidepath-low"} == still
    assert [("cleared", SILENCE)] == [(change[1], change[3]) for change in cleared if change[3] == SILENCE]


def test_the_same_states_give_the_same_alerts_byte_for_byte() -> None:
    """Nothing in the engine depends on anything but what comes in."""
    states = list(final(end=TABLE.end("ZZBB/09R"), distance_nm=5.0, above_path_ft=300.0, seconds=120))

    def transcribe() -> bytes:
        engine = make_engine()
        outcomes = [engine.step(state) for state in states]
        told = [[asdict(a) for a in o.alerts] + [asdict(c) for c in o.calls] for o in outcomes]
        return json.dumps(told, sort_keys=True).encode()

    first = transcribe()

    assert b"wrong-runway-arrival" in first
    assert first == transcribe()


@pytest.mark.parametrize(
    ("rate_hz", "thoughts"),
    [
        pytest.param(4.0, 41, id="slow"),
        pytest.param(20.0, 201, id="twenty"),
        pytest.param(60.0, 201, id="sixty"),
        pytest.param(500.0, 218, id="five-hundred"),
    ],
)
def test_some_twenty_states_a_second_are_thought_about(rate_hz: float, thoughts: int) -> None:
    """A state that comes too soon after the last is passed over, by the states' own times."""
    engine = make_engine()
    states = list(final(end=END, distance_nm=5.0, seconds=10, rate_hz=rate_hz))
    outcomes = [engine.step(state) for state in states]

    assert thoughts == sum(outcome.thought for outcome in outcomes)
    assert {state.time_s for state, outcome in zip(states, outcomes, strict=True) if outcome.thought} == {
        outcome.picture.time_s for outcome in outcomes
    }
    assert not any(outcome.alerts or outcome.calls for outcome in outcomes if not outcome.thought)


@pytest.mark.parametrize("rate_hz", [20.0, 60.0, 240.0])
def test_a_fast_sender_changes_no_advice(rate_hz: float) -> None:
    """At any rate the same alerts are raised and cleared, within two tenths of a second."""

    def changes(rate_hz: float) -> list[tuple[float, str, str, str]]:
        states = final(end=TABLE.end("ZZBB/09R"), distance_nm=5.0, above_path_ft=300.0, seconds=60, rate_hz=rate_hz)
        return run(make_engine(), states)

    usual, fast = changes(4.0), changes(rate_hz)

    assert usual
    assert [change[1:] for change in usual] == [change[1:] for change in fast]
    assert [change[0] for change in usual] == pytest.approx([change[0] for change in fast], abs=0.3)


def test_a_clock_that_stands_still_or_goes_back_is_no_fast_sender() -> None:
    """A paused simulator and one that starts again are thought about at every state."""
    engine = make_engine()
    here = next(iter(final(end=END, distance_nm=5.0, seconds=1)))
    times_s = (100.0, 100.0, 99.98, 99.98, 5.0)

    assert [True] * 5 == [engine.step(replace(here, time_s=time_s)).thought for time_s in times_s]


def test_a_new_plan_is_thought_about_at_once() -> None:
    """The state after a change of plan is never passed over."""
    engine = make_engine()
    first, *_, last = final(end=END, distance_nm=5.0, seconds=0.02, rate_hz=60.0)
    engine.step(first)
    engine.set_plan(make_plan(TABLE))

    assert engine.step(last).thought


def test_settings_that_fit_no_advisory_are_refused() -> None:
    """A misspelt advisory, a misspelt threshold and one out of bounds are errors that name the key."""
    for params, message in (
        ({"glidepaths": {}}, "no advisory is called glidepaths"),
        ({"glidepath": {"hihg_deg": 1.0}}, r"advisories.glidepath.hihg_deg"),
        ({"glidepath": {"high_deg": -1.0}}, r"advisories.glidepath.high_deg"),
    ):
        with pytest.raises(EngineError, match=message):
            Engine(
                aircraft="own",
                runways=TABLE,
                plan=make_plan(TABLE),
                advisories=plugins.advisories(),
                params=params,  # type: ignore[arg-type]  # wrong on purpose
            )


def test_thresholds_come_from_the_settings() -> None:
    """A limit of one's own changes what is seen."""
    engine = Engine(
        aircraft="own",
        runways=TABLE,
        plan=make_plan(TABLE),
        advisories=[glidepath.ADVISORY],
        params={"glidepath": {"high_deg": 3.0}},
        attention=AttentionSettings(default=Policy(hold_s=0.0)),
    )

    assert [] == run(engine, final(end=END, distance_nm=5.0, above_path_ft=400.0, seconds=30))


def test_each_aircraft_has_its_own_memory() -> None:
    """Two engines do not share what they remember."""
    high, fine = make_engine(), make_engine()
    run(high, final(end=END, distance_nm=5.0, above_path_ft=600.0, seconds=20))

    assert [] == run(fine, final(end=END, distance_nm=5.0, seconds=20))
    assert 1 == len(high.attention.standing)
