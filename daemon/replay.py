"""`otherseat replay`: a recorded flight again, on the bus for every display, or checked against what was said then."""

import re
import sys
from pathlib import Path
from typing import Any

import click

from otherseat.daemon.addresses import own_desk_option, own_feed_option
from otherseat.daemon.fly import CAUTION_LINE, Printer
from otherseat.daemon.hanging import SAID_AT, HungLines, say
from otherseat.daemon.log import set_up_log
from otherseat.daemon.unusable import UnusableError, usable

EXIT_DIFFERENT = 1
NO_STATES = "holds no states; --layout or --adapter decodes its datagrams"
SILENCE_S, SILENCE_MOST_S = 2.0, 60.0
"""Without news for so long the daemon would call itself blind; a slow replay is no blindness."""
MOMENT = re.compile(r"(?:(\d+):)?(\d{1,2}):(\d{2}(?:\.\d+)?)|(\d+(?:\.\d+)?)")


def moment_s(_context: click.Context, parameter: click.Parameter, value: str) -> float:
    """Return a moment's seconds: minutes:seconds, hours:minutes:seconds, or seconds; or fail with an example."""
    match = MOMENT.fullmatch(value)
    if match is None:
        raise click.BadParameter(f"{value} is no moment; write 12:30 for twelve and a half minutes", param=parameter)
    hours, minutes, seconds, alone = match.groups()
    return float(alone) if alone else float(hours or 0) * 3_600.0 + float(minutes) * 60.0 + float(seconds)


@click.command(epilog="Example: otherseat replay flight.mcap --from 12:30 --speed 4 --with gentler.toml")
@click.argument("files", metavar="[FILE]...", nargs=-1, type=click.Path(path_type=Path))
@click.option("--check", is_flag=True, help="Only compare the alerts with those recorded; several files may be given.")
@click.option("--with", "settings_file", type=click.Path(path_type=Path), help="Other settings than the flight's own.")
@click.option("--from", "from_s", metavar="MM:SS", default="0", callback=moment_s, help="Begin so far into the flight.")
@click.option("--speed", type=click.FloatRange(0.1, 100.0), default=1.0, show_default=True, help="Times real time.")
@click.option("--layout", help="Decode the raw datagrams with this layout, instead of taking the recorded states.")
@click.option("--adapter", help="Decode the raw datagrams with this adapter instead.")
@click.option("--voice", default="none", show_default=True, help="Which voice speaks: espeak, or none.")
@own_feed_option
@own_desk_option
def replay(  # noqa: PLR0917 - click passes options by name
    files: tuple[Path, ...],
    check: bool,  # noqa: FBT001 - likewise
    settings_file: Path | None,
    from_s: float,
    speed: float,
    layout: str | None,
    adapter: str | None,
    voice: str,
    feed: str | None,
    desk: str | None,
) -> None:
    """Fly a recording again: through the engine and onto the bus, so that every display shows it.

    With --check nothing is shown: each flight is flown again as fast as can be, and any alert that differs from the
    recorded ones is printed. The exit code is 0 when all agree, 1 when one differs. Without FILE it is the newest of
    your own recordings.
    """
    set_up_log()
    if not check and len(files) > 1:
        raise UnusableError("one flight at a time; --check takes several")
    from otherseat.daemon.recordings_folder import newest_said  # noqa: PLC0415 - libraries only this command needs

    with usable():
        files = files or (newest_said(),)
        if check:
            different = [path for path in files if not _agrees(path, settings_file, layout, adapter)]
            raise click.exceptions.Exit(EXIT_DIFFERENT if different else 0)
        bus = {name: value for name, value in (("feed", feed), ("desk", desk)) if value}
        silence_s = min(max(SILENCE_S / speed, SILENCE_S), SILENCE_MOST_S)
        over = {"bus": bus, "voice": {"engine": voice}, "watchdog": {"silence_s": silence_s}}
        _play(files[0], settings_file, layout, adapter, over=over, from_s=from_s, speed=speed)


def _agrees(path: Path, settings_file: Path | None, layout: str | None, adapter: str | None) -> bool:
    """Fly one file again and print how its alerts differ; say whether they agree."""
    from otherseat.config.settings import read_settings  # noqa: PLC0415
    from otherseat.daemon import plugins  # noqa: PLC0415
    from otherseat.daemon.flight_file import FlightFile  # noqa: PLC0415
    from otherseat.daemon.refly import refly  # noqa: PLC0415

    flight = FlightFile.open(path)
    settings = None if settings_file is None else read_settings(settings_file)
    flown = refly(flight, advisories=plugins.advisories(), settings=settings, decode=_decode(flight, layout, adapter))
    lines = flown.differences()
    rest = "" if flight.recording.damage is None else f" (the file ends early: {flight.recording.damage})"
    if not flown.states:
        click.echo(f"{path}: {NO_STATES}{rest}")
        return False
    if not lines:
        click.echo(f"{path}: {len(flown.now)} alert changes, as recorded{rest}")
        return True
    click.echo(f"{path}: differs{rest}")
    for line in lines:
        say(f"  {line}")
    return False


def _require_moment(path: Path, flight: Any, decode: Any, *, from_s: float) -> None:
    """Raise UnusableError when there is nothing to play from that moment on."""
    from otherseat.advisories.state import State  # noqa: PLC0415

    times = (event.time_s for event in flight.events(decode) if isinstance(event, State))
    first_s = next(times, None)
    if first_s is None:
        raise UnusableError(f"{path}: {NO_STATES}")
    if from_s > 0.0 and (length_s := max(times, default=first_s) - first_s) < from_s:
        raise UnusableError(f"{path}: --from is beyond its end: it is {clock_words(length_s)} long")


def clock_words(seconds: float) -> str:
    """Return a length as --from takes it: minutes:seconds, with hours where there are any."""
    minutes, left_s = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{left_s:02d}" if hours else f"{minutes}:{left_s:02d}"


def _decode(flight: Any, layout: str | None, adapter: str | None) -> Any:
    """Return what decodes datagrams as the options say, or None to take the recorded states."""
    from otherseat.daemon.source import make_intake  # noqa: PLC0415

    if layout is None and adapter is None:
        return None
    changes: dict[str, str | None] = {"layout": layout} | ({} if adapter is None else {"adapter": adapter})
    intake = make_intake(flight.settings.source[0].model_copy(update=changes))
    return lambda data, received_s: intake.take(data, received_s=received_s)


def _play(
    path: Path,
    settings_file: Path | None,
    layout: str | None,
    adapter: str | None,
    *,
    over: dict[str, Any],
    from_s: float,
    speed: float,
) -> None:
    """Put the flight on the bus, at its speed, and end with it."""
    from otherseat.adapters.listener import steady_wall_clock  # noqa: PLC0415
    from otherseat.config.settings import Settings, laid_over, read_settings  # noqa: PLC0415
    from otherseat.daemon import plugins  # noqa: PLC0415
    from otherseat.daemon.flight_file import FlightFile  # noqa: PLC0415
    from otherseat.daemon.ready_runner import ReadyRunner  # noqa: PLC0415
    from otherseat.daemon.replay_source import ReplaySource, plan_at_start  # noqa: PLC0415
    from otherseat.daemon.service import Knowledge, Service  # noqa: PLC0415
    from otherseat.daemon.voice.choose import speaker_of  # noqa: PLC0415

    flight = FlightFile.open(path)
    own = flight.settings if settings_file is None else read_settings(settings_file)
    settings = Settings.model_validate(laid_over(own.model_dump(), over))
    clock = steady_wall_clock()
    _require_moment(path, flight, _decode(flight, layout, adapter), from_s=from_s)
    source = ReplaySource(
        flight=flight, decode=_decode(flight, layout, adapter), from_s=from_s, speed=speed, clock=clock
    )
    service = Service(
        knowledge=Knowledge.of(
            settings=settings, runways=flight.runways, plan=plan_at_start(flight), advisories=plugins.advisories()
        ),
        sources=[source],
        speaker=lambda: speaker_of(settings.voice),
        clock=clock,
        listener=Printer(HungLines(sys.stdout, indent=SAID_AT).stream),
    )
    with ReadyRunner() as runner:
        click.echo(f"ready replay={path} feed={service.feed.endpoint} desk={service.desk.endpoint}")
        say(CAUTION_LINE, indent=0)
        runner.run(source.play(service))
