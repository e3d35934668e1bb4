"""The house: which room may know which, and what the engine may never touch."""

import ast
import tomllib
from collections.abc import Iterator
from importlib.metadata import entry_points
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FLOORS = {"advisories": set(), "adapters": {"advisories"}, "config": {"advisories"}}
"""What a room may import besides itself; daemon/ may import every room."""
RIM = {"socket", "select", "selectors", "ssl", "asyncio", "threading", "multiprocessing", "subprocess", "time", "zmq"}
IMPURE = RIM | {"os", "io", "pathlib", "tempfile", "logging", "structlog", "random", "datetime"}
"""What advisories/ may not import: clocks, sockets, threads, files, logs, chance."""
CALLS_FILES = {"open", "print", "input"}


def modules(room: str) -> list[Path]:
    """Return every Python file of a room."""
    return sorted((ROOT / room).rglob("*.py"))


def imports(path: Path) -> Iterator[str]:
    """Yield the full name of everything that a file imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: import absolutely"
            yield node.module or ""


@pytest.mark.parametrize("room", FLOORS)
def test_arrows_point_down(room: str) -> None:
    """A room imports only itself and what lies beneath it."""
    allowed = {f"otherseat.{name}" for name in FLOORS[room] | {room}}
    wrong = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in modules(room)
        for name in imports(path)
        if name.startswith("otherseat") and ".".join(name.split(".")[:2]) not in allowed
    ]

    assert [] == wrong


def test_the_engine_is_pure() -> None:
    """advisories/ imports no clock, socket, file, thread, log or chance, and opens nothing."""
    wrong = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in modules("advisories")
        for name in imports(path)
        if name.split(".")[0] in IMPURE
    ]
    wrong += [
        f"{path.relative_to(ROOT)}: {node.func.id}()"
        for path in modules("advisories")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS_FILES
    ]

    assert [] == wrong


def test_adapters_have_one_rim() -> None:
    """Only the listener, which reads, and the forwarder, which passes on, open sockets or read clocks in adapters/."""
    wrong = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in modules("adapters")
        if path.name not in {"listener.py", "forwarder.py"}
        for name in imports(path)
        if name.split(".")[0] in RIM
    ]

    assert [] == wrong


@pytest.mark.parametrize(
    ("group", "room"), [("otherseat.adapters", "adapters"), ("otherseat.advisories", "advisories")]
)
def test_every_plugin_file_is_registered_once(group: str, room: str) -> None:
    """A file that defines ADAPTER or ADVISORY stands in pyproject.toml exactly once, under its own name."""
    constant = {"adapters": "ADAPTER", "advisories": "ADVISORY"}[room]
    found = {
        path.stem.replace("_", "-"): f"otherseat.{room}.{path.stem}:{constant}"
        for path in modules(room)
        if any(
            isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == constant for t in node.targets)
            for node in ast.parse(path.read_text(encoding="utf-8")).body
        )
    }
    pyproject = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

    assert found == pyproject["project"]["entry-points"][group]
    assert set(found) == {entry.name for entry in entry_points(group=group)}


def test_every_subpackage_is_installed() -> None:
    """A folder with Python files in it is on the package list, so that a wheel has it."""
    pyproject = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    folders = {
        "otherseat." + ".".join(path.parent.relative_to(ROOT).parts)
        for room in (*FLOORS, "daemon")
        for path in modules(room)
    }

    assert folders == set(pyproject["packages"])
    assert folders == set(pyproject["package-dir"])
