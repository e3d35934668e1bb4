"""The feed over real sockets."""

from collections.abc import Iterator

import msgpack
import pytest
import zmq

from otherseat.advisories.levels import Change
from otherseat.advisories.state import State
from otherseat.daemon.feed import SAID_KEPT, Feed
from otherseat.daemon.messages import Kind, StandingMessage, decode
from otherseat.daemon.sockets import EndpointError
from otherseat.daemon.verbs import SnapshotRequest
from tests.daemon.samples import BODIES, alert, call

ALL = SnapshotRequest()


class Context(zmq.Context["zmq.Socket[bytes]"]):
    """A context that holds on to its sockets until it closes them."""

    def __init__(self) -> None:
        super().__init__()
        self.opened: list[zmq.Socket[bytes]]
        object.__setattr__(self, "opened", [])

    def subscriber(self, feed: Feed, *topics: bytes, **options: int) -> "zmq.Socket[bytes]":
        """Return a plain SUB socket whose subscription is in force."""
        socket = self.socket(zmq.SUB)
        self.opened.append(socket)
        for option, value in options.items():
            socket.setsockopt(getattr(zmq, option), value)
        for topic in (*topics, b"mark."):
            socket.subscribe(topic)
        socket.connect(feed.endpoint)
        while not socket.poll(5):
            feed.snapshot(SnapshotRequest(mark="0"))
        while socket.poll(20):
            socket.recv_multipart()
        socket.unsubscribe(b"mark.")
        return socket


@pytest.fixture
def context() -> Iterator[Context]:
    """Make a context of its own, closed at the end."""
    context = Context()
    yield context
    context.destroy(linger=0)


@pytest.fixture
def feed(context: Context) -> Iterator[Feed]:
    """Make a feed on a free port."""
    feed = Feed(context, "tcp://127.0.0.1:*", session="0badcafe")
    yield feed
    feed.close()


def standing(feed: Feed) -> list[str]:
    """Return the ids of the alerts that the feed's snapshot says stand."""
    frames = dict(feed.snapshot(ALL).frames)
    return [one.id for one in decode(b"standing.own", frames["standing.own"]).body.alerts]


def test_two_frames(context: Context, feed: Feed) -> None:
    """A message is its topic and one map, readable with nothing but ZeroMQ and msgpack."""
    socket = context.subscriber(feed, b"state.")

    feed.publish("state", "own", 1.5, State(time_s=1.5, bank_deg=-3.0))

    assert socket.poll(5_000)
    topic, packed = socket.recv_multipart()
    expected = {
        "schema": 1,
        "session": "0badcafe",
        "seq": 1,
        "time_s": 1.5,
        "body": {"time_s": 1.5, "aircraft": "own", "bank_deg": -3.0},
    }
    assert (b"state.own", expected) == (topic, msgpack.unpackb(packed))


def test_each_topic_counts_for_itself(context: Context, feed: Feed) -> None:
    """Seq counts up by one within a topic."""
    socket = context.subscriber(feed, b"")

    for aircraft in ("a1", "a1", "a2", "a1"):
        feed.publish("state", aircraft, 1.0, State(time_s=1.0, aircraft=aircraft))

    seen = [decode(*socket.recv_multipart()) for _ in range(4) if socket.poll(5_000)]
    assert [("a1", 1), ("a1", 2), ("a2", 1), ("a1", 3)] == [(message.aircraft, message.seq) for message in seen]


def test_what_can_not_be_encoded_is_counted(feed: Feed) -> None:
    """A body that is not of its kind is counted, takes no number and raises nothing."""
    feed.publish("state", "own", 1.0, "no state")
    feed.publish("state", "own", 1.0, State(time_s=1.0))

    assert 1 == feed.refused
    assert 1 == decode(b"state.own", dict(feed.snapshot(ALL).frames)["state.own"]).seq


def test_snapshot_holds_the_newest_frame_of_each_topic(feed: Feed) -> None:
    """A snapshot is what the feed sent last, topic by topic."""
    for time_s in (1.0, 2.0):
        feed.publish("state", "own", time_s, State(time_s=time_s))
    feed.publish("health", None, 2.0, BODIES[Kind.HEALTH])

    frames = dict(feed.snapshot(ALL).frames)

    assert {"state.own", "health"} == frames.keys()
    assert State(time_s=2.0) == decode(b"state.own", frames["state.own"]).body


def test_snapshot_of_one_aircraft(feed: Feed) -> None:
    """Who asks for one aircraft gets that one, and the daemon's health."""
    for aircraft in ("a1", "a10"):
        feed.publish("state", aircraft, 1.0, State(time_s=1.0, aircraft=aircraft))
    feed.publish("health", None, 2.0, BODIES[Kind.HEALTH])

    frames = dict(feed.snapshot(SnapshotRequest(aircraft="a1")).frames)

    assert {"state.a1", "health"} == frames.keys()


def test_snapshot_tells_what_was_said(feed: Feed) -> None:
    """The last calls of an aircraft are in a snapshot, the oldest first, and are forgotten with it."""
    for number in range(SAID_KEPT + 3):
        feed.publish("call", "own", float(number), call())
    feed.publish("call", "a2", 1.0, call(aircraft="a2"))

    seqs = [decode(topic.encode(), packed).seq for topic, packed in feed.snapshot(SnapshotRequest(aircraft="own")).said]
    assert list(range(4, SAID_KEPT + 4)) == seqs
    assert SAID_KEPT + 1 == len(feed.snapshot(ALL).said)
    feed.retire("own", 99.0)
    assert ["call.a2"] == [topic for topic, _ in feed.snapshot(ALL).said]


def test_snapshot_tells_what_stands_now(feed: Feed) -> None:
    """Alerts raised and cleared since the last standing message are in the snapshot as they are now."""
    for number, change in [(1, Change.RAISED), (2, Change.RAISED), (1, Change.CLEARED), (2, Change.ACKNOWLEDGED)]:
        feed.publish("alert", "own", 1.0, alert(number, change=change))

    assert ["glidepath-high.2"] == standing(feed)


def test_standing_brings_alerts_and_what_is_live(context: Context, feed: Feed) -> None:
    """The standing message tells what the seat knows, and again when an alert has changed."""
    socket = context.subscriber(feed, b"standing.")
    feed.publish("alert", "own", 1.0, alert(1))

    feed.stand(
        2.0, StandingMessage(aircraft="own", alerts=(alert(1),), live={"glidepath": "live"}, silent=True, age_s=2.5)
    )

    raised, told = [decode(*socket.recv_multipart()).body for _ in range(2) if socket.poll(5_000)]
    assert ["glidepath-high.1"] == [one.id for one in raised.alerts]
    assert (["glidepath-high.1"], {"glidepath": "live"}, True, 2.5) == (
        [one.id for one in told.alerts],
        told.live,
        told.silent,
        told.age_s,
    )


def test_a_retired_aircraft_is_forgotten(feed: Feed) -> None:
    """An aircraft that is gone leaves nothing behind, and no sequence ever goes back should it come again."""
    for kind in (Kind.STATE, Kind.STATE, Kind.ALERT, Kind.PLAN):
        feed.publish(kind, "own", 1.0, BODIES[kind])

    feed.retire("own", 2.0)

    assert () == feed.snapshot(ALL).frames
    assert ({}, {}) == (feed._seqs, feed._standing)
    feed.publish("state", "own", 3.0, State(time_s=3.0))
    assert 2 < decode(b"state.own", dict(feed.snapshot(ALL).frames)["state.own"]).seq


def test_a_subscriber_that_reads_nothing_slows_nobody(context: Context, feed: Feed) -> None:
    """Beyond the high-water mark the slow one loses messages, sees the jump, and the quick one gets every one."""
    slow = context.subscriber(feed, b"plan.", RCVHWM=1, RCVBUF=4_096)
    quick = context.subscriber(feed, b"state.")
    full = BODIES[Kind.PLAN]
    got = 0

    for number in range(20_000):
        feed.publish("plan", "own", 1.0, full)
        if number % 100 == 0:
            feed.publish("state", "own", 1.0, BODIES[Kind.STATE])
            assert quick.poll(5_000)
            got += 1
            assert got == decode(*quick.recv_multipart()).seq

    seqs = _seqs(slow)
    assert 200 == got
    assert len(seqs) < 20_000
    assert sorted(set(seqs)) == seqs


def _seqs(socket: "zmq.Socket[bytes]") -> list[int]:
    seqs = []
    while socket.poll(200):
        topic, packed = socket.recv_multipart()
        if topic == b"plan.own":
            seqs.append(decode(topic, packed).seq)
    return seqs


def test_a_taken_address_is_named(context: Context, feed: Feed) -> None:
    """Two daemons on one address: the error names it."""
    with pytest.raises(EndpointError, match=f"{feed.endpoint} is taken"):
        Feed(context, feed.endpoint)


@pytest.mark.parametrize("endpoint", ["tcp://127.0.0.1:notaport", "nonsense", "ipc:///nowhere"])
def test_an_impossible_address_is_named(context: Context, endpoint: str) -> None:
    """An address that can't be bound is an error that names it."""
    with pytest.raises(EndpointError, match=endpoint):
        Feed(context, endpoint)


def test_an_alert_is_on_its_way_before_anything_else_is_done(feed: Feed, monkeypatch: pytest.MonkeyPatch) -> None:
    """The thread that sends has the processor once the alert is handed over, before its standing message is made."""
    known: list[list[str]] = []
    monkeypatch.setattr("time.sleep", lambda _: known.append([topic for topic, _ in feed.snapshot(ALL).frames]))
    feed.publish("state", "own", 1.0, State(time_s=1.0))
    feed.publish("alert", "own", 1.0, alert(1))

    assert [["state.own", "alert.own"]] == known
    assert [alert(1).id] == standing(feed)
