"""ReadyRunner: asyncio's runner, so that Ctrl-C at any moment leaves no complaint of python's own behind.

Its loop is made at once, before anybody is told to press Ctrl-C: half made it would complain. What it is given to run
is closed in any case: interrupted before it begins it would complain, too.
"""

import asyncio
import contextlib
from collections.abc import Callable, Coroutine
from typing import Any, Self, TypeVar

Result = TypeVar("Result")


class ReadyRunner:
    """A runner whose loop is there once it is entered."""

    def __init__(self, loop_factory: Callable[[], asyncio.AbstractEventLoop] = asyncio.SelectorEventLoop) -> None:
        self._runner = asyncio.Runner(loop_factory=loop_factory)

    def __enter__(self) -> Self:
        self._runner.__enter__()
        self.loop = self._runner.get_loop()
        return self

    def __exit__(self, *_: object) -> None:
        self._runner.close()

    def run(self, work: Coroutine[Any, Any, Result]) -> Result:
        """Run it to its end, or close it."""
        with contextlib.closing(work):
            return self._runner.run(work)
