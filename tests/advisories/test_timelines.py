"""Every alert of every advisory over time, under the packaged policy.

Held, raised, cleared, inhibited, missing data, jump, pause.
"""

from collections.abc import Iterable

import pytest

from otherseat.advisories.advisory import Advisory, Looker, Needs
from otherseat.advisories.attention import Attention
from otherseat.advisories.levels import Finding
from otherseat.advisories.picture import Phase
from otherseat.advisories.speaking import Situation, Verbosity
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from tests.advisories.rows import ROWS, Row, Values

ADVISORIES: dict[str, Advisory] = {advisory.name: advisory for advisory in plugins.advisories()}
SETTINGS = read_settings().attention
STEP_S = 0.5

every_row = pytest.mark.parametrize("row", ROWS, ids=lambda row: row.alert)


class Watcher:
    """One advisory and the attention that judges it."""

    def __init__(self, row: Row) -> None:
        self.row = row
        self.advisory = ADVISORIES[row.advisory]
        self.looker: Looker = self.advisory.make(self.advisory.params())
        self.needs = Needs.of(name=row.advisory, look=self.looker.look)
        self.attention = Attention(aircraft="own", settings=SETTINGS)
        self.attention.speaking.verbosity = Verbosity.TALKATIVE
        self.time_s = 0.0
        for before in row.before:
            self.step({**row.well, **before})

    def look(self, values: Values) -> Iterable[Finding]:
        """Return what the advisory sees, as the engine asks it: not at all while a need is missing."""
        given = {
            name: values.get(name, self.time_s if name == "time_s" else None)
            for name in self.needs.required + self.needs.optional
        }
        given = {name: value for name, value in given.items() if value is not None}
        if set(self.needs.required) - set(given):
            return []
        return list(self.looker.look(**given))

    def step(self, values: Values, *, seconds: float = STEP_S) -> list[str]:
        """Let the time pass, and return what happened to this row's alert: raised, cleared, said."""
        phase = values["phase"]
        assert isinstance(phase, Phase)
        said = self.attention.step(
            time_s=self.time_s,
            situation=Situation(phase=phase, height_ft=700.0, groundspeed_kt=60.0),
            findings=self.look(values),
            watched=self.advisory.alerts,
        )
        self.time_s += seconds
        happened = [f"{a.change.value} {a.level.word}" for a in said.alerts if a.alert == self.row.alert]
        calls = [call for call in said.calls if call.alert_id is None and call.phrase == self.row.alert]
        return happened + ["said"] * len(calls)

    def until(self, values: Values, *, seconds: float) -> list[tuple[float, str]]:
        """Step for so long, and return what happened and when, from the beginning of this stretch."""
        began_s, happened = self.time_s, []
        while self.time_s - began_s <= seconds:
            now_s = self.time_s - began_s
            happened += [(now_s, what) for what in self.step(values)]
        return happened


def expected_of(row: Row) -> str:
    """Return what raising this row's alert looks like."""
    return "said" if row.level == "call" else f"raised {row.level}"


def test_every_alert_has_a_row() -> None:
    """No alert of any built-in advisory is left out of this table."""
    assert {(a.name, alert) for a in ADVISORIES.values() for alert in a.alerts} == {(r.advisory, r.alert) for r in ROWS}


@every_row
def test_raised_after_its_hold_and_not_before(row: Row) -> None:
    """What is wrong is raised, or said, once its hold is over: at the first step then, and only once."""
    hold_s = SETTINGS.policy(row.alert).hold_s
    happened = Watcher(row).until({**row.well, **row.wrong}, seconds=hold_s + 3.0)

    assert [expected_of(row)] == [what for _, what in happened]
    assert hold_s <= happened[0][0] <= hold_s + SETTINGS.speaking.group_wait_s + STEP_S


@every_row
def test_not_raised_while_all_is_well(row: Row) -> None:
    """Nothing happens while nothing is wrong."""
    assert [] == Watcher(row).until(row.well, seconds=SETTINGS.policy(row.alert).hold_s + 5.0)


@every_row
def test_cleared_when_mended(row: Row) -> None:
    """Once mended it clears after its time; a routine call just ends."""
    watcher = Watcher(row)
    policy = SETTINGS.policy(row.alert)
    watcher.until({**row.well, **row.wrong}, seconds=policy.hold_s + 2.0)
    happened = watcher.until(row.well, seconds=policy.clear_s + 6.0)

    assert ([] if row.level == "call" else [f"cleared {row.level}"]) == [what for _, what in happened]


@every_row
def test_a_moment_is_not_enough(row: Row) -> None:
    """What lasts less than the hold is never raised."""
    hold_s = SETTINGS.policy(row.alert).hold_s
    if hold_s < 2 * STEP_S or row.moment:
        pytest.skip("speaks at once by its policy")
    watcher = Watcher(row)
    watcher.until({**row.well, **row.wrong}, seconds=hold_s - 2 * STEP_S)

    assert [] == watcher.until(row.well, seconds=hold_s + 2.0)


@every_row
def test_inhibited(row: Row) -> None:
    """In a phase in which it makes no sense nothing is raised, however wrong the numbers."""
    hold_s = SETTINGS.policy(row.alert).hold_s

    assert [] == Watcher(row).until({**row.well, **row.wrong, **row.silent}, seconds=hold_s + 5.0)


@every_row
def test_missing_data_clears_it(row: Row) -> None:
    """When a needed number stops coming the alert goes: nobody knows any more."""
    watcher = Watcher(row)
    policy = SETTINGS.policy(row.alert)
    watcher.until({**row.well, **row.wrong}, seconds=policy.hold_s + 2.0)
    happened = watcher.until({"phase": row.well["phase"]}, seconds=policy.clear_s + 2.0)

    assert ([] if row.level == "call" else [f"cleared {row.level}"]) == [what for _, what in happened]


@every_row
def test_a_jump_forgets_it(row: Row) -> None:
    """After a jump nothing stands."""
    watcher = Watcher(row)
    watcher.until({**row.well, **row.wrong}, seconds=SETTINGS.policy(row.alert).hold_s + 2.0)
    forgotten = [alert.alert for alert in watcher.attention.forget(time_s=watcher.time_s)]

    assert ([] if row.level == "call" else [row.alert]) == [alert for alert in forgotten if alert == row.alert]
    assert () == watcher.attention.standing


@every_row
def test_a_pause_raises_nothing(row: Row) -> None:
    """While the simulator's time stands still no hold runs down."""
    if SETTINGS.policy(row.alert).hold_s == 0.0:
        pytest.skip("speaks at once by its policy")
    watcher = Watcher(row)
    happened = [what for _ in range(200) for what in watcher.step({**row.well, **row.wrong}, seconds=0.0)]

    assert [] == happened
