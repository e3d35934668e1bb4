"""The published schema, held against what really travels."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jsonschema
import msgpack
import pytest
from click.testing import CliRunner
from pydantic import TypeAdapter

from otherseat.daemon.field_words import described, field_words
from otherseat.daemon.messages import Kind
from otherseat.daemon.packing import encode
from otherseat.daemon.schema import bus_schema, feed_schema, schema
from otherseat.daemon.verbs import VERBS
from tests.daemon.samples import BODIES

GOLDEN = Path(__file__).parent / "golden" / "schema.json"


def seen(kind: Kind) -> dict[str, Any]:
    """Return a message as another language would see it."""
    frame: dict[str, Any] = msgpack.unpackb(encode(kind, BODIES[kind], session="0badcafe", seq=7, time_s=1.0))
    return frame


def check(instance: Any, against: dict[str, Any]) -> None:
    """Validate with a library that is not ours."""
    jsonschema.Draft202012Validator.check_schema(against)
    jsonschema.Draft202012Validator(against).validate(instance)


@pytest.mark.parametrize("kind", list(Kind))
def test_what_travels_fits_the_schema(kind: Kind) -> None:
    """Every kind of message is as its schema says, and may have additions."""
    check(seen(kind), feed_schema(kind))
    check({**seen(kind), "news": 1}, feed_schema(kind))


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("key", ["schema", "session", "seq", "time_s", "body"])
def test_the_schema_notices_what_is_missing(kind: Kind, key: str) -> None:
    """A schema that accepts anything would be of no use: each part of the envelope is required."""
    frame = seen(kind)
    del frame[key]

    with pytest.raises(jsonschema.ValidationError):
        check(frame, feed_schema(kind))


@pytest.mark.parametrize(
    ("kind", "field", "value"),
    [
        (Kind.STATE, "bank_deg", "steep"),
        (Kind.STATE, "bank_deg", None),
        (Kind.PICTURE, "phase", "gliding"),
        (Kind.ALERT, "level", 3),
        (Kind.ALERT, "change", "gone"),
        (Kind.STANDING, "alerts", [{"id": "x.1"}]),
        (Kind.HEALTH, "uptime_s", -1.0),
    ],
)
def test_the_schema_notices_what_is_wrong(kind: Kind, field: str, value: object) -> None:
    """A value of another kind, and null, are not as the schema says."""
    frame = seen(kind)
    frame["body"][field] = value

    with pytest.raises(jsonschema.ValidationError):
        check(frame, feed_schema(kind))


@pytest.mark.parametrize("verb", sorted(VERBS))
def test_requests_and_replies_have_schemas(verb: str) -> None:
    """Each verb's request and reply is described by a valid schema, and an unknown key of a request is not."""
    described = bus_schema()["desk"][verb]
    jsonschema.Draft202012Validator.check_schema(described["request"])
    jsonschema.Draft202012Validator.check_schema(described["reply"])

    with pytest.raises(jsonschema.ValidationError):
        check({"sneak": 1}, described["request"])


def undescribed(schema: Any, path: str = "") -> Iterator[str]:
    """Yield every property without a description."""
    if isinstance(schema, list):
        for item in schema:
            yield from undescribed(item, path)
    elif isinstance(schema, dict):
        properties = schema.get("properties", {})
        yield from (f"{path}.{name}" for name, about in properties.items() if not about.get("description"))
        for name, item in schema.items():
            yield from undescribed(item, f"{path}.{name}")


def test_every_field_is_described() -> None:
    """Each field of each message, request and reply says what it is."""
    assert [] == list(undescribed({name: bus_schema()[name] for name in ("feed", "request", "desk")}))


def test_a_field_without_words_shows() -> None:
    """A class whose field says nothing is found out."""

    @dataclass
    class Spoon:
        """A spoon."""

        length_mm: float
        """From tip to tip."""
        silver: bool

    assert {"Spoon": {"length_mm": "From tip to tip."}} == field_words([Spoon])
    assert [".silver"] == list(undescribed(described(TypeAdapter(Spoon).json_schema(), field_words([Spoon]))))


def test_the_golden_schema() -> None:
    """The schema is part of the contract: it changes only with the contract."""
    assert json.loads(GOLDEN.read_text(encoding="utf-8")) == bus_schema()


def test_the_command() -> None:
    """The command prints all of it, or one kind."""
    assert bus_schema() == json.loads(CliRunner().invoke(schema).output)
    assert feed_schema(Kind.ALERT) == json.loads(CliRunner().invoke(schema, ["--kind", "alert"]).output)
