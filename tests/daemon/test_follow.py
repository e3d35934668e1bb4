"""What a subscriber makes of the frames that reach it."""

from dataclasses import replace
from typing import Any

import pytest

from otherseat.advisories.levels import Change
from otherseat.advisories.state import State
from otherseat.daemon.follow import Follower, newest_of
from otherseat.daemon.messages import Kind, Message, StandingMessage, topic_of
from otherseat.daemon.packing import encode
from tests.daemon.samples import BODIES, alert

OLD, NEW = "0badcafe", "decade00"


def frame(kind: Kind, body: Any, *, seq: int, session: str = OLD) -> tuple[bytes, bytes]:
    """Return a message's two frames."""
    aircraft = None if kind is Kind.HEALTH else body.aircraft
    return topic_of(kind, aircraft), encode(kind, body, session=session, seq=seq, time_s=1.0)


def standing(*numbers: int, seq: int, session: str = OLD) -> tuple[bytes, bytes]:
    """Return a standing message with these alerts."""
    body = StandingMessage(aircraft="own", alerts=tuple(alert(number) for number in numbers))
    return frame(Kind.STANDING, body, seq=seq, session=session)


def snapshot(*frames: tuple[bytes, bytes]) -> list[tuple[str, bytes]]:
    """Return frames as a snapshot holds them."""
    return [(topic.decode(), packed) for topic, packed in frames]


def changes(messages: list[Message]) -> list[tuple[str, str]]:
    """Return each alert's id and what happened to it."""
    return [(message.body.id, message.body.change.value) for message in messages if message.kind is Kind.ALERT]


def test_a_double_is_dropped() -> None:
    """A frame that came with the snapshot does not come again with the feed."""
    follower = Follower(["state"])
    frames = [frame(Kind.STATE, State(time_s=float(seq)), seq=seq) for seq in (1, 2, 3)]
    told = follower.take_snapshot(session=OLD, frames=snapshot(frames[1]))

    told += [message for one in frames for message in follower.take(*one)]

    assert [2, 3] == [message.seq for message in told]
    assert (0, False) == (follower.lost, follower.behind)


def test_a_gap_is_counted() -> None:
    """What never came is counted by the jump in seq."""
    follower = Follower(["state"])

    for seq in (1, 2, 6, 7):
        follower.take(*frame(Kind.STATE, State(time_s=1.0), seq=seq))

    assert 3 == follower.lost


@pytest.mark.parametrize(("kind", "expected"), [(Kind.STATE, False), (Kind.PLAN, True)])
def test_a_gap_asks_for_a_snapshot_where_it_matters(kind: Kind, *, expected: bool) -> None:
    """A lost state is made up for by the next one; a lost plan is not."""
    follower = Follower([kind])
    follower.take_snapshot(session=OLD, frames=snapshot(frame(kind, BODIES[kind], seq=1)))

    follower.take(*frame(kind, BODIES[kind], seq=3))

    assert expected is follower.behind


def test_numbers_that_go_on_are_no_news() -> None:
    """A standing alert whose words follow the numbers is told once; a change of it is told again."""
    follower = Follower(["alert"])
    worded = [replace(alert(1), text=text) for text in ("High, 400.", "High, 450.")]
    worded.append(replace(worded[1], change=Change.ACKNOWLEDGED, acknowledged=True))
    told = [
        changes(follower.take(*frame(Kind.STANDING, StandingMessage(aircraft="own", alerts=(one,)), seq=seq)))
        for seq, one in enumerate(worded, 1)
    ]

    assert [[("glidepath-high.1", "raised")], [], [("glidepath-high.1", "acknowledged")]] == told


def test_alerts_stand_for_who_comes_late() -> None:
    """A snapshot tells of the alerts that stand, and not of the last one that was cleared."""
    follower = Follower(["alert"])
    past = frame(Kind.ALERT, alert(9, change=Change.CLEARED), seq=12)

    told = follower.take_snapshot(session=OLD, frames=snapshot(past, standing(3, seq=4)))

    assert [("glidepath-high.3", "raised")] == changes(told)


@pytest.mark.parametrize(
    ("past", "told"), [(False, [(3, False)]), (True, [(1, True), (2, True), (3, False)])], ids=["news", "past"]
)
def test_calls_from_before(past: bool, told: list[tuple[int, bool]]) -> None:  # noqa: FBT001 - a parameter
    """Who wants it is told of the calls from before, marked so; nobody is told one twice, or an old one as news."""
    follower = Follower(["call"], past=past)
    frames = [frame(Kind.CALL, BODIES[Kind.CALL], seq=seq) for seq in (1, 2, 3)]

    got = follower.take_snapshot(session=OLD, frames=snapshot(frames[1]), said=snapshot(*frames[:2]))
    got += [message for one in frames for message in follower.take(*one)]

    assert told == [(message.seq, message.past) for message in got]
    assert 0 == follower.lost


def test_a_lost_alert_is_made_up() -> None:
    """An alert whose message was lost is told once, from the standing message."""
    follower = Follower(["alert"])

    told = [message for seq in (1, 2) for message in follower.take(*standing(3, seq=seq))]

    assert [("glidepath-high.3", "raised")] == changes(told)
    assert [0] == [message.seq for message in told]


def test_a_lost_clearing_is_made_up() -> None:
    """An alert that no longer stands is cleared, though the message that said so was lost."""
    follower = Follower(["alert"])
    told = follower.take(*frame(Kind.ALERT, alert(3), seq=1))

    told += follower.take(*standing(seq=1))

    assert [("glidepath-high.3", "raised"), ("glidepath-high.3", "cleared")] == changes(told)


def test_a_standing_alert_that_is_known_is_not_told_again() -> None:
    """Standing messages add nothing for who missed nothing."""
    follower = Follower(["alert"])
    told = follower.take(*frame(Kind.ALERT, alert(3), seq=1))

    told += follower.take(*standing(3, seq=1))

    assert 1 == len(told)


def test_a_new_session_asks_for_a_snapshot() -> None:
    """A daemon that started again is noticed, and its sequences start again."""
    follower = Follower(["state"])
    follower.take_snapshot(session=OLD, frames=snapshot(frame(Kind.STATE, State(time_s=1.0), seq=50)))

    told = follower.take(*frame(Kind.STATE, State(time_s=2.0), seq=1, session=NEW))

    assert [1] == [message.seq for message in told]
    assert follower.behind


def test_alerts_of_a_daemon_that_is_gone_are_cleared() -> None:
    """The snapshot of a new daemon clears what stood with the old one."""
    follower = Follower(["alert"])
    follower.take_snapshot(session=OLD, frames=snapshot(standing(3, seq=1)))

    told = follower.take_snapshot(session=NEW, frames=snapshot(standing(4, seq=1, session=NEW)))

    assert [("glidepath-high.3", "cleared"), ("glidepath-high.4", "raised")] == changes(told)


def test_two_daemons_behind_one_relay() -> None:
    """Sequences and alerts of two sessions don't mix, even where both call their aircraft own."""
    follower = Follower(["alert", "state"])

    told = [
        message
        for session in (OLD, NEW)
        for one in (frame(Kind.STATE, State(time_s=1.0), seq=1, session=session), standing(3, seq=1, session=session))
        for message in follower.take(*one)
    ]

    assert [OLD, OLD, NEW, NEW] == [message.session for message in told]
    assert 0 == follower.lost


def test_an_aircraft_that_comes_back() -> None:
    """After an aircraft was retired its sequences go on higher up, and that is no loss."""
    follower = Follower(["state", "standing"])
    follower.take(*frame(Kind.STATE, State(time_s=1.0), seq=3))
    follower.take(*frame(Kind.STANDING, StandingMessage(aircraft="own", retired=True), seq=2))

    told = follower.take(*frame(Kind.STATE, State(time_s=9.0), seq=50))

    assert [50] == [message.seq for message in told]
    assert 0 == follower.lost


def test_only_the_aircraft_asked_for() -> None:
    """ZeroMQ compares beginnings; a1 is not a10."""
    follower = Follower(["state"], aircraft="a1")
    frames = [frame(Kind.STATE, State(time_s=1.0, aircraft=aircraft), seq=1) for aircraft in ("a10", "a1")]

    told = [message for one in frames for message in follower.take(*one)]

    assert ["a1"] == [message.aircraft for message in told]


def test_topics_bring_what_is_needed() -> None:
    """Alerts bring the standing messages along, which put them right; the heartbeat always comes."""
    assert (b"alert.", b"standing.", b"health") == Follower(["alert"]).topics
    assert (b"state.a1", b"health") == Follower(["state"], aircraft="a1").topics
    assert len(Kind) == len(Follower().topics)


def test_frames_that_are_no_message_are_counted() -> None:
    """Rubbish on the feed is counted, and tells nothing."""
    follower = Follower()

    assert [] == follower.take(b"state.own", b"rubbish") + follower.take(b"rubbish", b"")
    assert 2 == follower.unread


def test_newest_of() -> None:
    """Of states only the newest is kept; of what happened, everything, in order."""
    follower = Follower(["state", "call"])
    frames = [
        frame(Kind.STATE, State(time_s=1.0), seq=1),
        frame(Kind.CALL, BODIES[Kind.CALL], seq=1),
        frame(Kind.STATE, State(time_s=2.0), seq=2),
        frame(Kind.CALL, BODIES[Kind.CALL], seq=2),
        frame(Kind.STATE, State(time_s=2.0, aircraft="a1"), seq=1),
    ]

    told = newest_of(message for one in frames for message in follower.take(*one))

    assert [("call.own", 1), ("state.own", 2), ("call.own", 2), ("state.a1", 1)] == [
        (message.topic, message.seq) for message in told
    ]
