"""Orders: what a page may ask, and that the desk's word is what comes back. Over real sockets, to a real daemon."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from websockets.sync.client import ClientConnection

from otherseat.daemon.client import Client
from otherseat.daemon.panel.orders import RefusedOrderError, read_order
from otherseat.daemon.panel.pairing import Role
from tests.daemon.panel.rig import Daemon, Served, daemon, served
from tests.daemon.panel.test_app import listen, paired, part
from tests.scripted import final

Ask = Callable[..., dict[str, Any]]


@pytest.fixture
def source() -> Iterator[Daemon]:
    """Run a daemon with one aircraft, high on final."""
    with daemon() as running:
        running.fly(final(end=running.table.end("ZZBB/09L"), distance_nm=5.0, above_path_ft=400.0, seconds=30.0))
        yield running


@pytest.fixture
def panel(source: Daemon) -> Iterator[Served]:
    """Run its panel."""
    with served(source) as running:
        yield running


@pytest.fixture
def operator(panel: Served) -> Iterator[ClientConnection]:
    """Open a page that is paired as operator and has heard of the aircraft."""
    with listen(panel, token=paired(panel, Role.OPERATOR)) as socket:
        part(socket, "now")
        yield socket


def give(socket: ClientConnection, **order: Any) -> dict[str, Any]:
    """Give one order and return its reply."""
    socket.send(json.dumps({"id": 7, **order}))
    reply: dict[str, Any] = part(socket, "replies")[0]
    return reply


@pytest.mark.parametrize(
    "order",
    [
        {"order": "acknowledge"},
        {"order": "mute", "muted": True},
        {"order": "runway", "runway": "ZZBB/09R"},
        {"order": "weather", "report": "ZZBB 101200Z 09010KT"},
    ],
    ids=lambda order: order["order"],
)
def test_a_viewer_may_only_look(source: Daemon, panel: Served, order: dict[str, Any]) -> None:
    """Every order of a page that is not paired as operator is refused, and nothing changes."""
    with listen(panel) as socket:
        part(socket, "now")
        reply = give(socket, **order)

    assert (7, False) == (reply["id"], reply["ok"])
    with Client(feed=source.feed, desk=source.desk) as client:
        assert "ZZBB/09L" == client.ask("plan.get").plan.destination
        assert 1 == len(client.ask("acknowledge").acknowledged)


def test_an_acknowledgement_reaches_the_desk(operator: ClientConnection) -> None:
    """An alert that is acknowledged from the page still stands there, and says so."""
    reply = give(operator, order="acknowledge", alert="glidepath-high.1")

    assert {"id": 7, "ok": True, "text": "Acknowledged."} == reply
    assert [True] == [alert["acknowledged"] for alert in part(operator, "alerts")]


def test_a_refusal_of_the_desk_is_handed_on(operator: ClientConnection) -> None:
    """What the desk says no to is refused in its words."""
    reply = give(operator, order="acknowledge", alert="nothing.9")

    assert (False, "no alert nothing.9 stands") == (reply["ok"], reply["text"])


def test_the_runway_is_changed_by_plan(operator: ClientConnection, source: Daemon) -> None:
    """Another runway goes into the daemon's plan, and the page is drawn around it."""
    reply = give(operator, order="runway", runway="ZZBB/09R")

    assert {"id": 7, "ok": True, "text": "Plan: landing on ZZBB/09R."} == reply
    with Client(feed=source.feed, desk=source.desk) as client:
        plan = client.ask("plan.get").plan
    assert ("ZZAA/09", "ZZBB/09R") == (plan.departure, plan.destination)


def test_a_runway_that_does_not_exist_is_refused(operator: ClientConnection) -> None:
    """The desk knows no such place; the page says so."""
    reply = give(operator, order="runway", runway="ZZBB/18")

    assert not reply["ok"]
    assert "no such place" in reply["text"]


def test_muting_is_confirmed(operator: ClientConnection) -> None:
    """The voice is quietened by the desk's word and not before."""
    assert {"id": 7, "ok": True, "text": "The voice is muted."} == give(operator, order="mute", muted=True)


@pytest.mark.parametrize("verbosity", ["quiet", "talkative"])
def test_how_much_is_said_is_confirmed(operator: ClientConnection, verbosity: str) -> None:
    """More or less is said by the desk's word."""
    assert f"The voice is {verbosity}." == give(operator, order="verbosity", verbosity=verbosity)["text"]


def test_weather_is_typed_and_taken_over(operator: ClientConnection, source: Daemon) -> None:
    """A report typed on the page is the plan's weather from then on."""
    reply = give(operator, order="weather", report="ZZBB 101200Z 09010KT CAVOK 18/09 Q1013")

    assert {"id": 7, "ok": True, "text": "Weather taken over."} == reply
    with Client(feed=source.feed, desk=source.desk) as client:
        assert "ZZBB 101200Z 09010KT CAVOK 18/09 Q1013" == client.ask("plan.get").plan.weather


@pytest.mark.parametrize(
    "text",
    [
        "",
        "null",
        "[]",
        "{}",
        '{"id": 1}',
        '{"id": 1, "order": "fly"}',
        '{"id": -1, "order": "acknowledge"}',
        '{"id": 1, "order": "mute", "muted": "maybe"}',
        '{"id": 1, "order": "acknowledge", "aircraft": "other"}',
        '{"id": 1, "order": "runway", "runway": "../../x"}',
        '{"id": 1, "order": "weather", "report": "' + "x" * 301 + '"}',
        "{" * 2_000,
        "x" * 5_000,
        '{"id": NaN, "order": "acknowledge"}',
    ],
)
def test_what_is_no_order_is_refused(text: str) -> None:
    """Whatever a page sends is an order of ours or is refused by name."""
    with pytest.raises(RefusedOrderError):
        read_order(text)


def test_nonsense_does_not_end_the_page(operator: ClientConnection) -> None:
    """A page that sends nonsense is told so and goes on."""
    operator.send("nonsense")

    assert not part(operator, "replies")[0]["ok"]
    assert give(operator, order="acknowledge")["ok"]
