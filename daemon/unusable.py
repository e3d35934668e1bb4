"""What a person can put right, said in one line with exit code 2."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, Any

import click

from otherseat.advisories.plan import PlanError
from otherseat.config.errors import ConfigError


class UnusableError(click.ClickException):
    """Something given can't be used."""

    exit_code = 2

    def show(self, file: IO[Any] | None = None) -> None:
        """Print the line."""
        click.echo(f"otherseat: {self.format_message()}", file=file, err=file is None)


@contextmanager
def usable() -> Iterator[None]:
    """Turn an error in a file, a plan or a report into UnusableError."""
    from otherseat.config.plan_words import PlanLineError  # noqa: PLC0415 - costs nothing when nothing fails
    from otherseat.config.weather import ReportError  # noqa: PLC0415 - likewise

    try:
        yield
    except (ConfigError, PlanError, PlanLineError, ReportError) as error:
        raise UnusableError(str(error)) from error
