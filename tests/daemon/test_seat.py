"""A seat: what it hands to bus, voice, logbook and hook, and the rule of thumb in teach mode."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest
import zmq

from otherseat.advisories.engine import Engine
from otherseat.advisories.levels import Call
from otherseat.advisories.speaking import Verbosity
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.feed import Feed
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.seat import Outlets, Seat
from tests.scripted import final, make_plan, make_table

TABLE = make_table()
END = TABLE.end("ZZBB/09L")


class Ear:
    """Remembers what was said."""

    def __init__(self) -> None:
        self.heard: list[str] = []

    def said(self, call: Call, text: str) -> None:
        """Remember."""
        self.heard.append(f"{call.level.word}: {text}")


@pytest.fixture
def feed() -> Iterator[Feed]:
    """Give a feed on a port of its own, with nobody listening."""
    context: zmq.Context[Any] = zmq.Context()
    feed = Feed(context, "tcp://127.0.0.1:*")
    yield feed
    feed.close()
    context.destroy(linger=0)


def make_seat(feed: Feed, ear: Ear, *, teach: bool = False, plan_restored: bool = False) -> Seat:
    """Return a seat that only an ear listens to."""
    settings = read_settings()
    engine = Engine(
        aircraft="own",
        runways=TABLE,
        plan=make_plan(TABLE),
        advisories=plugins.advisories(),
        attention=settings.attention,
    )
    outlets = Outlets(feed=feed, phrasebook=Phrasebook.load(), speaker=None, listener=ear, teach=teach)
    return Seat(engine=engine, outlets=outlets, pictures_per_s=10.0, plan_restored=plan_restored)


def fly_high(seat: Seat) -> None:
    """Fly half a minute 400 ft above the path, in still air."""
    states = final(end=END, distance_nm=5.0, above_path_ft=400.0, seconds=30, indicated_airspeed_kt=86.0)
    for state in states:
        seat.step(state, received_s=state.time_s)


def test_the_first_words_are_the_caution(feed: Feed) -> None:
    """Every session begins by saying what this is for."""
    ear = Ear()
    fly_high(make_seat(feed, ear))

    assert ear.heard[0].startswith("call: Simulation and training only.")
    assert 1 == sum("Simulation and training" in line for line in ear.heard)


@pytest.mark.parametrize("plan_restored", [True, False])
def test_a_plan_from_before_is_told(feed: Feed, *, plan_restored: bool) -> None:
    """Who gave no plan today hears, after the caution, that one is in force and where it leads; else nobody does."""
    ear = Ear()
    seat = make_seat(feed, ear, plan_restored=plan_restored)
    seat.step(next(iter(final(end=END, distance_nm=5.0, seconds=0.0))), received_s=0.0)

    words = "call: Last plan again. ZZBB. Runway 09L."
    assert [words][: int(plan_restored)] == ear.heard[1:2]


@pytest.mark.parametrize(
    "order",
    [lambda seat: seat.set_verbosity(Verbosity.QUIET), lambda seat: seat.switch("altitude", on=False)],
    ids=["verbosity", "switch"],
)
def test_an_order_is_told_soon(feed: Feed, order: Callable[[Seat], object]) -> None:
    """How things stand is due again as soon as an order changed it, and not when the second is over."""
    seat = make_seat(feed, Ear())
    seat.told_s = 12.0
    order(seat)

    assert seat.told_s < 0.0


def test_what_stands_has_the_numbers_of_now(feed: Feed) -> None:
    """An alert that goes on standing is worded with today's height, and tells how much the pilot wants to hear."""
    seat = make_seat(feed, Ear())
    seat.set_verbosity(Verbosity.QUIET)
    told = []
    for state in final(end=END, distance_nm=5.0, above_path_ft=400.0, seconds=40, indicated_airspeed_kt=86.0):
        higher_ft = 10.0 * max(state.time_s - 20.0, 0.0)
        seat.step(replace(state, altitude_ft=(state.altitude_ft or 0.0) + higher_ft), received_s=0.0)
        if state.time_s in {20.0, 40.0}:
            told.append(seat.standing(now_s=3.0))
    before, after = [next(one for one in each.alerts if one.alert == "glidepath-high") for each in told]

    assert before.id == after.id
    assert "400" in before.text
    assert "600" in after.text
    assert [(3.0, Verbosity.QUIET)] * 2 == [(each.age_s, each.verbosity) for each in told]


def test_teach_mode_gives_the_rule_beside_the_exact_number(feed: Feed) -> None:
    """With teach the rule follows in the same breath: 300 ft a mile (common practice, no source)."""
    ear, plain = Ear(), Ear()
    fly_high(make_seat(feed, ear, teach=True))
    fly_high(make_seat(feed, plain))
    taught = next(line for line in ear.heard if "High" in line)

    assert "by 300 makes" in taught
    assert not any("Rule" in line for line in plain.heard)


def test_answers(feed: Feed) -> None:
    """What is asked for is said and returned; what does not arrive is not made up."""
    ear = Ear()
    seat = make_seat(feed, ear)

    assert seat.answer("wind") is None
    fly_high(seat)
    assert "Wind is calm." == seat.answer("wind")
    assert (seat.answer("path") or "").startswith("High, 400.")
    assert (seat.answer("airspeed") or "").startswith("True airspeed 89. By rule of thumb.")
    assert any("True airspeed 89" in line for line in ear.heard)


def test_tuning_at_run_time(feed: Feed) -> None:
    """Quiet lets advice pass unsaid; a check switched off says nothing; an unknown one is refused."""
    ear = Ear()
    seat = make_seat(feed, ear)
    seat.set_verbosity(Verbosity.QUIET)

    assert not seat.switch("glidepaths", on=False)
    assert seat.switch("glidepath", on=False)
    fly_high(seat)
    assert [] == [line for line in ear.heard if "High" in line]
    assert "switched off" == seat.engine.live()["glidepath"]


def test_a_state_on_which_the_engine_fails_costs_only_itself(feed: Feed, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is counted, it does not count as heard, and the next state is taken as ever."""
    ear = Ear()
    seat = make_seat(feed, ear)
    first, second, third = list(final(end=END, distance_nm=5.0, seconds=0.5))
    seat.step(first, received_s=1.0)
    with monkeypatch.context() as broken:
        broken.setattr(seat.engine, "step", lambda _state: 1 / 0)
        assert seat.step(second, received_s=2.0) is None
    heard_s = seat.received_s

    assert seat.step(third, received_s=3.0) is not None
    assert (1.0, 1, 3.0) == (heard_s, seat.faults, seat.received_s)


def test_what_is_urgent_leaves_first(feed: Feed, monkeypatch: pytest.MonkeyPatch) -> None:
    """An alert leaves before the state that it came of, the picture behind both; without one there are only these."""
    sent: list[str] = []
    monkeypatch.setattr(feed, "publish", lambda kind, *_: sent.append(str(kind)))
    seat = make_seat(feed, Ear())
    for state in final(end=END, distance_nm=5.0, above_path_ft=400.0, seconds=30):
        seat.step(state, received_s=0.0)

    at = sent.index("alert")
    assert ["state", "picture"] == sent[at - 2 : at]
    after = [kind for kind in sent[at:] if kind in {"alert", "state", "picture"}]
    assert ["alert", "state", "picture"] == after[:3]
