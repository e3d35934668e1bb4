"""The page that rules, held against the code that has to follow it."""

import dataclasses
import re
from pathlib import Path

import pytest

from otherseat.daemon import bus, client, desk, feed, messages, sockets
from otherseat.daemon.client import AsyncClient, AsyncSubscription, Client, Message, Subscription
from otherseat.daemon.keys import Role
from otherseat.daemon.messages import Kind
from otherseat.daemon.scene import MISSING_S
from otherseat.daemon.schema import ENVELOPE
from otherseat.daemon.service import ASKED_AT_ONCE, ASKED_PER_S
from otherseat.daemon.verbs import VERBS, Verb

PAGE = (Path(bus.__file__).parent / "bus.md").read_text(encoding="utf-8")
TEXT = " ".join(PAGE.split())


def rows(first_header: str) -> dict[str, list[str]]:
    """Return the rows of the table whose first column has this header, by their first cell."""
    table = re.search(rf"^\| {first_header} \|.*\n\| ---.*\n((?:\|.*\n)+)", PAGE, re.MULTILINE)
    assert table is not None
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in table[1].splitlines()]
    return {row[0].strip("`"): row[1:] for row in cells}


def test_the_version() -> None:
    """The page is about the schema that the code speaks."""
    assert f"schema version **{messages.SCHEMA}**" in TEXT


def test_the_addresses() -> None:
    """The page gives the addresses that the code binds."""
    assert [sockets.FEED, sockets.DESK] == [row[0].strip("`") for row in rows("socket").values()]


def test_the_kinds() -> None:
    """Every kind of message is on the page, and nothing else."""
    assert {kind.value for kind in Kind} == rows("kind").keys()


def test_the_envelope() -> None:
    """Every key of the envelope is on the page."""
    assert ENVELOPE.keys() | {"body"} == rows("key").keys()


def test_the_verbs() -> None:
    """Every verb is on the page, and nothing else."""
    assert VERBS.keys() == rows("verb").keys()


@pytest.mark.parametrize("verb", VERBS.values(), ids=list(VERBS))
def test_a_verb(verb: Verb) -> None:
    """The page says of a verb whether it is an order, and names every key of its request."""
    kind, request, _ = rows("verb")[verb.name]

    assert ("order" if verb.order else "question") == kind
    assert set(verb.request.model_fields) == set(re.findall(r"`(\w+)`", request))


@pytest.mark.parametrize(
    "said",
    [
        f"keeps {feed.FEED_HIGH_WATER:,} messages for a reader that is slow",
        f"more than {desk.REQUEST_BYTES:,} bytes",
        f"may ask {ASKED_AT_ONCE:,.0f} things at once and {ASKED_PER_S:,.0f} a second",
        f"a `{Role.READER.value}` may listen and ask",
        f"an `{Role.OPERATOR.value}` may give orders",
        f"not heard for {['zero', 'one', 'two', 'three'][int(MISSING_S)]} seconds is gone",
    ],
)
def test_the_numbers(said: str) -> None:
    """Numbers on the page are those of the code."""
    assert said in TEXT


def public(kind: type) -> set[str]:
    """Return the names that a user of a class may use."""
    return {name for name in dir(kind) if not name.startswith("_")}


@pytest.mark.parametrize(
    ("header", "blocking", "awaited"),
    [("of a client", Client, AsyncClient), ("of a subscription", Subscription, AsyncSubscription)],
    ids=["client", "subscription"],
)
def test_the_client(header: str, blocking: type, awaited: type) -> None:
    """Every public method of the client and of a subscription is on the page, and both kinds have the same."""
    told = {name.partition("(")[0] for name in rows(header)} - {blocking.__name__}

    assert public(blocking) == told
    assert public(awaited) == told


def test_everything_that_the_client_gives_away() -> None:
    """What the client module offers, and every part of a message, is named on the page."""
    parts = {field.name for field in dataclasses.fields(Message)} | public(Message)
    offered = set(client.__all__) - {"Subscription", "AsyncSubscription", "Message"}

    assert [] == [name for name in sorted(parts | offered) if f"`{name}" not in PAGE]


def test_the_example_for_asyncio() -> None:
    """The example on the page is a program that compiles."""
    example = re.search(r"(    async with AsyncClient.*?)\n\n##", PAGE, re.DOTALL)
    assert example is not None

    compile(f"async def example():\n{example[1]}", "bus.md", "exec")
