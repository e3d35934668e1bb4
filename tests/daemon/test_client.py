"""The public client, blocking and asyncio, over real sockets."""

import asyncio
import itertools
import random
import sys
import time
from collections.abc import Callable, Coroutine, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import pytest
from click.testing import CliRunner

from otherseat.advisories.levels import Change
from otherseat.advisories.plan import Plan
from otherseat.advisories.state import State
from otherseat.daemon.cli import cli
from otherseat.daemon.client import (
    AskError,
    AsyncClient,
    Client,
    EndpointError,
    Message,
    NoAnswerError,
    Subscription,
)
from otherseat.daemon.messages import HealthMessage, Kind, PlanMessage, StandingMessage
from tests.daemon.bench import Bench, bench, unlimited
from tests.daemon.samples import BODIES, alert

Result = TypeVar("Result")
NOWHERE = "tcp://127.0.0.1:9"
"""The discard port: nobody listens there on a machine of today."""


@contextmanager
def client_of(standing: Bench) -> Iterator[Client]:
    """Connect a client to the bench."""
    with Client(feed=standing.feed.endpoint, desk=standing.desk.endpoint) as client:
        yield client


def receive(subscription: Subscription, enough: Callable[[list[Message]], bool]) -> list[Message]:
    """Receive until there is enough."""
    got: list[Message] = []
    for _ in range(2_000):
        got += subscription.receive(timeout_s=0.05)
        if enough(got):
            return got
    raise AssertionError(f"only {got[-5:]}")


def at_least(count: int) -> Callable[[list[Message]], bool]:
    """Return whether there are so many messages."""
    return lambda messages: len(messages) >= count


def test_how_things_are_comes_first() -> None:
    """Who subscribes is told of state, plan and standing alerts at once, as typed objects."""
    with bench() as standing, client_of(standing) as client:
        for kind in (Kind.STATE, Kind.PLAN, Kind.ALERT):
            standing.publish(kind, "own", 1.0, BODIES[kind])
        with client.subscribe("state", "plan", "alert") as subscription:
            got = receive(subscription, at_least(3))

    assert {kind: BODIES[kind] for kind in (Kind.STATE, Kind.PLAN, Kind.ALERT)} == {
        message.kind: message.body for message in got
    }


def test_then_comes_what_happens() -> None:
    """The feed goes on where the snapshot ended."""
    with bench() as standing, client_of(standing) as client:
        standing.publish("state", "own", 1.0, State(time_s=1.0))
        messages = client.listen("state")
        seen = [next(messages)]
        for time_s in (2.0, 3.0):
            standing.publish("state", "own", time_s, State(time_s=time_s))
        seen += [next(messages), next(messages)]
        messages.close()  # type: ignore[attr-defined]  # a generator

    assert [1.0, 2.0, 3.0] == [message.body.time_s for message in seen]


class Load:
    """States and alerts without a pause, from the loop's own thread, until told to end."""

    def __init__(self, standing: Bench) -> None:
        self._standing = standing
        self.ended = False
        self.sent = 0
        self.stand: set[str] = set()
        standing.later(self._step)

    def _step(self) -> None:
        if self.ended:
            return
        feed = self._standing.feed
        for _ in range(5):
            self.sent += 1
            feed.publish("state", "own", float(self.sent), State(time_s=float(self.sent)))
        one = alert(self.sent % 7, change=Change.CLEARED if self.sent % 2 else Change.RAISED)
        if one.change is Change.CLEARED:
            self.stand.discard(one.id)
        else:
            self.stand.add(one.id)
        feed.publish("alert", "own", float(self.sent), one)
        asyncio.get_running_loop().call_later(0.001, self._step)

    def end(self) -> None:
        """Stop, with a last state so that its coming is the end."""
        self.ended = True


def follow_load(client: Client, load: Load, standing: Bench, *, pause_s: float) -> tuple[list[Message], int]:
    """Join while the load runs, follow it for a while, and return all that came until its end, and the loss."""
    with client.subscribe("state", "alert") as subscription:
        got = receive(subscription, at_least(50))
        time.sleep(pause_s)
        standing.call(load.end)
        last = standing.call(lambda: load.sent)
        while not any(message.kind is Kind.STATE and message.body.time_s >= last for message in got):
            got += subscription.receive(timeout_s=0.05)
        got += subscription.receive(timeout_s=0.05)
        return got, subscription.lost


@pytest.mark.parametrize("seed", range(8))
def test_joining_under_load(seed: int) -> None:
    """Whoever joins at a random moment under load has every message once, and knows what stands."""
    dice = random.Random(seed)
    with bench() as standing, client_of(standing) as client:
        load = Load(standing)
        time.sleep(dice.uniform(0.0, 0.1))
        got, lost = follow_load(client, load, standing, pause_s=dice.uniform(0.0, 0.1))

    seqs = [message.seq for message in got if message.kind is Kind.STATE]
    stand: set[str] = set()
    for message in got:
        if message.kind is Kind.ALERT:
            (stand.discard if message.body.change is Change.CLEARED else stand.add)(message.body.id)
    assert list(range(seqs[0], seqs[0] + len(seqs))) == seqs
    assert (load.sent, load.stand, 0) == (seqs[-1], stand, lost)


def test_a_busy_display_that_wants_only_the_newest() -> None:
    """With newest, a display that was busy is told the newest state only, and of every alert."""
    with (
        bench() as standing,
        client_of(standing) as client,
        client.subscribe("state", "alert", newest=True) as subscription,
    ):
        standing.publish("state", "own", 0.0, State(time_s=0.0))
        receive(subscription, at_least(1))
        for number in range(1, 101):
            standing.publish("state", "own", float(number), State(time_s=float(number)))
            if number % 50 == 0:
                standing.publish("alert", "own", float(number), alert(number))
        got = receive(subscription, lambda got: any(m.kind is Kind.ALERT and m.body.id.endswith(".100") for m in got))

    states = [message.body.time_s for message in got if message.kind is Kind.STATE]
    assert 100.0 == states[-1]
    assert len(states) < 100
    assert ["glidepath-high.50", "glidepath-high.100"] == [m.body.id for m in got if m.kind is Kind.ALERT]


def test_a_daemon_that_starts_again() -> None:
    """A display outlives the daemon: it goes on with the new one, and the old one's alerts are cleared."""
    with bench() as first, client_of(first) as client, client.subscribe("alert", "state") as subscription:
        first.publish("alert", "own", 1.0, alert(1))
        got = receive(subscription, at_least(1))
        feed, desk = first.feed.endpoint, first.desk.endpoint
        first.stop()
        with bench(feed=feed, desk=desk) as second:
            second.publish("state", "own", 5.0, State(time_s=5.0))
            got += receive(subscription, at_least(2))

    assert [(Kind.ALERT, "raised"), (Kind.ALERT, "cleared")] == [
        (message.kind, message.body.change) for message in got if message.kind is Kind.ALERT
    ]
    assert [5.0] == [message.body.time_s for message in got if message.kind is Kind.STATE]
    assert 2 == len({message.session for message in got})


def test_nobody_there() -> None:
    """Without a daemon a question fails in time, and a subscription just stays empty."""
    with Client(feed=NOWHERE, desk=NOWHERE) as client:
        with pytest.raises(NoAnswerError, match=r"status: no answer from tcp://127\.0\.0\.1:9 within 0\.1 s"):
            client.ask("status", timeout_s=0.1)
        with client.subscribe() as subscription:
            assert [] == subscription.receive(timeout_s=0.1)
            assert subscription.age_s is None


def test_an_order_is_not_carried_out_late() -> None:
    """An order given while no daemon was there does not reach one that starts later."""
    taken: list[Any] = []
    with bench() as first:
        feed, desk = first.feed.endpoint, first.desk.endpoint
    with Client(feed=feed, desk=desk) as client:
        with pytest.raises(NoAnswerError):
            client.ask("mute", timeout_s=0.1)
        with bench(feed=feed, desk=desk) as second:
            second.call(second.desk.register, _verb("mute"), taken.append)
            assert isinstance(client.ask("status", timeout_s=5.0), HealthMessage)
            assert [] == taken
            client.ask("mute", timeout_s=5.0)

    assert 1 == len(taken)


def _verb(name: str) -> Any:
    from otherseat.daemon.verbs import VERBS  # noqa: PLC0415 - one line of one test

    return VERBS[name]


def test_a_refusal_is_an_error() -> None:
    """What the desk refuses is raised with the desk's words."""
    with bench() as standing, client_of(standing) as client, pytest.raises(AskError, match="no such verb: fly"):
        client.ask("fly")


def test_models_travel_in_orders() -> None:
    """An order takes the house's own models, and its reply is typed."""

    def plan_set(request: Any) -> PlanMessage:
        return PlanMessage(aircraft=request.aircraft, plan=request.plan)

    plan = Plan(destination="ZZPS/07", path_angle_deg=3.5)
    with bench(handlers={"plan.set": plan_set}) as standing, client_of(standing) as client:
        reply = client.ask("plan.set", plan=plan)

    assert PlanMessage(aircraft="own", plan=plan) == reply


def test_a_client_without_a_desk() -> None:
    """With the feed alone, as behind a relay, standing messages tell what stands."""
    body = StandingMessage(aircraft="own", alerts=(alert(1),), age_s=0.1)
    with bench() as standing, Client(relay=standing.feed.endpoint) as client:
        standing.publish("alert", "own", 1.0, alert(1))
        with client.subscribe("alert") as subscription:
            while not (got := subscription.receive(timeout_s=0.05)):
                standing.call(lambda: standing.feed.stand(2.0, body))

    assert ["glidepath-high.1"] == [message.body.id for message in got]


async def _async_session(standing: Bench) -> tuple[Any, list[Message]]:
    async with AsyncClient(feed=standing.feed.endpoint, desk=standing.desk.endpoint) as client:
        status = await client.ask("status")
        got = []
        async with client.subscribe("state") as subscription:
            got += await subscription.receive(timeout_s=5.0)
            standing.later(standing.feed.publish, "state", "own", 2.0, State(time_s=2.0))
            got += await subscription.receive(timeout_s=5.0)
            assert [] == await subscription.receive(timeout_s=0.01)
        async for message in client.listen("state"):
            got.append(message)
            break
        with pytest.raises(AskError, match="no such verb"):
            await client.ask("fly")
    return status, got


async def _ask_at_once(standing: Bench) -> list[PlanMessage]:
    async with AsyncClient(feed=standing.feed.endpoint, desk=standing.desk.endpoint) as client:
        asked = [client.ask("plan.get", aircraft=f"a{number}") for number in range(50)]
        return list(await asyncio.gather(*asked))


def on_loop(work: Coroutine[Any, Any, Result]) -> Result:
    """Run it on a loop that can wait for sockets on every system."""
    loop = asyncio.SelectorEventLoop if sys.platform == "win32" else asyncio.new_event_loop
    with asyncio.Runner(loop_factory=loop) as runner:
        return runner.run(work)


def test_tasks_that_ask_at_once() -> None:
    """Each of many tasks that share a client gets the answer to its own question."""
    replies: dict[str, Any] = {"plan.get": lambda request: PlanMessage(aircraft=request.aircraft, plan=Plan())}
    with bench(handlers=replies, allowance=unlimited()) as standing:
        plans = on_loop(_ask_at_once(standing))

    assert [f"a{number}" for number in range(50)] == [plan.aircraft for plan in plans]


@pytest.mark.parametrize("which", ["feed", "desk", "relay"])
@pytest.mark.parametrize("address", ["nonsense", "tcp://127.0.0.1", "http://127.0.0.1:1"])
def test_what_is_no_address(which: str, address: str) -> None:
    """A client says at once which address is none."""
    with pytest.raises(EndpointError, match=f"^{address} can't be connected to"):
        Client(**{which: address})


@pytest.mark.parametrize("command", [["status"], ["watch"], ["plan"], ["panel", "--port", "0", "--no-qr"]])
def test_an_environment_that_names_no_address(command: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """OTHERSEAT_FEED or OTHERSEAT_DESK that is no address ends a command with one line and exit code 2."""
    monkeypatch.setenv("OTHERSEAT_DESK", "nonsense")
    result = CliRunner().invoke(cli, command)

    assert 2 == result.exit_code
    assert "nonsense can't be connected to" in result.output.splitlines()[-1]


def test_asyncio() -> None:
    """The asyncio client does the same."""
    with bench() as standing:
        standing.publish("state", "own", 1.0, State(time_s=1.0))
        status, got = on_loop(_async_session(standing))

    assert isinstance(status, HealthMessage)
    assert [1.0, 2.0, 2.0] == [message.body.time_s for message in got]


def test_two_subscriptions_of_one_client() -> None:
    """A client may follow several things, and ask in between."""
    with bench() as standing, client_of(standing) as client:
        standing.publish("state", "a1", 1.0, State(time_s=1.0, aircraft="a1"))
        standing.publish("state", "a2", 2.0, State(time_s=2.0, aircraft="a2"))
        with client.subscribe("state", aircraft="a1") as one, client.subscribe("state", aircraft="a2") as two:
            got = list(itertools.chain(receive(one, at_least(1)), receive(two, at_least(1))))
            assert client.ask("status").seat == "bench"

    assert ["a1", "a2"] == [message.aircraft for message in got]
