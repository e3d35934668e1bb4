"""ReadyRunner: asyncio's runner, so that Ctrl-C at any moment leaves no complaint of python's own behind.

Its loop is made at once, before anybody is told to press Ctrl-C: half made it would complain. What it is given to run
is closed when it was interrupted before it became a task: never awaited it would complain, too. What is a task already
is left to the runner, which cancels it at its end: closed it would complain of that. Ctrl-C while the runner makes
itself ready for it is forgotten by it, and comes out as a cancellation: nobody else cancels a command.
"""

import asyncio
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
        """Run it to its end, or close it; KeyboardInterrupt when it is cancelled."""
        try:
            return self._runner.run(work)
        except asyncio.CancelledError:
            raise KeyboardInterrupt from None
        finally:
            if not any(task.get_coro() is work for task in asyncio.all_tasks(self.loop)):
                work.close()
