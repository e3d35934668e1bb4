"""Many daemons, one relay, and boards that watch them through it."""

import contextlib
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from otherseat.advisories.levels import Change
from otherseat.advisories.state import State
from otherseat.daemon.board import ranked
from otherseat.daemon.client import Client, Keys
from otherseat.daemon.keys import Role, add_client, make_pair, read_pair
from otherseat.daemon.relay import Relay, Upstream, relay
from tests.daemon.bench import bench
from tests.daemon.classroom import BOARDS, SEATS, alerts, boards_of, gone, names, relay_process, seats, stand, until
from tests.daemon.samples import alert


def test_a_classroom() -> None:
    """Three boards see twenty daemons through one relay; whoever is killed is missed, and is seen when back."""
    everybody = {f"seat-{number:02}" for number in range(SEATS)}
    with seats(SEATS) as daemons, contextlib.ExitStack() as stack:
        feeds = [one.feed.endpoint for one in daemons]
        process, feed = stack.enter_context(relay_process(feeds))
        boards = stack.enter_context(boards_of(feed, BOARDS))
        until(boards, lambda board: names(board) == everybody and alerts(board) == SEATS)
        order = [seat.ranked[0].level for seat in ranked(boards[0].scene, now_s=boards[0]._clock())]
        assert sorted(order, reverse=True) == order

        daemons[7].stop()
        until(boards, lambda board: gone(board) == ["seat-07"])
        again = stack.enter_context(bench(feed=feeds[7], seat="seat-07"))
        stand(again, 7)
        until(boards, lambda board: not gone(board) and names(board) == everybody and alerts(board) == SEATS)

        process.kill()
        process.wait()
        until(boards, lambda board: set(gone(board)) == everybody)
        stack.enter_context(relay_process(feeds, feed=feed))
        until(boards, lambda board: not gone(board) and alerts(board) == SEATS)


def test_frames_pass_unchanged() -> None:
    """Through a relay of relays a state arrives as it was sent, once."""
    with bench() as standing, contextlib.ExitStack() as stack:
        feed = standing.feed.endpoint
        for _ in range(2):
            feed = stack.enter_context(running(Relay(upstreams=[Upstream(feed)], feed="tcp://127.0.0.1:*")))
        client = stack.enter_context(Client(relay=feed))
        subscription = stack.enter_context(client.subscribe("state"))
        while not (got := subscription.receive(timeout_s=0.05)):
            standing.publish("state", "own", 1.0, State(time_s=1.0))
        first = got[0].seq
        standing.publish("state", "own", 2.0, State(time_s=2.0))
        while not any(message.body.time_s == 2.0 for message in got):
            got += subscription.receive(timeout_s=0.05)

    assert list(range(first, first + len(got))) == [message.seq for message in got]
    assert {standing.feed.session} == {message.session for message in got}


@contextlib.contextmanager
def running(relaying: Relay) -> Iterator[str]:
    """Run a relay in a thread; give where boards find it."""
    thread = threading.Thread(target=relaying.run, daemon=True)
    thread.start()
    try:
        yield relaying.endpoint
    finally:
        relaying.stop()
        thread.join(timeout=10)


def test_keys_on_both_sides(tmp_path: Path) -> None:
    """A relay with a key of its own joins locked feeds and is locked itself; a board without a key sees nothing."""
    for name in ("daemon", "relay"):
        make_pair(tmp_path / "seat", name)
    for name in ("daemon", "board"):
        make_pair(tmp_path / "relay", name)
    add_client(tmp_path / "seat", name="relay", key=str(tmp_path / "seat" / "relay.key"), role=Role.READER)
    add_client(tmp_path / "relay", name="board", key=str(tmp_path / "relay" / "board.key"), role=Role.READER)
    keys = Keys.read(key=tmp_path / "relay" / "board.key_secret", server=str(tmp_path / "relay" / "daemon.key"))
    with bench(keys=tmp_path / "seat", seat="front") as standing:
        joined = Relay(
            upstreams=[Upstream.parse(f"{standing.feed.endpoint}@{tmp_path / 'seat' / 'daemon.key'}")],
            feed="tcp://127.0.0.1:*",
            keys=tmp_path / "relay",
            own=read_pair(tmp_path / "seat" / "relay.key_secret"),
        )
        with running(joined) as feed:
            with Client(relay=feed, keys=keys) as client, client.subscribe("health") as subscription:
                assert "front" == subscription.receive(timeout_s=10.0)[0].body.seat
            with Client(relay=feed) as client, client.subscribe("health") as subscription:
                assert [] == subscription.receive(timeout_s=0.4)


def test_an_alert_that_clears_behind_a_relay() -> None:
    """What is raised and cleared at a daemon is raised and cleared on a board."""
    with (
        seats(1) as (standing,),
        running(Relay(upstreams=[Upstream(standing.feed.endpoint)], feed="tcp://127.0.0.1:*")) as feed,
        boards_of(feed, 1) as boards,
    ):
        until(boards, lambda board: alerts(board) == 1)
        standing.publish("alert", "a0", 3.0, alert(1, aircraft="a0", change=Change.CLEARED))
        until(boards, lambda board: alerts(board) == 0)


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        (
            ["--from", "nonsense"],
            "otherseat: nonsense can't be connected to: an address looks like tcp://127.0.0.1:47801\n",
        ),
        (["--from", "tcp://127.0.0.1:1", "--feed", "tcp://0.0.0.0:*"], "and that needs keys"),
        (["--from", "tcp://127.0.0.1:1@no/such.key"], "no/such.key: is neither a key"),
        (["--from", "tcp://127.0.0.1:1", "--keys", "no/such"], "no such key"),
    ],
)
def test_a_mistake_is_one_line(options: list[str], expected: str) -> None:
    """What can't work is said in one line, with exit code 2."""
    result = CliRunner().invoke(relay, ["--feed", "tcp://127.0.0.1:*", *options])

    assert 2 == result.exit_code
    assert expected in result.output
    assert 1 == len(result.output.splitlines())
