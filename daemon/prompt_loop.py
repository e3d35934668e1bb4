"""PromptLoop: asyncio's selector loop, in which a socket's reader is called as soon as the socket is ready.

The usual way there, a list of events, a list of handles and a context to run in, costs as much as a third of sending
the message that comes of it, whenever the loop was asleep before: sixty times a second that is most of the time.
"""

import asyncio
import selectors
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVarTuple

if TYPE_CHECKING:
    from _typeshed import FileDescriptorLike

Arguments = TypeVarTuple("Arguments")
Ready = list[tuple[selectors.SelectorKey, int]]


class PromptLoop(asyncio.SelectorEventLoop):
    """A selector loop that calls readers at once."""

    def __init__(self) -> None:
        self._prompt = PromptSelector(self._report)
        super().__init__(self._prompt)

    def add_reader(self, fd: "FileDescriptorLike", callback: Callable[[*Arguments], Any], *args: *Arguments) -> None:
        """Call back whenever fd can be read."""
        super().add_reader(fd, callback, *args)
        self._prompt.readers[self._prompt.get_key(fd).fd] = partial(callback, *args)

    def remove_reader(self, fd: "FileDescriptorLike") -> bool:
        """Call back no more; say whether there was a callback."""
        self._prompt.readers.pop(fd if isinstance(fd, int) else fd.fileno(), None)
        return super().remove_reader(fd)

    def _report(self, error: Exception) -> None:
        self.call_exception_handler({"message": "a reader failed", "exception": error})


class PromptSelector(selectors.DefaultSelector):
    """Calls the readers that it knows, and returns what is ready besides."""

    def __init__(self, report: Callable[[Exception], None]) -> None:
        super().__init__()
        self.readers: dict[int, Callable[[], object]] = {}
        self._report = report

    def select(self, timeout: float | None = None) -> Ready:
        """Wait at most so long, in seconds; None is for ever."""
        return [(key, events) for key, events in super().select(timeout) if not self._is_read(key)]

    def _is_read(self, key: selectors.SelectorKey) -> bool:
        read = self.readers.get(key.fd)
        if read is None:
            return False
        try:
            read()
        except Exception as error:  # noqa: BLE001 - as in asyncio: one reader's fault must not end the others
            self._report(error)
        return True
