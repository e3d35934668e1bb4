"""structlog, imported without rich.

It looks for rich when it is imported, to colour tracebacks on a terminal; the log here is JSON and never coloured. What
that takes is 40 ms of the daemon's start and 5 MB of its memory. Whoever wants rich imports it afterwards as ever.
"""

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextmanager
def _hidden(name: str) -> "Iterator[None]":
    """Have imports of the module fail, unless it is there already."""
    if name in sys.modules:
        yield
        return
    sys.modules[name] = None  # type: ignore[assignment]  # documented: the import then raises ModuleNotFoundError
    try:
        yield
    finally:
        del sys.modules[name]


with _hidden("rich"):
    import structlog

__all__ = ["structlog"]
