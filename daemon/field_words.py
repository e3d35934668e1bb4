"""Field words: what the code says about each field, for the schema. The string below a field is its description.

There is no second list: whoever adds a field describes it where it stands. Read from the source, and only when the
schema is wanted: nothing of it costs a daemon anything.
"""

import ast
import functools
import inspect
import itertools
import textwrap
from collections.abc import Iterator
from dataclasses import is_dataclass
from typing import Any, get_args, get_type_hints

from pydantic import BaseModel


def field_words(roots: list[type]) -> dict[str, dict[str, str]]:
    """Return the description of every field by class name, for these classes and all that they are made of."""
    return {kind.__name__: _words_of(kind) for kind in _classes(roots)}


def described(schema: Any, words: dict[str, dict[str, str]]) -> Any:
    """Return a JSON Schema with a description at each property of the classes in words."""
    if isinstance(schema, list):
        return [described(item, words) for item in schema]
    if not isinstance(schema, dict):
        return schema
    told = {name: described(value, words) for name, value in schema.items()}
    mine = words.get(str(schema.get("title")), {})
    for name, about in mine.items():
        if name in told.get("properties", {}):
            told["properties"][name] = {**told["properties"][name], "description": about}
    return told


def _classes(roots: list[type]) -> list[type]:
    """Return the classes that have fields, each once, found through the kinds of their fields."""
    found: dict[type, None] = {}
    waiting = list(roots)
    while waiting:
        kind = waiting.pop()
        if kind not in found:
            found[kind] = None
            waiting += _inside(kind)
    return list(found)


@functools.cache
def _inside(kind: type) -> list[type]:
    return [each for hint in get_type_hints(kind).values() for each in _named(hint)]


def _named(hint: Any) -> Iterator[type]:
    """Yield the classes with fields in a type, such as Fix in tuple[Fix, ...] | None."""
    if isinstance(hint, type) and (is_dataclass(hint) or issubclass(hint, BaseModel)):
        yield hint
    for part in get_args(hint):
        yield from _named(part)


@functools.cache
def _words_of(kind: type) -> dict[str, str]:
    """Return the strings below a class's fields, those of its own before those of its bases."""
    words: dict[str, str] = {}
    for base in reversed(kind.__mro__):
        if is_dataclass(base) or (issubclass(base, BaseModel) and base is not BaseModel):
            words |= _read(base)
    return words


def _read(kind: type) -> dict[str, str]:
    tree = ast.parse(textwrap.dedent(inspect.getsource(kind))).body[0]
    body = tree.body if isinstance(tree, ast.ClassDef) else []
    return {
        line.target.id: " ".join(below.value.value.split())
        for line, below in itertools.pairwise(body)
        if isinstance(line, ast.AnnAssign)
        and isinstance(line.target, ast.Name)
        and isinstance(below, ast.Expr)
        and isinstance(below.value, ast.Constant)
        and isinstance(below.value.value, str)
    }
