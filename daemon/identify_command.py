"""`otherseat identify`: what an unknown stream says, and a layout file that reads it."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from otherseat.config.errors import ConfigError
from otherseat.daemon.log import set_up_log
from otherseat.daemon.unusable import usable

Datagrams = Sequence[tuple[float, bytes]]

PREVIEW_FIELDS = (
    "latitude_deg",
    "longitude_deg",
    "altitude_ft",
    "indicated_airspeed_kt",
    "groundspeed_kt",
    "vertical_speed_fpm",
    "heading_true_deg",
    "heading_magnetic_deg",
    "bank_deg",
)
SAY_EVERY = 300
MUTE_WAITS = 28
"""So often nothing came: seven seconds, see `listen.PATIENCE_S`."""


@click.command(
    epilog="Example: otherseat identify 47800 --write mysim.toml, then fly a turn and a climb for two minutes"
)
@click.argument("what")
@click.option("--seconds", type=click.FloatRange(min=20), default=120.0, show_default=True, help="How long to listen.")
@click.option("--write", "target", type=click.Path(path_type=Path), help="Write the layout into this new file.")
def identify(what: str, seconds: float, target: Path | None) -> None:
    """Work out what an unknown simulator sends. WHAT is the port it sends to, or a file made by `capture`.

    While it listens, taxi or fly: a turn of 90 degrees or more each way, a climb, a descent, a change of speed. It
    says what it is sure of, what is only likely, and what can't be told and how to find out. The exit code is 1 when
    nothing was found that a layout could be made of.
    """
    set_up_log()
    with usable():
        _check(target)
        datagrams = from_what(what, seconds=seconds)
        found = run_identify(datagrams, target, endpoint=None if Path(what).exists() else what)
    if not found:
        raise click.exceptions.Exit(1)


def _check(target: Path | None) -> None:
    """Raise what is wrong with the file to write, before anybody flies for two minutes."""
    from otherseat.daemon.captures import must_be_new  # noqa: PLC0415 - libraries only this command needs

    if target is not None:
        must_be_new(target)


def from_what(what: str, *, seconds: float) -> Datagrams:
    """Return the datagrams of a capture, or what arrives at a port."""
    if Path(what).exists():
        return from_file(Path(what))
    if not what.rpartition(":")[2].isdecimal():
        problem = "no such file, and no port either; write 47800 or 127.0.0.1:47800"
        raise ConfigError(file=what, key="", problem=problem)
    return from_port(what, seconds=seconds)


def from_file(path: Path) -> Datagrams:
    """Return the datagrams of a capture."""
    from otherseat.daemon.captures import read_capture  # noqa: PLC0415 - libraries only this command needs

    return list(read_capture(path))


def from_port(what: str, *, seconds: float) -> Datagrams:
    """Return what arrives at a port for so long, or until Ctrl-C."""
    from otherseat.adapters.listener import Listener  # noqa: PLC0415
    from otherseat.daemon.listen import datagrams, endpoint  # noqa: PLC0415

    host, port = endpoint(what)
    came: list[tuple[float, bytes]] = []
    with Listener(host=host, port=port) as listener:
        where = f"{listener.host}:{listener.port}"
        click.echo(f"listening on {where} for {seconds:.0f} s; now turn, climb, descend")
        try:
            for received in datagrams(listener, seconds=seconds, idle=said_once(where, came)):
                came.append((received.received_s, received.datagram))
                if len(came) % SAY_EVERY == 0:
                    click.echo(f"  {len(came)} datagrams, {came[-1][0] - came[0][0]:.0f} s")
        except KeyboardInterrupt:
            click.echo("")
    return came


def said_once(where: str, came: Sequence[object]) -> Callable[[], None]:
    """Return what to call whenever nothing came: it says so, once, when nothing at all has come for a while."""
    waits = 0

    def idle() -> None:
        nonlocal waits
        waits += 1
        if waits == MUTE_WAITS and not came:
            click.echo(f"nothing has come to {where} yet: is the simulator's export switched on, and to this port?")

    return idle


def flying(endpoint: str | None, target: Path) -> str:
    """Return the command that flies with what was found; endpoint is where it was heard, None for a file."""
    host, _, port = (endpoint or "").rpartition(":")
    name = f'"{target}"' if " " in str(target) else str(target)
    where = [*(("--port", port) if port else ()), *(("--address", host.strip("[]")) if host else ())]
    return " ".join(["otherseat fly", *where, "--layout", name])


def run_identify(datagrams: Datagrams, target: Path | None, *, endpoint: str | None) -> bool:
    """Print the verdict and a preview, write the layout; say whether there is one."""
    from otherseat.adapters.identify import identify as study  # noqa: PLC0415
    from otherseat.adapters.identify.report import layout_text, words  # noqa: PLC0415

    verdict = study(datagrams)
    click.echo(words(verdict), nl=False)
    if verdict.known_as:
        return True
    if not verdict.found():
        return False
    text = layout_text(verdict, name=target.stem if target else "identified")
    for line in preview(text, datagrams):
        click.echo(line)
    if target is None:
        click.echo(text)
    else:
        target.write_text(text, encoding="utf-8")
        click.echo(f"wrote {target}: try it with  {flying(endpoint, target)}")
    return True


def preview(layout: str, datagrams: Datagrams, *, count: int = 3) -> list[str]:
    """Return a few of the States that the layout makes of the datagrams, in words, from the first to the last."""
    from otherseat.adapters.intake import Intake  # noqa: PLC0415
    from otherseat.adapters.layout import decoder_of  # noqa: PLC0415
    from otherseat.adapters.layout_file import parse  # noqa: PLC0415

    intake = Intake(decoder_of(parse(layout, origin="the layout that was found")))
    states: list[Any] = [s for time_s, datagram in datagrams for s in intake.take(datagram, received_s=time_s)]
    places = dict.fromkeys(round(n * (len(states) - 1) / (count - 1)) for n in range(count)) if states else ()
    picked = [states[place] for place in places]
    lines = ["Preview, from the beginning to the end:"] if picked else []
    for state in picked:
        shown = ((name, getattr(state, name)) for name in PREVIEW_FIELDS)
        lines.append("  " + ", ".join(f"{name} {value:.5g}" for name, value in shown if value is not None))
    return lines
