"""A locked bus: who gets in, who may give orders, and what the others see."""

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import zmq

from otherseat.advisories.state import State
from otherseat.daemon.client import AskError, Client, Keys, NoAnswerError
from otherseat.daemon.feed import Feed
from otherseat.daemon.gate import Gate, is_this_machine
from otherseat.daemon.keys import ALLOWED, KeysError, Role, add_client, make_pair, read_clients, remove_client
from tests.daemon.bench import Bench, bench
from tests.daemon.test_keys import later

QUICK_S = 0.4
"""Long enough for who is let in, and no longer than need be for who is not."""

ENOUGH_BYTES = 500
"""More than greetings."""


@dataclass
class Locked:
    """A locked bench and its keys."""

    standing: Bench
    folder: Path
    orders: list[Any]

    def keys(self, name: str, *, server: str = "daemon") -> Keys:
        """Return the keys of a client."""
        return Keys.read(key=self.folder / f"{name}.key_secret", server=str(self.folder / f"{server}.key"))

    def client(self, keys: Keys | None) -> Client:
        """Return a client with these keys."""
        return Client(feed=self.standing.feed.endpoint, desk=self.standing.desk.endpoint, keys=keys)


@pytest.fixture
def locked(tmp_path: Path) -> Iterator[Locked]:
    """Stand up a locked bench that knows a reader and an operator; a stranger has a key of its own."""
    for name in ("daemon", "reader", "operator", "stranger"):
        make_pair(tmp_path, name)
    for role in Role:
        add_client(tmp_path, name=role.value, key=str(tmp_path / f"{role.value}.key"), role=role)
    orders: list[Any] = []
    with bench(keys=tmp_path, handlers={"mute": orders.append, "say": orders.append}) as standing:
        standing.publish("state", "own", 1.0, State(time_s=1.0))
        yield Locked(standing, tmp_path, orders)


def test_a_reader_listens_and_asks(locked: Locked) -> None:
    """A reader's key gets the feed, the snapshot and answers to questions."""
    with locked.client(locked.keys("reader")) as client:
        assert "bench" == client.ask("status").seat
        assert State(time_s=1.0) == next(client.listen("state")).body


def test_an_operator_gives_orders(locked: Locked) -> None:
    """An operator's key may give orders."""
    with locked.client(locked.keys("operator")) as client:
        client.ask("mute", muted=True)

    assert [True] == [order.muted for order in locked.orders]


def test_a_reader_gives_no_orders(locked: Locked) -> None:
    """A reader's order is refused by name, and changes nothing."""
    with locked.client(locked.keys("reader")) as client, pytest.raises(AskError, match="mute is an order"):
        client.ask("mute", muted=True)

    assert [] == locked.orders


def test_a_plain_client_sees_nothing(locked: Locked) -> None:
    """Without keys no answer comes, no frame of the feed, and no order arrives."""
    _sees_nothing(locked, None)


def test_a_strangers_key_sees_nothing(locked: Locked) -> None:
    """A key that is not on the list gets nothing."""
    _sees_nothing(locked, locked.keys("stranger"))


def test_a_wrong_server_key_sees_nothing(locked: Locked) -> None:
    """A client that takes another for the daemon does not talk to it."""
    _sees_nothing(locked, locked.keys("operator", server="stranger"))


def _sees_nothing(locked: Locked, keys: Keys | None) -> None:
    with locked.client(keys) as client:
        with pytest.raises(NoAnswerError):
            client.ask("say", text="Turn left.", timeout_s=QUICK_S)
        with client.subscribe() as subscription:
            assert [] == subscription.receive(timeout_s=QUICK_S)
            assert subscription.age_s is None

    assert [] == locked.orders
    assert 0 == locked.standing.call(lambda: sum(locked.standing.desk.counters.values()))


def test_a_withdrawn_key_is_shut_out_at_once(locked: Locked) -> None:
    """A key that is taken off the list loses desk and feed while it is connected; the others go on."""
    with (
        locked.client(locked.keys("operator")) as gone,
        locked.client(locked.keys("reader")) as stays,
        gone.subscribe("health") as lost,
        stays.subscribe("health") as kept,
    ):
        assert "bench" == gone.ask("status").seat
        assert lost.receive(timeout_s=5.0)
        assert kept.receive(timeout_s=5.0)
        remove_client(locked.folder, name="operator")
        later(locked.folder / ALLOWED)
        with pytest.raises(AskError, match="not let in any more"):
            gone.ask("mute")
        _wait_for_silence(lost)
        assert kept.receive(timeout_s=5.0)

    assert [] == locked.orders


def _wait_for_silence(subscription: Any) -> None:
    for _ in range(50):
        if not subscription.receive(timeout_s=QUICK_S):
            return
    raise AssertionError("the feed goes on")


def test_a_key_that_is_let_in_later(locked: Locked) -> None:
    """A key that is added while the daemon runs gets in, without a restart."""
    with locked.client(locked.keys("stranger")) as client:
        with pytest.raises(NoAnswerError, match="does the daemon let this key in"):
            client.ask("status", timeout_s=QUICK_S)
        add_client(locked.folder, name="late", key=str(locked.folder / "stranger.key"), role=Role.READER)
        later(locked.folder / ALLOWED)
        assert "bench" == client.ask("status", timeout_s=5.0).seat

    assert {"late", "reader", "operator"} == read_clients(locked.folder / ALLOWED).keys()


def test_keys_from_the_environment(locked: Locked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every command gets in with the keys that the environment names."""
    monkeypatch.setenv("OTHERSEAT_KEY", str(locked.folder / "reader.key_secret"))
    monkeypatch.setenv("OTHERSEAT_SERVER_KEY", str(locked.folder / "daemon.key"))

    with locked.client(None) as client:
        assert "bench" == client.ask("status").seat


def test_raw_bytes_on_the_wire(locked: Locked) -> None:
    """What crosses the wire of a locked feed is sealed: a known text of the feed is not to be found in it."""
    import socket  # noqa: PLC0415 - the only test that looks at raw bytes
    import threading  # noqa: PLC0415

    host, port = locked.standing.feed.endpoint.removeprefix("tcp://").split(":")
    seen = bytearray()
    ends: list[socket.socket] = [socket.create_server(("127.0.0.1", 0))]

    def carry(source: socket.socket, sink: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := source.recv(65_536):
                seen.extend(data)
                sink.sendall(data)
            sink.shutdown(socket.SHUT_WR)

    def between() -> None:
        with contextlib.suppress(OSError):
            while True:  # a client tries the address before it listens there
                one, other = ends[0].accept()[0], socket.create_connection((host, int(port)))
                ends.extend((one, other))
                for pair in ((one, other), (other, one)):
                    threading.Thread(target=carry, args=pair, daemon=True).start()

    threading.Thread(target=between, daemon=True).start()
    feed = f"tcp://127.0.0.1:{ends[0].getsockname()[1]}"
    try:
        with Client(relay=feed, keys=locked.keys("reader")) as client, client.subscribe("health") as subscription:
            assert subscription.receive(timeout_s=5.0)
    finally:
        for end in ends:
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()

    assert len(seen) >= ENOUGH_BYTES
    assert b"health" not in seen
    assert b"bench" not in seen


@pytest.mark.parametrize("endpoint", ["tcp://0.0.0.0:*", "tcp://*:*", "tcp://[::]:*", "tcp://192.0.2.1:47801"])
def test_beyond_this_machine_only_with_keys(endpoint: str) -> None:
    """An address that others can reach is refused without keys, and the error says how to make them."""
    context: zmq.Context[Any] = zmq.Context()
    with pytest.raises(KeysError, match="can be reached from other machines, and that needs keys: make them with"):
        Feed(context, endpoint)
    context.destroy(linger=0)


def test_beyond_this_machine_with_keys(tmp_path: Path) -> None:
    """With keys any address may be bound."""
    make_pair(tmp_path, "daemon")
    context: zmq.Context[Any] = zmq.Context()
    gate = Gate(context, tmp_path)
    feed = Feed(context, "tcp://0.0.0.0:*", gate=gate)

    assert feed.endpoint.startswith("tcp://0.0.0.0:")
    feed.close()
    gate.close()
    context.destroy(linger=0)


@pytest.mark.parametrize(
    ("endpoint", "expected"),
    [
        ("tcp://127.0.0.1:47801", True),
        ("tcp://127.1.2.3:*", True),
        ("tcp://localhost:1", True),
        ("tcp://[::1]:1", True),
        ("tcp://127.0.0.1.example:1", False),
        ("tcp://*:1", False),
        ("tcp://10.0.0.1:1", False),
        ("tcp://eth0:1", False),
        ("tcp://", False),
        ("", False),
    ],
)
def test_is_this_machine(endpoint: str, *, expected: bool) -> None:
    """Only loopback addresses are of this machine alone."""
    assert expected is is_this_machine(endpoint)
