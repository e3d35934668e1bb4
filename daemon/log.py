"""The log: one JSON object a line, fixed event names, values as keys.

On a terminal   the lines go into a file of their own; the person there gets a plain sentence for each warning and error
Elsewhere       the lines go to standard error, for whoever keeps them (a journal, a pipe)
The file        otherseat.log in the system's folder for logs, and otherseat.old.log: begun anew once it is long
"""

import atexit
import contextlib
import logging
import sys
from collections import defaultdict
from pathlib import Path
from typing import Any, TextIO, cast

import platformdirs

from otherseat.daemon.lines import Lines
from otherseat.daemon.without_rich import structlog

LONG_BYTES = 2**20
TOLD = frozenset({"warning", "error", "critical", "exception"})
"""The levels of which a person on the terminal is told."""
SENTENCES = {
    "recorder": "{trouble}",
    "voice is silent": "the voice is silent: {reason}",
    "voice has not the device it wants": "{reason}",
    "silent": "nothing usable comes from the simulator any more (aircraft {aircraft})",
    "misfit": "{source}: {reason}",
    "datagram refused": "a datagram can't be used: {reason} ({detail})",
    "two_under_one_name": "two aircraft come under the name {aircraft}: give each simulator a port and a name of its "
    "own (a [[source]] each, with port and aircraft, in the settings)",
    "advisory_failed": "check {advisory} has failed; the log says how",
    "advisory_hangs": "check {advisory} hangs",
    "engine_failed": "a state could not be worked out; the log says why",
}
"""What a person is told of the commonest; of all others their name and values."""
REASONS = frozenset({"reason", "fault", "trouble", "error", "detail"})
UNTOLD = frozenset({"event", "level", "timestamp", "exception", "exc_info"})


def set_up_log(*, level: str = "warning", stream: TextIO | None = None, terminal: bool | None = None) -> None:
    """Log to standard error, or, when that is a terminal, to a file with plain sentences on the terminal.

    stream: what to write to in place of standard error, such as one that never waits. terminal: whether that is one.
    """
    stream = stream or sys.stderr
    on_terminal = sys.stderr.isatty() if terminal is None else terminal
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            *([_Teller(stream)] if on_terminal else []),
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.getLevelNamesMapping()[level.upper()]),
        logger_factory=structlog.PrintLoggerFactory(file=_file() if on_terminal else stream),
    )


def log_path() -> Path:
    """Return the file that has the log of a daemon on a terminal; it may not be there yet."""
    return platformdirs.user_log_path("otherseat", appauthor=False) / "otherseat.log"


def _file() -> TextIO:
    """Return the log's file, open at its end; where it can't be had, a stream that keeps nothing."""
    path = log_path()
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists() and path.stat().st_size > LONG_BYTES:
            path.replace(path.with_name("otherseat.old.log"))
        lines = Lines(path.open("a", encoding="utf-8"))
        atexit.register(lines.close)
        return lines.stream
    return cast("TextIO", _Nowhere())


class _Nowhere:
    """Takes everything and keeps nothing."""

    def write(self, text: str) -> int:
        """Do nothing."""
        return len(text)

    def flush(self) -> None:
        """Do nothing."""


class _Teller:
    """Tells the person on the terminal, and lets the log go on."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def __call__(
        self, _logger: structlog.typing.WrappedLogger, _name: str, event: structlog.typing.EventDict
    ) -> structlog.typing.EventDict:
        if event.get("level") in TOLD:
            self._stream.write(f"otherseat: {sentence(event)}\n")
        return event


def sentence(event: structlog.typing.EventDict) -> str:
    """Return an event in plain words: its name, and behind it what is known of it."""
    if event["event"] in SENTENCES:
        return SENTENCES[event["event"]].format_map(defaultdict(str, event))
    known = ", ".join(
        _words(name, value) for name, value in event.items() if name not in UNTOLD and value not in ("", None)
    )
    words = str(event["event"]).replace("_", " ")
    return f"{words}: {known}" if known else words


def _words(name: str, value: Any) -> str:
    """Return one value in words; a reason is told without the name of its key."""
    told = " ".join(str(value).split())
    return told if name in REASONS else f"{name.strip('_').replace('_', ' ')} {told}"
