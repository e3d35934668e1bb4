"""The published schema, held against what really travels."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import msgpack
import pytest
from click.testing import CliRunner

from otherseat.daemon.messages import Kind, encode
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


def test_the_golden_schema() -> None:
    """The schema is part of the contract: it changes only with the contract."""
    assert json.loads(GOLDEN.read_text(encoding="utf-8")) == bus_schema()


def test_the_command() -> None:
    """The command prints all of it, or one kind."""
    assert bus_schema() == json.loads(CliRunner().invoke(schema).output)
    assert feed_schema(Kind.ALERT) == json.loads(CliRunner().invoke(schema, ["--kind", "alert"]).output)
