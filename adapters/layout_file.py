"""Layout files: found by name or path, read, and checked, with errors that point at the line."""

import re
import tomllib
from importlib import resources
from pathlib import Path

from pydantic import ValidationError

from otherseat.adapters.layout_model import Layout
from otherseat.adapters.nearest import nearest

MAX_BYTES = 1_000_000


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
        raise LayoutError(f"no layout called {name!r}; did you mean {nearest(name, packaged())}?")
    return parse(read(path), origin=name)


def read(path: Path) -> str:
    """Return the text of a layout file."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise LayoutError(f"{path}: too long for a layout")
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise LayoutError(f"{path}: {error.strerror}") from None
    except UnicodeDecodeError:
        raise LayoutError(f"{path}: not UTF-8 text") from None


def parse(text: str, *, origin: str) -> Layout:
    """Return the layout in the text; origin names it in errors."""
    try:
        return Layout.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise LayoutError(f"{origin}: {error}") from None
    except ValidationError as error:
        raise LayoutError("\n".join(complaint(each, text=text, origin=origin) for each in error.errors())) from None


def complaint(error: object, *, text: str, origin: str) -> str:
    """Return one readable line for one of pydantic's errors."""
    details: dict[str, object] = dict(error)  # type: ignore[call-overload]  # pydantic's ErrorDetails is a mapping
    location: tuple[str | int, ...] = details["loc"]  # type: ignore[assignment]  # as pydantic documents it
    message = str(details["msg"]).removeprefix("Value error, ")
    named = re.match(r"fields\.(\w+): (.*)", message, re.DOTALL)
    if named:
        location, message = (*location, "fields", named[1]), named[2]
    where = ".".join(str(part) for part in location)
    return f"{origin}, line {line_of(location, text=text)}: {where}: {message}"


def line_of(location: tuple[str | int, ...], *, text: str) -> int:
    """Return the line (from 1) where the deepest part of the location that can be found stands."""
    lines = text.splitlines()
    found = 0
    for part in location:
        if isinstance(part, int):
            found = nth_table(lines, part, fallback=found)
        else:
            found = next((n for n in range(found, len(lines)) if stands_in(lines[n], part)), found)
    return found + 1


def nth_table(lines: list[str], index: int, *, fallback: int) -> int:
    """Return the line of the [[message]] with that index."""
    heads = [number for number, line in enumerate(lines) if re.match(r"\s*\[\[\s*message\s*\]\]", line)]
    return heads[index] if index < len(heads) else fallback


def stands_in(line: str, key: str) -> bool:
    """Say whether a line of TOML sets the key or opens its table."""
    return re.search(rf"(^|[\s\[.{{,\"']){re.escape(key)}[\"']?\s*([=\].]|$)", line) is not None
