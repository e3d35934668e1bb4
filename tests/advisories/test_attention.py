"""Attention over time: who may speak, when, and how often."""

from collections.abc import Iterable

import pytest

from otherseat.advisories.attention import Attention, AttentionSettings, Policy
from otherseat.advisories.levels import Change, Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.speaking import Situation

ALERT = "too-something"
Row = tuple[str, ...]


def attention(**policy: object) -> Attention:
    """Return an attention with one policy, hold and clear 2 s unless said otherwise."""
    own = Policy.model_validate({"hold_s": 2.0, "clear_s": 2.0, "margin": 0.2, **policy})
    return Attention(aircraft="own", settings=AttentionSettings(alerts={ALERT: own}))


def seen(amount: float, level: Level = Level.CAUTION, alert: str = ALERT) -> Finding:
    """Return a finding."""
    return Finding(alert=alert, level=level, amount=amount, phrase=alert, values={"n": amount})


def in_phase(phase: Phase) -> Situation:
    """Return a situation well away from every quiet band."""
    return Situation(phase=phase, height_ft=1_000.0, groundspeed_kt=80.0)


def run(
    desk: Attention, timeline: Iterable[tuple[float, Finding | None]], phase: Phase = Phase.FINAL
) -> tuple[list[Row], list[Row]]:
    """Return (time, change, level) of every change and (time, level, phrase, repeat) of every call."""
    changes, calls = [], []
    for time_s, finding in timeline:
        said = desk.step(
            time_s=time_s,
            situation=in_phase(phase),
            findings=[] if finding is None else [finding],
            watched=[ALERT, "other"],
        )
        changes += [(f"{a.time_s:g}", a.change.value, a.level.word) for a in said.alerts]
        calls += [(f"{c.time_s:g}", c.level.word, c.phrase, str(c.repeat)) for c in said.calls]
    return changes, calls


def every_second(seconds: range, finding: Finding | None) -> list[tuple[float, Finding | None]]:
    """Return one finding at every second."""
    return [(float(second), finding) for second in seconds]


def test_raised_said_and_cleared_once() -> None:
    """A finding that lasts is raised after its hold, said once, and cleared after it has gone for long enough."""
    timeline = every_second(range(10), seen(1.5)) + every_second(range(10, 20), seen(0.0))
    changes, calls = run(attention(), timeline)

    assert [("2", "raised", "caution"), ("12", "cleared", "caution")] == changes
    assert [("2", "caution", ALERT, "0")] == calls


def test_a_finding_that_no_longer_comes_is_gone() -> None:
    """An advisory that can't see any more has nothing standing."""
    changes, _ = run(attention(), every_second(range(4), seen(1.5)) + every_second(range(4, 8), None))

    assert [("2", "raised", "caution"), ("6", "cleared", "caution")] == changes


@pytest.mark.parametrize(
    ("level", "expected"),
    [
        (Level.WARNING, [2, 7, 12, 17, 22, 27, 32, 37, 42]),
        (Level.CAUTION, [2, 22, 42]),
        (Level.ADVICE, [2]),
    ],
)
def test_repeats_by_level(level: Level, expected: list[int]) -> None:
    """A warning repeats every 5 s, a caution every 20 s, advice never."""
    _, calls = run(attention(), every_second(range(45), seen(1.5, level)))

    assert expected == [int(call[0]) for call in calls]


def test_whoever_mends_it_is_left_in_peace() -> None:
    """A caution that gets better is not repeated; once it stops getting better it is."""
    timeline: list[tuple[float, Finding | None]] = [(float(s), seen(4.0 - 0.1 * min(s, 24))) for s in range(70)]
    _, calls = run(attention(), timeline)

    assert ["2", "62"] == [call[0] for call in calls]


def test_a_higher_level_is_said_at_once_and_a_lower_one_is_not() -> None:
    """Rising speaks again after its hold; falling only changes the alert."""
    timeline = (
        every_second(range(5), seen(1.5, Level.ADVICE))
        + every_second(range(5, 10), seen(3.0, Level.WARNING))
        + every_second(range(10, 20), seen(1.5, Level.ADVICE))
    )
    changes, calls = run(attention(), timeline)

    assert [("2", "raised", "advice"), ("7", "changed", "warning"), ("12", "changed", "advice")] == changes
    assert [("2", "advice"), ("7", "warning")] == [call[:2] for call in calls]


def test_a_moment_of_a_higher_level_says_nothing() -> None:
    """One gust across the next limit does not escalate."""
    timeline = [
        *every_second(range(5), seen(1.5)),
        (5.0, seen(3.0, Level.WARNING)),
        *every_second(range(6, 9), seen(1.5)),
    ]
    changes, _ = run(attention(), timeline)

    assert [("2", "raised", "caution")] == changes


def test_acknowledged_is_quiet_until_it_gets_worse() -> None:
    """Acknowledgement ends the repeats; a higher level ends the acknowledgement."""
    desk = attention()
    run(desk, every_second(range(5), seen(1.5)))
    acknowledged = desk.acknowledge(alert_id=f"{ALERT}.1", time_s=5.0)
    _, quiet = run(desk, every_second(range(5, 60), seen(1.5)))
    changes, calls = run(desk, every_second(range(60, 69), seen(3.0, Level.WARNING)))

    assert acknowledged is not None
    assert Change.ACKNOWLEDGED is acknowledged.change
    assert [] == quiet
    assert [("62", "changed", "warning")] == changes
    assert ["62", "67"] == [call[0] for call in calls]
    assert not desk.standing[0].acknowledged


def test_acknowledging_what_does_not_stand_is_nothing() -> None:
    """An unknown id is no alert."""
    assert attention().acknowledge(alert_id="nothing.1", time_s=0.0) is None


def test_muted_raises_but_does_not_speak() -> None:
    """Mute quietens the voice and hides nothing."""
    desk = attention()
    desk.muted = True
    changes, calls = run(desk, every_second(range(10), seen(2.0, Level.WARNING)))

    assert [("2", "raised", "warning")] == changes
    assert [] == calls


def test_phases_inhibit_and_clear_without_a_word() -> None:
    """Outside its phases an alert neither rises nor stands, and its end is not praised."""
    desk = attention(phases=["final"], say_cleared=True)
    elsewhere, _ = run(desk, every_second(range(10), seen(2.0)), phase=Phase.CRUISE)
    run(desk, every_second(range(10, 15), seen(2.0)))
    changes, calls = run(desk, every_second(range(15, 20), seen(2.0)), phase=Phase.LANDED)

    assert [] == elsewhere
    assert [("15", "cleared", "caution")] == changes
    assert [] == calls


def test_mended_is_said_when_asked_for() -> None:
    """An alert that is mended says so when its policy has it."""
    timeline = every_second(range(5), seen(2.0)) + every_second(range(5, 10), seen(0.1))
    _, calls = run(attention(say_cleared=True), timeline)

    assert [("2", "caution", ALERT, "0"), ("7", "call", f"{ALERT}.cleared", "0")] == calls


def test_jump_clears_everything_silently() -> None:
    """After a jump nothing stands, and the same alert must be held again."""
    desk = attention()
    run(desk, every_second(range(5), seen(2.0)))

    assert [Change.CLEARED] == [alert.change for alert in desk.forget(time_s=5.0)]
    assert () == desk.standing
    assert [("102", "raised", "caution")] == run(desk, every_second(range(100, 104), seen(2.0)))[0]


def test_ids_are_unique() -> None:
    """The second time the same thing goes wrong it is another alert."""
    desk = attention(hold_s=0.0, clear_s=0.0)
    ids = []
    for time_s, amount in ((0.0, 2.0), (1.0, 0.0), (2.0, 2.0)):
        said = desk.step(time_s=time_s, situation=in_phase(Phase.FINAL), findings=[seen(amount)], watched=[ALERT])
        ids += [alert.id for alert in said.alerts if alert.change is Change.RAISED]

    assert [f"{ALERT}.1", f"{ALERT}.2"] == ids


def test_the_most_serious_comes_first() -> None:
    """Of two things to say in one step, the more serious one leads."""
    desk = Attention(aircraft="own", settings=AttentionSettings(default=Policy(hold_s=0.0)))
    said = desk.step(
        time_s=0.0,
        situation=in_phase(Phase.FINAL),
        findings=[seen(2.0, Level.ADVICE), seen(2.0, Level.WARNING, "other")],
        watched=[ALERT, "other"],
    )

    assert [Level.WARNING, Level.ADVICE] == [call.level for call in said.calls]


def test_advice_expires_and_a_warning_does_not() -> None:
    """Advice carries the time after which it is stale."""
    desk = Attention(aircraft="own", settings=AttentionSettings(default=Policy(hold_s=0.0), advice_expires_s=8.0))
    said = desk.step(
        time_s=1.0,
        situation=in_phase(Phase.FINAL),
        findings=[seen(2.0, Level.ADVICE), seen(2.0, Level.WARNING, "other")],
        watched=[ALERT, "other"],
    )

    assert [None, 9.0] == [call.expires_s for call in said.calls]


def test_going_back_in_time_does_not_speak_again() -> None:
    """A little step back in time, as simulators make, raises nothing new."""
    desk = attention()
    run(desk, every_second(range(5), seen(2.0)))
    changes, calls = run(desk, [(4.2, seen(2.0)), (4.3, seen(2.0))])

    assert ([], []) == (changes, calls)


@pytest.mark.parametrize(
    ("policy", "expected"),
    [
        pytest.param({}, "7", id="as-long-as-the-hold"),
        pytest.param({"rise_s": 0.0}, "5", id="at-once"),
        pytest.param({"rise_s": 1.0}, "6", id="its-own"),
    ],
)
def test_the_level_rises_after_its_own_hold(policy: dict[str, object], expected: str) -> None:
    """An alert that stands rises after rise_s, or after hold_s when nothing else is said."""
    timeline = every_second(range(5), seen(1.5)) + every_second(range(5, 10), seen(1.5, Level.WARNING))
    changes, _ = run(attention(**policy), timeline)

    assert [("2", "raised", "caution"), (expected, "changed", "warning")] == changes
