"""Every topic there is, found by its test module."""

from importlib import import_module
from pathlib import Path

from tests.standards.topic import Topic


def topics() -> list[Topic]:
    """Return the topics of the test modules beside this one, by name."""
    modules = [import_module(f"tests.standards.{file.stem}") for file in Path(__file__).parent.glob("test_*.py")]
    return sorted((m.TOPIC for m in modules if hasattr(m, "TOPIC")), key=lambda topic: topic.name)
