"""`otherseat schema`: the JSON Schema of everything on the bus, made from the code that packs and checks it.

Descriptions are the strings below the fields in the code (field_words.py). msgpack has no schema language of its own;
JSON Schema describes the same maps. Bytes (the frames of a snapshot) are the one thing that JSON lacks; they are marked
with the format "binary".
"""

import json
from typing import Any

import click
from pydantic import BaseModel, TypeAdapter

from otherseat.daemon.field_words import described, field_words
from otherseat.daemon.messages import BODIES, SCHEMA, Kind, adapter_of
from otherseat.daemon.verbs import VERBS, Asked

DIALECT = "https://json-schema.org/draft/2020-12/schema"

ENVELOPE = {
    "schema": {"const": SCHEMA, "description": "Version of the contract."},
    "session": {"type": "string", "description": "Drawn when the daemon starts."},
    "seq": {"type": "integer", "minimum": 1, "description": "Counts up by one within a session and a topic."},
    "time_s": {"type": "number", "description": "The simulator's time that the message is about."},
}


def bus_schema() -> dict[str, Any]:
    """Return the schema of every message, request and reply, by name."""
    return {
        "$schema": DIALECT,
        "title": "The bus of otherseat",
        "version": SCHEMA,
        "feed": {kind.value: feed_schema(kind) for kind in Kind},
        "request": described(TypeAdapter(Asked).json_schema(), field_words([Asked])),
        "desk": {
            name: {
                "summary": verb.summary,
                "order": verb.order,
                "request": described(verb.request.model_json_schema(), field_words([verb.request])),
                "reply": reply_schema(verb.reply),
            }
            for name, verb in VERBS.items()
        },
    }


def feed_schema(kind: Kind) -> dict[str, Any]:
    """Return the schema of one kind's second frame."""
    words = field_words([BODIES[kind]])
    body = described(_readers(adapter_of(kind).json_schema(mode="serialization")), words)
    shared = body.pop("$defs", None)
    schema: dict[str, Any] = {
        "$schema": DIALECT,
        "title": kind.value,
        "type": "object",
        "properties": {**ENVELOPE, "body": body},
        "required": [*ENVELOPE, "body"],
    }
    return schema if shared is None else {**schema, "$defs": shared}


def reply_schema(reply: type[BaseModel]) -> dict[str, Any]:
    """Return the schema of a reply's body."""
    schema: dict[str, Any] = described(_readers(reply.model_json_schema(mode="serialization")), field_words([reply]))
    return schema


def _readers(schema: Any) -> Any:
    """Return a schema as a reader must take it: what is missing is left out, and additions are ignored."""
    if isinstance(schema, list):
        return [_readers(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {
        name: _readers(value)
        for name, value in schema.items()
        if not (name == "additionalProperties" and value is False) and not (name == "default" and value is None)
    }
    if "required" in kept and "properties" in kept:
        kept["required"] = [name for name in kept["required"] if "default" not in schema["properties"][name]]
    return _without_null(kept)


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    """Return a schema without the choice of null: a value that is missing is left out of its map."""
    choices = [choice for choice in schema.get("anyOf", []) if choice != {"type": "null"}]
    if len(choices) == len(schema.get("anyOf", [])):
        return schema
    rest = {name: value for name, value in schema.items() if name != "anyOf"}
    return {**rest, **choices[0]} if len(choices) == 1 else {**rest, "anyOf": choices}


@click.command(epilog="Example: otherseat schema > bus.json")
@click.option("--kind", type=click.Choice([kind.value for kind in Kind]), help="One kind of message only.")
def schema(kind: str | None) -> None:
    """Print the JSON Schema of everything that is on the bus."""
    printed = bus_schema() if kind is None else feed_schema(Kind(kind))
    click.echo(json.dumps(printed, indent=2, sort_keys=True))
