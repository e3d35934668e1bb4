"""The page about faults and threats: every line of its tables is held by a test that is there."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
PAGE = ROOT / "daemon" / "hardening.md"
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", PAGE.read_text(encoding="utf-8"))))


@pytest.mark.parametrize(("file", "test"), NAMED)
def test_every_named_test_is_there(file: str, test: str) -> None:
    """A test that the page names exists under that name."""
    names = {
        node.name
        for node in ast.walk(ast.parse((ROOT / file).read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
    }

    assert test in names


def test_every_fault_is_on_the_page() -> None:
    """A test of a fault stands in the table."""
    here = {
        (f"tests/faults/{path.name}", node.name)
        for path in Path(__file__).parent.glob("test_*.py")
        if path != Path(__file__)
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }

    assert set() == here - set(NAMED)
