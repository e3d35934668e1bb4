"""`otherseat identify`: what an unknown stream says, and a layout file that reads it."""

import sys
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

import click

from otherseat.advisories.units import M_PER_FT
from otherseat.config.errors import ConfigError
from otherseat.daemon.log import set_up_log
from otherseat.daemon.unusable import usable

if TYPE_CHECKING:
    from otherseat.adapters.identify import Claim, Verdict
    from otherseat.advisories.runway import RunwayTable
    from otherseat.daemon.senders import Senders

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
RUNWAY_NM = 1.0
MUTE_WAITS = 28
"""So often nothing came: seven seconds, see `listen.PATIENCE_S`."""


Told = Mapping[str, str]
"""Units by field, as the person says."""


@click.command(epilog="Example: otherseat identify 47800 --write mysim.toml, then fly turns, climb and descend")
@click.argument("what")
@click.option(
    "--seconds", type=click.FloatRange(min=20), default=180.0, show_default=True, help="How long to listen at most."
)
@click.option("--write", "target", type=click.Path(path_type=Path), help="Write the layout into this new file.")
@click.option(
    "--unit",
    "told",
    multiple=True,
    metavar="FIELD=UNIT",
    help="The unit of a field when it can't be told: altitude_ft=m or altitude_ft=ft, likewise vertical_speed_fpm, "
    "indicated_airspeed_kt, true_airspeed_kt.",
)
def identify(what: str, seconds: float, target: Path | None, told: tuple[str, ...]) -> None:
    """Work out what an unknown simulator sends.

    WHAT is the port it sends to (47800 or 127.0.0.1:47800), or a file made by `otherseat capture`.

    While it listens, fly: a turn of 90 degrees or more each way, a climb and a descent, half a minute each and level in
    between (you may turn on the way), and 20 kt faster and back. Every ten seconds it says what is new, or what is
    still open: what it knows by now, what is likely so far, and what flight would settle the rest. It ends when flying
    on would add nothing; Ctrl-C ends it too, and what came so far is worked out.

    At the end it says what it is sure of, what is only likely, what can't be told and how to find out. Whether heights
    are feet or metres is never guessed: where nothing in the stream tells, you are asked on a terminal, and without an
    answer the layout has both as comments, for you to take one. So it is with a speed that may be one or another. In a
    binary stream without a vertical speed an altitude in whole numbers isn't looked for: add it to the layout by hand.
    The exit code is 1 when nothing was found that a layout could be made of.
    """
    from otherseat.daemon.senders import Senders  # noqa: PLC0415 - libraries only this command needs

    set_up_log()
    senders = Senders()
    with usable():
        _check(target)
        units = units_told(told)
        begun_s = monotonic()
        datagrams = from_what(what, seconds=seconds, listen=partial(listen, units=units, senders=senders))
        if not datagrams:
            click.echo(nothing_came(what, seconds=min(seconds, monotonic() - begun_s)))
        found = bool(datagrams) and run_identify(
            datagrams, target, endpoint=None if Path(what).exists() else what, units=units, remark=senders.words()
        )
        if target is not None and target.exists():
            click.echo(f"compare heading and airspeed with your instruments by  {comparing(what, target)}")
    if not found:
        raise click.exceptions.Exit(1)


def units_told(told: Sequence[str]) -> dict[str, str]:
    """Return units by field of what a person told; ConfigError for what is no such unit."""
    if not told:
        return {}
    from otherseat.adapters.identify.airspeed import AIRSPEEDS  # noqa: PLC0415
    from otherseat.adapters.identify.guesses import CLIMB_UNITS, HEIGHT_UNITS, SPEED_UNITS  # noqa: PLC0415
    from otherseat.adapters.identify.height import TOLD  # noqa: PLC0415
    from otherseat.adapters.nearest import nearest  # noqa: PLC0415

    possible = dict(zip((*TOLD, *AIRSPEEDS), (HEIGHT_UNITS, CLIMB_UNITS, SPEED_UNITS, SPEED_UNITS), strict=True))
    found = {}
    for text in told:
        field, _, unit = text.partition("=")
        if field not in possible:
            problem = f"no field whose unit can be told; did you mean {nearest(field, possible)}?"
            raise ConfigError(file="--unit", key=text, problem=problem)
        if unit not in possible[field]:
            raise ConfigError(file="--unit", key=text, problem=f"the unit is one of {', '.join(possible[field])}")
        found[field] = unit
    return found


def _check(target: Path | None) -> None:
    """Raise what is wrong with the file to write, before anybody flies for two minutes."""
    from otherseat.daemon.captures import must_be_new  # noqa: PLC0415 - libraries only this command needs

    if target is not None:
        must_be_new(target)


def from_what(what: str, *, seconds: float, listen: Callable[..., Datagrams]) -> Datagrams:
    """Return the datagrams of a capture, or what arrives at a port, heard by listen(what, seconds=...)."""
    if Path(what).exists():
        return from_file(Path(what))
    if not what.rpartition(":")[2].isdecimal():
        problem = "no such file, and no port either; write 47800 or 127.0.0.1:47800"
        raise ConfigError(file=what, key="", problem=problem)
    return listen(what, seconds=seconds)


def from_file(path: Path) -> Datagrams:
    """Return the datagrams of a capture."""
    from otherseat.daemon.captures import read_capture  # noqa: PLC0415 - libraries only this command needs

    return list(read_capture(path))


def listen(what: str, *, seconds: float, units: Told, senders: "Senders | None" = None) -> Datagrams:
    """Return what arrives at a port until it is all settled, for so long at most, or until Ctrl-C."""
    from otherseat.daemon.identify_listening import Progress, executor  # noqa: PLC0415

    runner = executor()
    progress = Progress(partial(study, units=units, so_far=True), runner, seconds=seconds)
    hint = f"for {seconds:.0f} s at most; now turn, climb, descend, change speed"
    try:
        came = from_port(what, seconds=seconds, hint=hint, enough=progress.step, senders=senders)
        return came[: progress.settled_by] if progress.settled_by else came  # so that the end says what was said
    finally:
        runner.shutdown(wait=False, cancel_futures=True)


def from_port(
    what: str,
    *,
    seconds: float,
    hint: str = "",
    enough: Callable[[Datagrams], bool] | None = None,
    senders: "Senders | None" = None,
) -> Datagrams:
    """Return what arrives at a port for so long, until it is enough, or until Ctrl-C; senders notes who sends."""
    from otherseat.adapters.listener import Listener  # noqa: PLC0415
    from otherseat.daemon.listen import datagrams, endpoint  # noqa: PLC0415
    from otherseat.daemon.senders import Senders  # noqa: PLC0415

    senders = senders or Senders()
    host, port = endpoint(what)
    came: list[tuple[float, bytes]] = []
    with Listener(host=host, port=port) as listener:
        where = f"{listener.host}:{listener.port}"
        click.echo(f"listening on {where} {hint or f'for {seconds:.0f} s'}")
        try:
            for received in datagrams(listener, seconds=seconds, idle=said_once(where, came)):
                came.append((received.received_s, received.datagram))
                if senders.note(received):
                    click.echo(f"{received.received_s - came[0][0]:4.0f} s  {senders.words()}")
                if enough is not None and enough(came):
                    break
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


def nothing_came(what: str, *, seconds: float) -> str:
    """Return that nothing came to a port, and what to look at: flying is no cure for that."""
    from otherseat.daemon.listen import endpoint  # noqa: PLC0415 - libraries only this command needs

    host, port = endpoint(what)
    return (
        f"Nothing came to {host}:{port} in {seconds:.0f} s.\n"
        f"Is the simulator's export switched on? Does it send by UDP, to port {port}, and to this address "
        f"(0.0.0.0:{port} listens on all that this computer has)? Does another program take the port?"
    )


def flying(endpoint: str | None, target: Path) -> str:
    """Return the command that flies with what was found; endpoint is where it was heard, None for a file."""
    host, _, port = (endpoint or "").rpartition(":")
    where = [*(("--port", port) if port else ()), *(("--address", host.strip("[]")) if host else ())]
    return " ".join(["otherseat fly", *where, "--layout", typed(target)])


def comparing(what: str, target: Path) -> str:
    """Return the command that shows the numbers of a port or a capture as the layout reads them."""
    return f"otherseat layout check {typed(target)} --against {typed(what)}"


def typed(word: Path | str) -> str:
    """Return a word as it is typed in a terminal."""
    return f'"{word}"' if " " in str(word) else str(word)


def study(datagrams: Datagrams, *, units: Told, so_far: bool = False) -> "Verdict":
    """Return what can be said about a stream, with the airfields that are known here; so_far: more of it comes."""
    from otherseat.adapters.identify import Helped, identify  # noqa: PLC0415

    return identify(datagrams, helped=Helped(units=units, ground_m=ground_elevation_m, so_far=so_far))


def ground_elevation_m(latitude_deg: float, longitude_deg: float) -> float | None:
    """Return the elevation of the nearest runway end within RUNWAY_NM, None when there is none."""
    table = runways()
    near = table.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=RUNWAY_NM) if table else []
    return near[0].elevation_ft * M_PER_FT if near else None


@cache
def runways() -> "RunwayTable | None":
    """Return the known runways, read once; None when a file of the person's own is no use: here that is no matter."""
    from otherseat.config.known_runways import known_runways  # noqa: PLC0415

    try:
        return known_runways()
    except ConfigError:
        return None


def run_identify(
    datagrams: Datagrams,
    target: Path | None,
    *,
    endpoint: str | None,
    units: Told,
    asks: bool | None = None,
    remark: str = "",
) -> bool:
    """Print the verdict and a preview, write the layout; say whether there is one. asks None: on a terminal.

    remark: of how the stream came.
    """
    from otherseat.adapters.identify.report import layout_text, words  # noqa: PLC0415

    verdict = study(datagrams, units=units)
    click.echo(words(verdict, remark=remark), nl=False)
    if verdict.known_as:
        return True
    if not verdict.found():
        return False
    if asks if asks is not None else sys.stdin.isatty() and sys.stdout.isatty():
        while said := asked(verdict, units=units):
            units = {**units, **said}
            verdict = study(datagrams, units=units)
    text = layout_text(verdict, name=target.stem if target else "identified")
    for line in preview(text, datagrams):
        click.echo(line)
    if target is None:
        click.echo(text)
    else:
        target.write_text(text, encoding="utf-8")
        click.echo(f"wrote {target}: try it with  {flying(endpoint, target)}")
    for line in left_out(verdict, target):
        click.echo(line)
    return True


def asked(verdict: "Verdict", *, units: Told) -> dict[str, str]:
    """Return the unit of the altitude or of an airspeed as the person at the terminal says.

    {} when none is open or nobody knows; one question at a time, for an altitude may settle an airspeed, and none
    twice: units are those that were told.
    """
    from otherseat.adapters.identify.airspeed import AIRSPEEDS  # noqa: PLC0415 - libraries only this command needs

    for fields in (("altitude_ft",), AIRSPEEDS):
        claims = [claim for claim in verdict.open() if claim.field in fields]
        if claims and units.keys().isdisjoint(fields):
            return chosen(claims[0]) if len(claims) == 1 else {}  # first of all a column, which is done in the layout
    return {}


def chosen(claim: "Claim") -> dict[str, str]:
    """Return which of an open claim's choices the person takes, by the number that the instrument had at the end."""
    from otherseat.adapters.identify.verdict import plain  # noqa: PLC0415 - libraries only this command needs
    from otherseat.adapters.units_table import UNITS  # noqa: PLC0415

    ways: dict[str, tuple[str, Claim]] = {}
    for each in (claim, *claim.others):
        last = float(each.column.values[-1]) * each.scale
        if claim.field == "altitude_ft":
            ways.setdefault(each.unit, (f"{last:,.0f} {each.unit}", each))
        else:
            shown_kt = last * UNITS[each.unit].factor / UNITS["kt"].factor
            word = plain(each.field).partition(" ")[0]
            ways.setdefault(f"{word} {each.unit}", (f"{shown_kt:.0f} kt {word}", each))
    said = " or ".join(dict.fromkeys(words for words, _ in ways.values()))
    what = "altitude" if claim.field == "altitude_ft" else "airspeed"
    question = f"Was the {what} ({claim.column.label()}) at the end {said}? (skip: I can't tell)"
    answer = click.prompt(question, type=click.Choice([*ways, "skip"]), default="skip", show_default=False)
    return {} if answer == "skip" else {ways[answer][1].field: ways[answer][1].unit}


def left_out(verdict: "Verdict", target: Path | None) -> list[str]:
    """Return what the layout leaves for the person to choose, and how; nothing when all is settled."""
    from otherseat.adapters.identify.report import missing  # noqa: PLC0415

    lines = [f"  {line}" for line in missing(verdict)]
    if not lines:
        return []
    ways = [f"take the # from one line of each in {target or 'the layout above'}"]
    altitudes = [claim for claim in verdict.open() if claim.field == "altitude_ft"]
    if len(altitudes) > 1:
        ways = [f"take the # from one line of each field in {target or 'the layout above'}: a field has one column"]
    elif altitudes:
        ways.append("or run this again with --unit altitude_ft=m or --unit altitude_ft=ft")
    return ["NOT IN THE LAYOUT, because it can't be told:", *lines, f"  To choose: {', '.join(ways)}"]


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
