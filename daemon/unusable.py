"""What a person can put right, said in one line with exit code 2."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

import click

EXIT_UNUSABLE = 2
STOPPED = "otherseat: stopped"
"""What every command says when Ctrl-C ends it."""


class UnusableError(click.ClickException):
    """Something given can't be used."""

    exit_code = EXIT_UNUSABLE

    def show(self, file: IO[Any] | None = None) -> None:
        """Print the line."""
        click.echo(f"otherseat: {self.format_message()}", file=file, err=file is None)


@contextmanager
def usable() -> Iterator[None]:
    """Turn an error in what was given into UnusableError; ours goes through."""
    try:
        yield
    except BrokenPipeError:
        raise  # whoever read the output has gone, as `head` does: nothing to tell, and nobody
    except Exception as error:
        line = line_of(error)
        if line is None:
            raise
        raise UnusableError(line) from error


@contextmanager
def needs(what: str, *extras: str) -> Iterator[None]:
    """Turn a library that is not installed into UnusableError; what: what is wanted, such as "a cluster"."""
    from otherseat.daemon.extras import how_to_install  # noqa: PLC0415 - costs nothing when nothing fails

    try:
        yield
    except ImportError as error:
        raise UnusableError(f"{what} needs a library that is not installed: {how_to_install(*extras)}") from error


def line_of(error: Exception) -> str | None:
    """Return the line for what a person can put right, None for a fault of ours.

    The kinds of error are imported here, so that a command that fails at nothing pays for none of them.
    """
    from otherseat.adapters.listener import PortTakenError  # noqa: PLC0415
    from otherseat.advisories.engine import EngineError  # noqa: PLC0415
    from otherseat.advisories.plan import PlanError  # noqa: PLC0415
    from otherseat.config.errors import ConfigError  # noqa: PLC0415
    from otherseat.config.plan_words import PlanLineError  # noqa: PLC0415
    from otherseat.config.weather import ReportError  # noqa: PLC0415
    from otherseat.daemon.debrief.flown import NothingFlownError  # noqa: PLC0415
    from otherseat.daemon.imports import ImportTrackError  # noqa: PLC0415
    from otherseat.daemon.keys import KeysError  # noqa: PLC0415
    from otherseat.daemon.phrasebook import PhraseError  # noqa: PLC0415
    from otherseat.daemon.recording import RecordingError  # noqa: PLC0415
    from otherseat.daemon.sockets import EndpointError, EndpointTakenError  # noqa: PLC0415
    from otherseat.daemon.voice.voice import VoiceError  # noqa: PLC0415

    theirs = (
        ConfigError,
        EndpointError,
        EngineError,
        ImportTrackError,
        KeysError,
        NothingFlownError,
        PhraseError,
        PlanError,
        PlanLineError,
        RecordingError,
        ReportError,
        VoiceError,
    )
    if isinstance(error, PortTakenError):
        way_out = _others("--port") or "end it, or have the simulator send to another port"
        return f"{error.strerror}: is another otherseat running? {way_out}"
    if isinstance(error, EndpointTakenError):
        return f"{error}: is another otherseat running? {_others('--feed', '--desk') or 'end it'}"
    if isinstance(error, theirs):
        return str(error)
    return _reason(error) if isinstance(error, OSError) else None


def _others(*names: str) -> str:
    """Return which of these options choose another address, with the command in hand; nothing when it has none."""
    context = click.get_current_context(silent=True)
    options = [] if context is None else [option for each in context.command.params for option in each.opts]
    there = [name for name in names if name in options]
    return f"{' and '.join(there)} {'chooses another' if len(there) == 1 else 'choose others'}" if there else ""


def _reason(error: OSError) -> str:
    """Return what the system says, with the name of the file that it is about."""
    words = error.strerror or str(error)
    if not error.filename:
        return words
    path = Path(os.fsdecode(error.filename))
    if path.is_dir():
        words = "is a folder; a file is wanted"
    elif isinstance(error, FileExistsError | NotADirectoryError):
        words = "is a file; a folder is wanted"
    elif isinstance(error, FileNotFoundError):
        words = "no such file" if path.parent.is_dir() else f"there is no folder {path.parent}"
    return f"{path}: {words}"
