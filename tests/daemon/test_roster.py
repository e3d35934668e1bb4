"""The roster's pace: how often each aircraft is thought about when there are many."""

from collections.abc import Iterator
from typing import Any

import pytest
import zmq

from otherseat.advisories.engine import THINK_EVERY_S
from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import roster as module
from otherseat.daemon.feed import Feed
from otherseat.daemon.flight_file import Order
from otherseat.daemon.logbook import Logbook
from otherseat.daemon.refly import Crew
from otherseat.daemon.roster import Knowledge, Roster, pace_s
from otherseat.daemon.seat import Outlets
from tests.scripted import make_plan, make_table

TABLE = make_table()


class Notes(Logbook):
    """A logbook that remembers orders."""

    def __init__(self) -> None:
        super().__init__(settings=read_settings(over={"recorder": {"on": False}}), runways=TABLE)
        self.orders: list[Order] = []

    def order(self, verb: str, **values: float | str | bool | None) -> None:
        """Remember."""
        self.orders.append(Order(verb=verb, values=values))


@pytest.fixture
def notes() -> Notes:
    """Give a logbook that remembers."""
    return Notes()


@pytest.fixture
def crowd(notes: Notes, monkeypatch: pytest.MonkeyPatch) -> Iterator[Roster]:
    """Give a roster that may think 60 times a second."""
    monkeypatch.setattr(module, "THOUGHTS_PER_S", 60)
    context: zmq.Context[Any] = zmq.Context()
    feed = Feed(context, "tcp://127.0.0.1:*")
    knowledge = Knowledge.of(settings=read_settings(), runways=TABLE, plan=make_plan(TABLE), advisories=())
    outlets = Outlets(feed=feed, phrasebook=knowledge.phrasebook, speaker=None, logbook=notes)
    yield Roster(knowledge=knowledge, outlets=outlets, memory=None)
    feed.close()
    context.destroy(linger=0)


@pytest.mark.parametrize(("aircraft", "expected"), [(1, 1.0), (135, 1.0), (136, 2.0), (271, 4.0), (1_000, 8.0)])
def test_pace(aircraft: int, expected: float) -> None:
    """Up to 135 aircraft think at the full pace; with more the time between thoughts doubles until all fit."""
    assert expected * THINK_EVERY_S == pace_s(aircraft)


def test_a_crowd_is_thought_about_less_often(crowd: Roster, notes: Notes) -> None:
    """With three aircraft where two fit each is thought about half as often, and as often as ever once one is gone."""
    crowd.step(State(time_s=0.0, aircraft="a"), received_s=0.0)
    for name in ("b", "c"):
        crowd.step(State(time_s=0.0, aircraft=name), received_s=0.0)
    slow = [seat.engine.think_every_s for seat in crowd]
    gone = crowd.find("c")
    assert gone is not None
    crowd.retire(gone)

    assert [2 * THINK_EVERY_S] * 3 == slow
    assert [THINK_EVERY_S] * 2 == [seat.engine.think_every_s for seat in crowd]
    assert {("pace", "a"), ("pace", "b"), ("pace", "c")} == {
        (order.verb, order.values["aircraft"]) for order in notes.orders
    }


def test_a_replay_thinks_at_the_pace_that_was_recorded(crowd: Roster, notes: Notes) -> None:
    """What was passed over in the crowd is passed over again."""
    for name in ("a", "b", "c"):
        crowd.step(State(time_s=-1.0, aircraft=name), received_s=0.0)
    crew = Crew(runways=TABLE, settings=read_settings(), advisories=())
    for order in notes.orders:
        crew.obey(order)
    seat = crowd.find("a")
    assert seat is not None
    states = [State(time_s=count * 0.05, aircraft="a") for count in range(40)]
    live = [seat.engine.step(state).thought for state in states]
    again = [crew.step(state).thought for state in states]

    assert live == again
    assert 20 == sum(live)
