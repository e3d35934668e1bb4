"""One question to a running daemon's desk, for the commands: the reply, or one line and exit code 1."""

from typing import Any

import click

from otherseat.daemon.client import AskError, Client, NoAnswerError
from otherseat.daemon.unusable import usable


def asked_desk(desk: str, verb: str, **fields: Any) -> Any:
    """Return the desk's reply, or leave with one line that says what to do."""
    try:
        with usable(), Client(desk=desk) as client:
            return client.ask(verb, **fields)
    except NoAnswerError as error:
        click.echo(f"otherseat: no daemon answers at {desk}: start one with `otherseat fly`", err=True)
        raise click.exceptions.Exit(1) from error
    except AskError as error:
        click.echo(f"otherseat: {error}", err=True)
        raise click.exceptions.Exit(1) from error
