"""The page that rules, held against the code that has to follow it."""

import re
from pathlib import Path

import pytest

from otherseat.daemon import bus, desk, feed, messages, sockets
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
