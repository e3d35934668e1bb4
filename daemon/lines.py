"""Lines: text for a terminal or a file, written by a thread of its own.

A terminal that is held (a selection in its window is enough), a pipe that nobody reads or a full disk must not stop the
loop: write() puts the text into a queue and returns. What is too much for the queue is dropped; an output that is gone
is given up without a word, for there is nowhere left to say it.
"""

import contextlib
import os
import queue
import sys
import threading
from typing import TextIO, cast

WAITING = 10_000
CLOSE_WITHIN_S = 1.0


class Lines:
    """A text stream, as far as print and structlog need one."""

    def __init__(self, stream: TextIO, *, waiting: int = WAITING) -> None:
        self._stream = stream
        self._queue: queue.Queue[str | None] = queue.Queue(maxsize=waiting)
        self._thread = threading.Thread(target=self._run, name="lines", daemon=True)
        self._thread.start()

    @property
    def stream(self) -> TextIO:
        """Return this as what print, click and structlog take; they only write and flush."""
        return cast("TextIO", self)

    def write(self, text: str) -> int:
        """Take text; never waits, never raises."""
        with contextlib.suppress(queue.Full):
            self._queue.put_nowait(text)
        return len(text)

    def isatty(self) -> bool:
        """Say whether it is a terminal that is written to."""
        return self._stream.isatty()

    def flush(self) -> None:
        """Do nothing: the thread writes everything at once."""

    def close(self) -> None:
        """Write what waits; an output that takes nothing is left behind."""
        with contextlib.suppress(queue.Full):
            self._queue.put_nowait(None)
        self._thread.join(CLOSE_WITHIN_S)

    def _run(self) -> None:
        try:
            while (text := self._queue.get()) is not None:
                self._put(text)
        except (OSError, ValueError):
            self._give_up()

    def _put(self, text: str) -> None:
        """Write past the stream's own buffer: a thread held in there would hold up the end of the program too."""
        descriptor = _descriptor(self._stream)
        if descriptor is None:
            self._stream.write(text)
            self._stream.flush()
            return
        left = text.encode(self._stream.encoding or "utf-8", errors="replace")
        while left:
            left = left[os.write(descriptor, left) :]

    def _give_up(self) -> None:
        """Have what is still to come, also from the interpreter's own end, go nowhere."""
        descriptor = _descriptor(self._stream)
        if descriptor is not None:
            with contextlib.suppress(OSError), open(os.devnull, "wb") as nowhere:  # noqa: PTH123 - no path of a file
                os.dup2(nowhere.fileno(), descriptor)


def _descriptor(stream: TextIO) -> int | None:
    """Return the stream's descriptor; None where text must go through the stream (Windows, tests)."""
    if sys.platform == "win32":
        return None
    with contextlib.suppress(OSError, ValueError, AttributeError):
        return stream.fileno()
    return None
