"""The desk over real sockets."""

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import msgpack
import pytest
import zmq

from otherseat.advisories.plan import Plan
from otherseat.daemon.bus import Allowance, RefusedError
from otherseat.daemon.desk import REQUEST_BYTES
from otherseat.daemon.messages import Body, PlanMessage
from otherseat.daemon.verbs import VERBS, AcknowledgeReply, Request, Verb
from tests.daemon import hostile
from tests.daemon.bench import Bench, bench, unlimited


@contextmanager
def asker(endpoint: str, kind: int = zmq.REQ) -> Iterator["zmq.Socket[bytes]"]:
    """Connect a plain socket as any language would."""
    with zmq.Context() as context, context.socket(kind) as socket:
        socket.setsockopt(zmq.LINGER, 0)
        socket.connect(endpoint)
        yield socket


def ask(socket: "zmq.Socket[bytes]", request: Any) -> dict[str, Any]:
    """Send one request and return the reply."""
    socket.send(request if isinstance(request, bytes) else msgpack.packb(request))
    assert socket.poll(10_000)
    reply: dict[str, Any] = msgpack.unpackb(socket.recv())
    return reply


class Orders:
    """Handlers that keep what they were told."""

    def __init__(self) -> None:
        self.taken: list[Any] = []

    def take(self, request: Any) -> None:
        """Keep the request."""
        self.taken.append(request)

    def acknowledge(self, request: Any) -> AcknowledgeReply:
        """Keep the request, and reply."""
        self.taken.append(request)
        return AcknowledgeReply(acknowledged=("glidepath-high.3",))

    @property
    def handlers(self) -> dict[str, Any]:
        """The handler of each order."""
        return {name: self.take for name, verb in VERBS.items() if verb.order} | {"acknowledge": self.acknowledge}


@pytest.mark.parametrize("kind", [zmq.REQ, zmq.DEALER])
def test_a_question_is_answered(kind: int) -> None:
    """Either kind of client socket gets its answer, with its own id."""
    with bench() as standing, asker(standing.desk.endpoint, kind) as socket:
        reply = ask(socket, {"verb": "status", "id": 7})

    assert (True, "status", 7, "bench") == (reply["ok"], reply["verb"], reply["id"], reply["body"]["seat"])


def test_an_order_reaches_its_handler() -> None:
    """The handler gets the verb's own request, and its reply goes back."""
    orders = Orders()
    with bench(handlers=orders.handlers) as standing, asker(standing.desk.endpoint) as socket:
        reply = ask(socket, {"verb": "acknowledge", "body": {"id": "glidepath-high.3"}})

    assert ["glidepath-high.3"] == reply["body"]["acknowledged"]
    assert [("own", "glidepath-high.3")] == [(one.aircraft, one.id) for one in orders.taken]


def test_a_handler_may_take_its_time() -> None:
    """A handler that awaits does not keep others waiting."""
    release = asyncio.Event()

    async def slow(_: Any) -> PlanMessage:
        await release.wait()
        return PlanMessage(aircraft="own", plan=Plan(destination="ZZPS/07"))

    with (
        bench(handlers={"plan.get": slow}) as standing,
        asker(standing.desk.endpoint, zmq.DEALER) as socket,
    ):
        socket.send(msgpack.packb({"verb": "plan.get", "id": 1}))
        assert 2 == ask(socket, {"verb": "status", "id": 2})["id"]
        standing.call(release.set)
        assert socket.poll(10_000)
        reply = msgpack.unpackb(socket.recv())

    assert (1, "ZZPS/07") == (reply["id"], reply["body"]["plan"]["destination"])


@pytest.mark.parametrize(
    ("request_", "expected"),
    [
        pytest.param({"verb": "stattus"}, "no such verb: stattus; there are", id="unknown-verb"),
        pytest.param({"verb": "mute", "body": {"mutted": True}}, "mute: mutted: Extra inputs", id="unknown-key"),
        pytest.param({"verb": "say", "body": {}}, "say: text: Field required", id="missing-key"),
        pytest.param({"verb": "say", "body": {"text": 3}}, "say: text: Input should be a valid string", id="type"),
        pytest.param(
            {"verb": "plan.set", "body": {"plan": {"path_angle_deg": 45}}},
            "plan.set: plan.path_angle_deg: Input should be less than or equal to 7.5",
            id="range",
        ),
        pytest.param({"verb": 3}, "not a request: verb: Input should be a valid string", id="verb-type"),
        pytest.param({"verb": "status", "extra": 1}, "not a request: extra", id="unknown-frame-key"),
        pytest.param([1, 2], "not a request", id="no-map"),
        pytest.param(b"\xc1", "not msgpack", id="no-msgpack"),
        pytest.param(b"", "not msgpack", id="empty"),
    ],
)
def test_what_is_wrong_is_said(request_: Any, expected: str) -> None:
    """An error reply says in one line what was wrong."""
    orders = Orders()
    with bench(handlers=orders.handlers) as standing, asker(standing.desk.endpoint) as socket:
        reply = ask(socket, request_)

    assert not reply["ok"]
    assert expected in reply["error"]
    assert "\n" not in reply["error"]
    assert [] == orders.taken


def _refuse(_: Any) -> None:
    raise RefusedError("no alert of that name stands")


def _break(_: Any) -> None:
    raise ZeroDivisionError


async def _refuse_later(_: Any) -> None:
    _refuse(_)


async def _break_later(_: Any) -> None:
    _break(_)


@pytest.mark.parametrize("handler", [_refuse, _refuse_later])
def test_a_handler_may_refuse(handler: Any) -> None:
    """A handler's refusal goes back as it was said."""
    with bench(handlers={"mute": handler}) as standing, asker(standing.desk.endpoint) as socket:
        reply = ask(socket, {"verb": "mute", "id": 5})

    assert {"ok": False, "id": 5, "error": "no alert of that name stands"} == reply


@pytest.mark.parametrize("handler", [_break, _break_later])
def test_a_broken_handler_ends_nothing(handler: Any) -> None:
    """A handler's fault is an error reply without its innards, and the desk goes on."""
    with bench(handlers={"mute": handler}) as standing, asker(standing.desk.endpoint) as socket:
        reply = ask(socket, {"verb": "mute"})
        after = ask(socket, {"verb": "status"})
        failed = standing.call(lambda: standing.desk.counters["failed"])

    assert "mute failed; the daemon's log says why" == reply["error"]
    assert (True, 1) == (after["ok"], failed)


class Weigh(Request):
    """A plug-in's own question."""

    fuel_kg: float


class Weighed(Body):
    """And its reply."""

    heavy: bool


def test_the_service_may_add_verbs() -> None:
    """A verb that was registered is answered like the built-in ones."""
    verb = Verb("weigh", Weigh, Weighed, order=False, summary="whether there is much fuel")
    with bench() as standing, asker(standing.desk.endpoint) as socket:
        standing.call(standing.desk.register, verb, lambda request: Weighed(heavy=request.fuel_kg > 100))
        reply = ask(socket, {"verb": "weigh", "body": {"fuel_kg": 120}})

    assert {"heavy": True} == reply["body"]


def test_a_flood_is_not_answered_and_others_are() -> None:
    """Beyond its allowance a peer gets silence; another peer gets its answer."""
    allowance = Allowance(burst=10, per_s=0)
    with (
        bench(allowance=allowance) as standing,
        asker(standing.desk.endpoint, zmq.DEALER) as flood,
        asker(standing.desk.endpoint) as quiet,
    ):
        for number in range(500):
            flood.send(msgpack.packb({"verb": "status", "id": number}))
        reply = ask(quiet, {"verb": "status"})
        answered = []
        while flood.poll(300):
            answered.append(msgpack.unpackb(flood.recv())["id"])
        flooded = standing.call(lambda: standing.desk.counters["flooded"])

    assert reply["ok"]
    assert list(range(10)) == answered
    assert 490 == flooded


def test_allowance_over_time() -> None:
    """An allowance is used up at once and comes back by and by; peers have one each, and old peers are forgotten."""
    now = 0.0
    allowance = Allowance(burst=2, per_s=1, peers=2, clock=lambda: now)

    assert [True, True, False] == [allowance.take(b"a") for _ in range(3)]
    now = 1.0
    assert [True, False, True] == [allowance.take(peer) for peer in (b"a", b"a", b"b")]
    allowance.take(b"c")
    assert 2 == len(allowance._left)


def test_a_frame_that_is_too_long_is_not_read() -> None:
    """A peer that sends too long a frame is cut off, and the desk goes on."""
    with (
        bench() as standing,
        asker(standing.desk.endpoint, zmq.DEALER) as shouting,
        asker(standing.desk.endpoint) as quiet,
    ):
        shouting.send(b"\x00" * (REQUEST_BYTES + 1))
        assert not shouting.poll(300)
        assert ask(quiet, {"verb": "status"})["ok"]
        assert 0 == standing.call(lambda: standing.desk.counters["refused"])


def storm(standing: Bench, *, seed: int, count: int) -> int:
    """Send so many hostile messages, reading the replies meanwhile; return how many orders were accepted."""
    accepted = 0
    with asker(standing.desk.endpoint, zmq.DEALER) as socket:
        for number, frames in enumerate(hostile.requests(seed=seed, count=count), start=1):
            socket.send_multipart(frames)
            if number % 200 == 0 or number == count:
                socket.send(msgpack.packb({"verb": "status", "id": "fence"}))
                accepted += _until_fence(socket)
    return accepted


def _until_fence(socket: "zmq.Socket[bytes]") -> int:
    accepted = 0
    while socket.poll(20_000):
        reply = msgpack.unpackb(socket.recv_multipart()[-1])
        if reply["id"] == "fence":
            return accepted
        accepted += bool(reply["ok"])
    raise AssertionError("the desk fell silent")


def storms(*, rounds: int, count: int) -> None:
    """Let storms pass over a desk, and see that nothing came of them."""
    orders = Orders()
    with bench(handlers=orders.handlers, allowance=unlimited()) as standing:
        accepted = [storm(standing, seed=seed, count=count) for seed in range(rounds)]
        counters = standing.call(lambda: dict(standing.desk.counters))
        with asker(standing.desk.endpoint) as socket:
            assert ask(socket, {"verb": "status"})["ok"]

    assert [] == orders.taken
    assert [0] * rounds == accepted
    fences = rounds * -(-count // 200)
    assert {"answered": fences, "refused": rounds * count, "failed": 0, "flooded": 0} == counters


def test_hostile_requests() -> None:
    """50,000 hostile requests: each is refused, none has an effect, and the desk goes on."""
    storms(rounds=1, count=50_000)


@pytest.mark.long
@pytest.mark.timeout(1_200)
def test_a_million_hostile_requests() -> None:
    """The same twenty times over, each from another seed."""
    storms(rounds=20, count=50_000)
