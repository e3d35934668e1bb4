"""TOML files into pydantic models: every way to get one wrong ends in a ConfigError of one line.

Values are checked strictly: a number in quotes is not a number, and neither are nan and inf.
"""

import difflib
import json
import tomllib
import types
from collections.abc import Callable, Mapping, Sequence
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from otherseat.config.errors import ConfigError

M = TypeVar("M", bound=BaseModel)
Location = tuple[int | str, ...]

MAX_BYTES = 16_000_000
"""More than any file that a person writes."""


def read_toml(*, path: Path | Traversable) -> dict[str, Any]:
    """Return the tables of a TOML file, or raise ConfigError."""
    try:
        with path.open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
    except OSError as error:
        reason = "a folder, not a file" if path.is_dir() else (error.strerror or type(error).__name__).lower()
        raise ConfigError(file=str(path), key="", problem=f"can't be read: {reason}") from error
    if len(content) > MAX_BYTES:
        raise ConfigError(file=str(path), key="", problem=f"can't be read: longer than {MAX_BYTES} bytes")
    try:
        return tomllib.loads(content.decode("utf-8"))
    except UnicodeDecodeError as error:
        raise ConfigError(file=str(path), key="", problem=f"is not UTF-8 at byte {error.start}") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise ConfigError(file=str(path), key="", problem=f"is not TOML: {error}") from error


def read_model(*, path: Path | Traversable, model: type[M]) -> M:
    """Return the model that a TOML file describes, or raise ConfigError."""
    return to_model(file=str(path), tables=read_toml(path=path), model=model)


def to_model(*, file: str, tables: Mapping[str, Any], model: type[M]) -> M:
    """Return the model made of tables, or raise ConfigError in the file's name."""
    try:
        return model.model_validate_json(json.dumps(tables, default=str), strict=True)
    except ValidationError as error:
        found = _deepest(error.errors(include_url=False))
        # a key that there is not says most: what is missing is often it, misspelt
        first, *others = sorted(found, key=lambda each: each["type"] != "extra_forbidden")
        problem = _problem(first, model=model) + _more(len(others))
        raise ConfigError(file=file, key=_key(first["loc"]), problem=problem) from error


def nearest(name: str, choices: Sequence[str]) -> str:
    """Return the end of an error line about a wrong name: the choice nearest to it, or all when they are few."""
    close = difflib.get_close_matches(name, choices, n=1, cutoff=0.6)
    if close:
        return f"; did you mean {close[0]}?"
    return f"; choose from: {', '.join(choices)}" if choices else ""


def _deepest(errors: Sequence[Any]) -> list[Any]:
    """Leave out what only follows from an error further in, such as a list that is too short without its bad items."""
    inner = [error["loc"] for error in errors]
    return [e for e in errors if not any(loc != e["loc"] and loc[: len(e["loc"])] == e["loc"] for loc in inner)]


def _more(count: int) -> str:
    return f" (and {count} more)" if count else ""


def _key(location: Location) -> str:
    key = ""
    for part in location:
        key += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return key.removeprefix(".")


def _problem(error: Any, *, model: type[BaseModel]) -> str:
    if error["type"] == "extra_forbidden":
        *parents, name = error["loc"]
        return f"no such key{nearest(str(name), _keys_at(model, tuple(parents)))}"
    return describe(error)


def describe(error: Any) -> str:
    """Return one of pydantic's errors, its place left aside, in plain words."""
    say = PROBLEMS.get(error["type"])
    if say is not None:
        return say(error.get("ctx", {}), error["input"])
    return f"{error['msg'][:1].lower()}{error['msg'][1:]}, was {_shown(error['input'])}"


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    shown = json.dumps(value, default=str, ensure_ascii=False)
    return shown if len(shown) <= 60 else f"{shown[:57]}..."  # noqa: PLR2004 - an error stays one line


PROBLEMS: Mapping[str, Callable[[Mapping[str, Any], Any], str]] = {
    "missing": lambda _ctx, _input: "is missing",
    "value_error": lambda ctx, _input: str(ctx["error"]),
    "float_type": lambda _ctx, value: f"must be a number, was {_shown(value)}",
    "finite_number": lambda _ctx, value: f"must be a number, was {_shown(value)}",
    "int_type": lambda _ctx, value: f"must be a whole number, was {_shown(value)}",
    "int_from_float": lambda _ctx, value: f"must be a whole number, was {_shown(value)}",
    "bool_type": lambda _ctx, value: f"must be true or false, was {_shown(value)}",
    "string_type": lambda _ctx, value: f"must be text in quotes, was {_shown(value)}",
    "tuple_type": lambda _ctx, value: f"must be a list, was {_shown(value)}",
    "list_type": lambda _ctx, value: f"must be a list, was {_shown(value)}",
    "model_type": lambda _ctx, value: f"must be a table of keys, was {_shown(value)}",
    "greater_than": lambda ctx, value: f"must be more than {ctx['gt']:g}, was {_shown(value)}",
    "greater_than_equal": lambda ctx, value: f"must be at least {ctx['ge']:g}, was {_shown(value)}",
    "less_than": lambda ctx, value: f"must be less than {ctx['lt']:g}, was {_shown(value)}",
    "less_than_equal": lambda ctx, value: f"must be at most {ctx['le']:g}, was {_shown(value)}",
    "too_short": lambda ctx, _input: f"needs at least {ctx['min_length']}, has {ctx['actual_length']}",
    "too_long": lambda ctx, _input: f"takes at most {ctx['max_length']}, has {ctx['actual_length']}",
    "string_too_short": lambda _ctx, _input: "must not be empty",
    "string_too_long": lambda ctx, value: f"must be at most {ctx['max_length']} letters long, was {_shown(value)}",
    "literal_error": lambda ctx, value: f"must be {ctx['expected']}, was {_shown(value)}",
    "enum": lambda ctx, value: f"must be {ctx['expected']}, was {_shown(value)}",
}
"""Pydantic's kinds of error in plain words."""


def _keys_at(model: type[BaseModel], location: Location) -> list[str]:
    """Return the keys that a table at that place of the file may have."""
    here: Any = model
    for part in location:
        if isinstance(part, str) and _is_model(here):
            field = _fields_by_key(here).get(part)
            here = field.annotation if field is not None else None
        here = _inner(here)
    return list(_fields_by_key(here)) if _is_model(here) else []


def _fields_by_key(model: type[BaseModel]) -> dict[str, Any]:
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _is_model(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _inner(kind: Any) -> Any:
    """Look through optional values, lists and maps at what they hold."""
    while not _is_model(kind):
        arguments = [a for a in get_args(kind) if a is not type(None) and a is not Ellipsis]
        if not arguments:
            return kind
        union = get_origin(kind) in (Union, types.UnionType)
        kind = next((a for a in arguments if _is_model(a)), arguments[0] if union else arguments[-1])
    return kind
