"""`otherseat layout`: the packaged layouts, and a check of one's own, against a capture or a live port."""

import dataclasses
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import click

from otherseat.daemon.hanging import say
from otherseat.daemon.log import set_up_log
from otherseat.daemon.place_words import has_position, reads_position, unseen_words
from otherseat.daemon.unusable import UnusableError, usable

if TYPE_CHECKING:
    from otherseat.adapters.layout_model import Layout

EVERY_S = 1.0


@click.group(epilog="Example: otherseat layout check mysim.toml --against unknown.mcap")
def layout() -> None:
    """Layout files, which describe what a simulator sends: `list` the packaged ones, `check` one against a stream."""


@layout.command(name="list")
def list_() -> None:
    """List the layouts that come with the program."""
    from otherseat.adapters.layout_file import load, packaged  # noqa: PLC0415 - libraries only this command needs

    for name in packaged():
        click.echo(f"{name}: {load(name).summary}")


@layout.command(epilog="Example: otherseat layout check mysim.toml --against unknown.mcap")
@click.argument("file")
@click.option(
    "--against", metavar="CAPTURE|PORT", help="Decode a capture, or what arrives at PORT or HOST:PORT, with it."
)
@click.option("--seconds", type=click.FloatRange(min=1), default=30.0, show_default=True, help="How long, for a port.")
def check(file: str, against: str | None, seconds: float) -> None:
    """Check a layout FILE, or a packaged layout by name, and show what it makes of a stream.

    A mistake in the file is told with its line. With --against the decoded values are shown, once a second of the
    stream those that have changed, and at the end what was refused, by reason, and each field whose key, column, tag
    or group was in none of the datagrams, with one like it that was. The exit code is 1 when nothing could be decoded,
    or the position's place was in none.
    """
    from otherseat.adapters.layout_file import LayoutError, load  # noqa: PLC0415

    try:
        found = load(file)
    except LayoutError as error:
        raise UnusableError(str(error)) from None
    fields = sum(len(message.fields) for message in found.message)
    click.echo(f"{file}: fine; kind {found.kind}, {len(found.message)} message(s), {fields} fields")
    if against is not None:
        set_up_log(level="error")  # what is refused stands at the end
        from otherseat.daemon.identify_command import from_port, from_what  # noqa: PLC0415 - only with a stream

        with usable():
            is_of_use = show(found, from_what(against, seconds=seconds, listen=from_port))
        if not is_of_use:
            raise click.exceptions.Exit(1)


def show(found: "Layout", datagrams: Iterable[tuple[float, bytes]]) -> bool:
    """Print what the layout makes of the datagrams; say whether there are States, and a position if it reads one."""
    from otherseat.adapters.intake import Intake  # noqa: PLC0415
    from otherseat.adapters.layout import decoder_of  # noqa: PLC0415
    from otherseat.adapters.layout_places import Places  # noqa: PLC0415

    intake, places = Intake(decoder_of(found), name=found.name), Places(found)
    unplaced = True
    shown_s: float | None = None
    before: dict[str, str] = {}
    for time_s, datagram in datagrams:
        places.look(datagram)
        for state in intake.take(datagram, received_s=time_s):
            unplaced = unplaced and not has_position(state)
            if shown_s is None or time_s - shown_s >= EVERY_S:
                shown_s = time_s
                told = in_words(dataclasses.asdict(state))
                news = {name: words for name, words in told.items() if before.get(name) != words}
                say(", ".join(f"{name} {words}" for name, words in news.items()))
                before = told
    click.echo(f"{intake.datagrams} datagrams, {intake.states} states")
    for line in intake.refused():
        click.echo(f"  {line}")
    refused: Counter[str] = intake.assembler.refused_fields
    for field, count in refused.most_common():
        click.echo(f"  {field} out of range {count} times")
    unseen = places.unseen()
    for line in unseen_words(unseen):
        click.echo(f"  {line}")
    return bool(intake.states) and not (unplaced and reads_position(unseen))


def in_words(values: Mapping[str, Any]) -> dict[str, str]:
    """Return what is known of a State as words, whatever its kind."""
    return {name: _in_words(value) for name, value in values.items() if value is not None and value != ()}


def _in_words(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    return " and ".join(str(part) for part in value) if isinstance(value, tuple | list | frozenset) else str(value)
