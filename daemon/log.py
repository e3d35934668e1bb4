"""The log: one line an event on standard error, fixed event names, values as keys."""

import logging
import sys
from typing import TextIO

import structlog


def set_up_log(*, level: str = "info", json_lines: bool | None = None, stream: TextIO | None = None) -> None:
    """Log to standard error: for people on a terminal, JSON elsewhere unless told otherwise.

    stream: where to write instead, such as a stream that never waits.
    """
    as_json = not sys.stderr.isatty() if json_lines is None else json_lines
    renderer: structlog.typing.Processor = (
        structlog.processors.JSONRenderer() if as_json else structlog.dev.ConsoleRenderer(colors=sys.stderr.isatty())
    )
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info if as_json else _unchanged,
            renderer,
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.getLevelNamesMapping()[level.upper()]),
        logger_factory=structlog.PrintLoggerFactory(file=stream or sys.stderr),
        cache_logger_on_first_use=True,
    )


def _unchanged(
    _logger: structlog.typing.WrappedLogger, _name: str, event: structlog.typing.EventDict
) -> structlog.typing.EventDict:
    return event
