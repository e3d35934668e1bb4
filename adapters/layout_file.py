"""Layout files: found by name or path, read, and checked, with errors that point at the line."""

import re
import tomllib
from collections.abc import Iterator
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from otherseat.adapters.layout_model import Layout
from otherseat.adapters.nearest import nearest

Location = tuple[int | str, ...]

MAX_BYTES = 1_000_000
NAMED = re.compile(r"((?:message\.\d+\.)?fields\.\w+|text|pairs|tree|binary|records): (.*)", re.DOTALL)
"""The path at the beginning of the model's own complaints."""
SHOULD = re.compile(r"^\w+ should ")
"""How the library begins to say what a value is to be."""


class LayoutError(ValueError):
    """The layout can't be used; the text names file and line."""


def packaged() -> list[str]:
    """Return the names of the layouts that come with the program."""
    folder = resources.files("otherseat.config") / "layouts"
    return sorted(entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml"))


def load(name: str) -> Layout:
    """Return the layout of that packaged name, or of the file at that path; LayoutError when it is no use."""
    if name in packaged():
        text = (resources.files("otherseat.config") / "layouts" / f"{name}.toml").read_text(encoding="utf-8")
        return parse(text, origin=f"{name}.toml")
    path = Path(name)
    if not path.suffix and not path.is_file():
        own = path.parent / f"{path.name}.toml"
        meant = str(own) if own.is_file() else nearest(name, packaged())
        raise LayoutError(f"no layout called {name!r}; did you mean {meant}?")
    return parse(read(path), origin=name)


def read(path: Path) -> str:
    """Return the text of a layout file."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise LayoutError(f"{path}: too long for a layout")
        return path.read_text(encoding="utf-8")
    except OSError as error:
        hint = (
            "; `otherseat layout list` names the packaged ones, `otherseat identify` writes one"
            if not path.exists()
            else ""
        )
        raise LayoutError(f"{path}: {(error.strerror or str(error)).lower()}{hint}") from None
    except UnicodeDecodeError:
        raise LayoutError(f"{path}: not UTF-8 text") from None


def parse(text: str, *, origin: str) -> Layout:
    """Return the layout in the text; origin names it in errors."""
    try:
        return Layout.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise LayoutError(f"{origin}: {error}") from None
    except ValidationError as error:
        raise LayoutError("\n".join(complaints(error, text=text, origin=origin))) from None


def complaints(error: ValidationError, *, text: str, origin: str) -> list[str]:
    """Return one readable line for each error, without those that only follow from one further in."""
    errors = error.errors(include_url=False)
    places = [each["loc"] for each in errors]
    inner = [e for e in errors if not any(p != e["loc"] and p[: len(e["loc"])] == e["loc"] for p in places)]
    return [
        complaint(as_written(e["loc"], text=text), line, text=text, origin=origin)
        for e in inner
        for line in said(e).splitlines()
    ]


def as_written(location: Location, *, text: str) -> Location:
    """Return a place without the positions that the file doesn't have: a lone place stands there without brackets."""
    here: object = tomllib.loads(text)
    kept: list[int | str] = []
    for part in location:
        if isinstance(part, int) and not isinstance(here, list):
            continue
        kept.append(part)
        if isinstance(here, list) and isinstance(part, int):
            here = here[part]
        else:
            here = here.get(part) if isinstance(here, dict) else None
    return tuple(kept)


def said(error: ErrorDetails) -> str:
    """Return what is wrong, a line each; for a key that there is not, with the one that may be meant."""
    if error["type"] == "value_error":  # the model's own words
        return str(error["ctx"]["error"])
    if error["type"] == "missing":
        return "is missing"
    if error["type"] != "extra_forbidden":
        return f"{SHOULD.sub('must ', error['msg'])}, was {error['input']!r}"
    *tables, key = error["loc"]
    return f"no such key; did you mean {nearest(str(key), model_at(tuple(tables)).model_fields)}?"


def model_at(tables: Location) -> type[BaseModel]:
    """Return what may stand in a table of the layout."""
    model: type[BaseModel] = Layout
    for part in tables:
        if isinstance(part, str) and part in model.model_fields:
            model = next(models_in(model.model_fields[part].annotation), model)
    return model


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """Yield the models that an annotation names, however deep."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from models_in(inner)


def complaint(location: Location, message: str, *, text: str, origin: str) -> str:
    """Return one readable line; a message that begins with a path of its own says more than the location."""
    named = NAMED.match(message)
    if named:
        location = (*location, *(int(part) if part.isdecimal() else part for part in named[1].split(".")))
        message = named[2]
    where = ".".join(str(part) for part in location)
    return f"{origin}, line {line_of(location, text=text)}: {where}: {message}"


def line_of(location: Location, *, text: str) -> int:
    """Return the line (from 1) where the deepest part of the location that can be found stands."""
    lines = text.splitlines()
    found = 0
    for above, part in pairwise(("", *location)):
        if isinstance(part, str):
            found = next((n for n in range(found, len(lines)) if stands_in(lines[n], part)), found)
        elif above == "message":
            found = nth_table(lines, part, fallback=found)
    return found + 1


def nth_table(lines: list[str], index: int, *, fallback: int) -> int:
    """Return the line of the [[message]] with that index."""
    heads = [number for number, line in enumerate(lines) if re.match(r"\s*\[\[\s*message\s*\]\]", line)]
    return heads[index] if index < len(heads) else fallback


def stands_in(line: str, key: str) -> bool:
    """Say whether a line of TOML sets the key or opens its table."""
    return re.search(rf"(^|[\s\[.{{,\"']){re.escape(key)}[\"']?\s*([=\].]|$)", line) is not None
