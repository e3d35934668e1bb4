"""Speaking over time: verbosity, quiet bands, workload, grouping, and nothing that is no longer true."""

from collections.abc import Collection

import pytest

from otherseat.advisories.levels import Call, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.speaking import (
    BY_LEVEL,
    Band,
    Situation,
    Speaking,
    SpeakingSettings,
    Verbosity,
    Wish,
)
from otherseat.config.settings import read_settings

CRUISE = Situation(phase=Phase.CRUISE, height_ft=4_000.0, groundspeed_kt=110.0)
FLARE = Situation(phase=Phase.FINAL, height_ft=30.0, groundspeed_kt=60.0)
ROLL = Situation(phase=Phase.TAKE_OFF, height_ft=0.0, groundspeed_kt=55.0)


def wish(
    name: str,
    level: Level = Level.CAUTION,
    *,
    time_s: float = 0.0,
    group: str | None = None,
    expires_s: float | None = None,
    verbosity: Verbosity | None = None,
) -> Wish:
    """Return a wish; its alert is NAME.1, a routine call has none."""
    alert_id = None if level is Level.CALL else f"{name}.1"
    call = Call(
        time_s=time_s, aircraft="own", level=level, phrase=name, values={}, alert_id=alert_id, expires_s=expires_s
    )
    return Wish(call=call, name=name, group=group, verbosity=verbosity or BY_LEVEL[level])


def step(
    speaking: Speaking,
    time_s: float,
    *wishes: Wish,
    situation: Situation = CRUISE,
    gone: Collection[str] = (),
) -> list[str]:
    """Return what is said: the phrases of each call, joined by + when in one breath."""
    calls = speaking.step(
        time_s=time_s, situation=situation, wishes=wishes, stands=lambda alert_id: alert_id not in gone
    )
    return ["+".join([call.phrase, *(part.phrase for part in call.also)]) for call in calls]


@pytest.mark.parametrize(
    ("verbosity", "expected"),
    [
        (Verbosity.QUIET, ["warn", "care"]),
        (Verbosity.NORMAL, ["warn", "care", "hint", "number"]),
        (Verbosity.TALKATIVE, ["warn", "care", "hint", "number", "chat"]),
    ],
)
def test_verbosity(verbosity: Verbosity, expected: list[str]) -> None:
    """Each setting lets through what the one before does, and more; the most serious comes first."""
    wishes = [
        wish("number", Level.CALL),
        wish("chat", Level.CALL, time_s=0.1, verbosity=Verbosity.TALKATIVE),
        wish("hint", Level.ADVICE),
        wish("care", Level.CAUTION),
        wish("warn", Level.WARNING),
    ]

    assert expected == step(Speaking(SpeakingSettings(verbosity=verbosity)), 0.0, *wishes)


@pytest.mark.parametrize("situation", [FLARE, ROLL])
def test_quiet_bands(situation: Situation) -> None:
    """In the flare and on the take-off roll only warnings speak; the rest is said afterwards if it still stands."""
    speaking = Speaking(read_settings().attention.speaking)
    during = step(speaking, 0.0, wish("care"), wish("gone"), wish("warn", Level.WARNING), situation=situation)
    after = step(speaking, 20.0, gone=["gone.1"])

    assert ["warn"] == during
    assert ["care"] == after


def test_a_band_needs_its_height_and_speed() -> None:
    """Without a height nobody knows whether it is the flare, so it is not taken for it."""
    band = Band(phases=frozenset({Phase.FINAL}), below_ft=60.0)
    speaking = Speaking(SpeakingSettings(bands=(band,)))
    unknown = Situation(phase=Phase.FINAL, height_ft=None, groundspeed_kt=None)

    assert ["care"] == step(speaking, 0.0, wish("care"), situation=unknown)


def test_workload() -> None:
    """Beyond so many calls a minute the rest waits until there is room; a warning never waits."""
    speaking = Speaking(SpeakingSettings(calls_per_minute=2))
    first = step(speaking, 0.0, wish("a"), wish("b", time_s=0.1), wish("c", time_s=0.2), wish("w", Level.WARNING))
    later = [step(speaking, time_s) for time_s in (30.0, 59.9, 60.0)]

    assert ["w", "a", "b"] == first
    assert [[], [], ["c"]] == later


def test_advice_that_waited_too_long_is_not_said() -> None:
    """What was put off past its time dies."""
    speaking = Speaking(SpeakingSettings(calls_per_minute=1))
    step(speaking, 0.0, wish("a"), wish("hint", Level.ADVICE, expires_s=8.0))

    assert [] == step(speaking, 60.0)


def test_nothing_is_said_that_is_no_longer_true() -> None:
    """A wish whose alert has cleared goes."""
    speaking = Speaking(SpeakingSettings(group_wait_s=1.0))
    step(speaking, 0.0, wish("high", group="approach"))

    assert [] == step(speaking, 1.0, gone=["high.1"])


def test_what_belongs_together_is_one_sentence() -> None:
    """Things of one group that come within the wait are said in one breath, the most serious first."""
    speaking = Speaking(SpeakingSettings(group_wait_s=1.0))
    said = [
        step(speaking, 0.0, wish("left", Level.ADVICE, group="approach")),
        step(speaking, 0.5, wish("high", Level.CAUTION, time_s=0.5, group="approach")),
        step(speaking, 0.8, wish("other", time_s=0.8)),
        step(speaking, 1.0, wish("fast", Level.ADVICE, time_s=1.0, group="approach")),
        step(speaking, 5.0),
    ]

    assert [[], [], ["other"], ["high+left+fast"], []] == said


def test_a_warning_does_not_wait_for_its_fellows() -> None:
    """It speaks at once and takes along whatever of its group waits."""
    speaking = Speaking(SpeakingSettings(group_wait_s=1.0))
    step(speaking, 0.0, wish("left", Level.ADVICE, group="approach"))

    assert ["low+left"] == step(speaking, 0.2, wish("low", Level.WARNING, time_s=0.2, group="approach"))


def test_a_newer_wish_replaces_the_older() -> None:
    """While it waits, only the latest of one alert is kept."""
    speaking = Speaking(SpeakingSettings(group_wait_s=1.0))
    step(speaking, 0.0, wish("high", group="approach"))
    step(speaking, 0.5, wish("high", Level.WARNING, time_s=0.5, group="approach"))

    assert [] == step(speaking, 2.0)
