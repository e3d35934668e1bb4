"""`otherseat fly`: the daemon itself.

Everything that can be wrong with settings, plan, airfields, adapters and the voice's name is said before any socket
opens, in one line, with exit code 2; so is a port or a bus address that somebody else has.
"""

import asyncio
import gc
import signal
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

import click

from otherseat.advisories.engine import Engine
from otherseat.advisories.levels import Call, Level
from otherseat.advisories.plan import Plan, PlanError, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import OWN
from otherseat.config.errors import ConfigError
from otherseat.config.profiles import USUAL_PROFILE
from otherseat.config.settings import Settings, read_settings
from otherseat.daemon.addresses import own_desk_option, own_feed_option
from otherseat.daemon.check_words import blind_words
from otherseat.daemon.clock_words import CLOCK_WIDTH, clock_words
from otherseat.daemon.hanging import SAID_AT, HungLines
from otherseat.daemon.lines import Lines
from otherseat.daemon.log import set_up_log
from otherseat.daemon.memory import give_back
from otherseat.daemon.unusable import STOPPED, usable

if TYPE_CHECKING:
    from otherseat.daemon.messages import HealthMessage
    from otherseat.daemon.roster import Knowledge
    from otherseat.daemon.service import Service
    from otherseat.daemon.source import Clock, Keep, UdpSource
    from otherseat.daemon.stopwatch import Stopwatch

UNHEARD_S = 5.0
ENDINGS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
"""Ctrl-C, the system's own request, a terminal that is closed, and Windows's word for these."""
CAUTION_LINE = (
    "For simulation and training only. Not certified. Instruments, charts, the aircraft's handbook, ATC, an "
    "instructor and local rules come first."
)


@click.command(epilog="Example: otherseat fly --plan island-hop.toml --port 47800 --layout jsbsim")
@click.option(
    "--plan", "plan_file", type=click.Path(path_type=Path), help="What you mean to do: a TOML file, or one line."
)
@click.option("--settings", "settings_file", type=click.Path(path_type=Path), help="Your own settings, as TOML.")
@click.option("--port", type=click.IntRange(0, 65535), help="UDP port to which the simulator sends.")
@click.option("--address", help="Address on which to listen; 0.0.0.0 for every one of this machine's.")
@click.option("--layout", help="What the datagrams look like: a packaged layout's name, or a TOML file.")
@own_feed_option
@own_desk_option
@click.option("--voice", help="Which voice speaks: espeak, or none.")
@click.option("--no-world", is_flag=True, help="Know only the airfields in your own TOML files, not the world's.")
@click.option("--teach", is_flag=True, help="Give the pilot's rule of thumb with the calls that have one.")
@click.option("--no-recording", is_flag=True, help="Don't record the flight.")
@click.option("--no-memory", is_flag=True, help="Don't keep the plan for a restart within the flight.")
@click.option(
    "--voice-to", type=click.Path(path_type=Path), help="Write the voice to this WAV file instead, as it speaks."
)
@click.option("--quiet", is_flag=True, help="Don't print what is said.")
@click.option(
    "--log-level",
    default="warning",
    show_default=True,
    type=click.Choice(["debug", "info", "warning", "error"]),
    help="How much goes into the log: a file when this runs in a terminal, standard error elsewhere.",
)
def fly(  # noqa: PLR0917 - click passes options by name
    plan_file: Path | None,
    settings_file: Path | None,
    port: int | None,
    address: str | None,
    layout: str | None,
    feed: str | None,
    desk: str | None,
    voice: str | None,
    no_world: bool,  # noqa: FBT001 - likewise
    teach: bool,  # noqa: FBT001 - likewise
    no_recording: bool,  # noqa: FBT001 - likewise
    no_memory: bool,  # noqa: FBT001 - likewise
    voice_to: Path | None,
    quiet: bool,  # noqa: FBT001 - likewise
    log_level: str,
) -> None:
    """Sit down beside the pilot: listen to the simulator, check, speak, and publish everything on the bus.

    Without a plan it works out which runway you are tracking to, and checks against that. Started again within the
    same flight it goes on with the plan that it had, and says so. The first line printed says where it listens, the
    last ones what was recorded. What is said is printed with its time and its level; a number that is read out, such
    as "1,000 to go", has no level. Ctrl-C ends it.
    """
    errors, said = Lines(sys.stderr), Lines(sys.stdout)
    set_up_log(level=log_level, stream=errors.stream)
    bus = {"feed": feed, "desk": desk}
    over: dict[str, Any] = {
        "bus": {name: value for name, value in bus.items() if value},
        "voice": {**({"engine": voice} if voice else {}), **({"teach": True} if teach else {})},
        "recorder": {"on": False} if no_recording else {},
        "airfields": {"world": False} if no_world else {},
    }
    with usable():
        settings = read_settings(settings_file, over=over)
        settings = _with_source(settings, port=port, address=address, layout=layout)
        runways = read_runways(settings)
        plan = read_resolved_plan(plan_file, runways=runways, profile=settings.aircraft.profile)
        try:
            run_daemon(
                settings=settings,
                runways=runways,
                plan=plan,
                voice_to=voice_to,
                said=HungLines(said.stream, indent=SAID_AT).stream,
                quiet=quiet,
                remembers=not no_memory,
            )
        finally:
            said.close()
            errors.close()


def _with_source(settings: Settings, *, port: int | None, address: str | None, layout: str | None) -> Settings:
    """Return the settings with the first source changed as the options say."""
    changes: Mapping[str, Any] = {
        name: value for name, value in (("port", port), ("address", address), ("layout", layout)) if value is not None
    }
    first = settings.source[0].model_copy(update=changes)
    return settings.model_copy(update={"source": (first, *settings.source[1:])})


def read_runways(settings: Settings) -> RunwayTable:
    """Return every runway that the settings let the daemon know."""
    from otherseat.config.known_runways import known_runways  # noqa: PLC0415

    return known_runways(files=settings.airfields.files, world=settings.airfields.world)


def read_resolved_plan(path: Path | None, *, runways: RunwayTable, profile: str = USUAL_PROFILE) -> ResolvedPlan:
    """Return the plan in a file, or in one line in its place, with its places found; an empty one without either."""
    from otherseat.config.plan_line import parse_plan  # noqa: PLC0415
    from otherseat.config.plans import read_plan, resolve_plan  # noqa: PLC0415

    if path is None:
        return resolve_plan(plan=Plan(), runways=runways, profile=profile)
    if is_line(path):
        return resolve_plan(plan=parse_plan(path.as_posix(), runways=runways), runways=runways, profile=profile)
    try:
        return resolve_plan(plan=read_plan(path, runways=runways), runways=runways, profile=profile)
    except PlanError as error:
        raise ConfigError(file=str(path), key=error.key, problem=str(error).removeprefix(f"{error.key}: ")) from error


def is_line(path: Path) -> bool:
    """Say whether a plan was given in one line and not as a file: lines have blanks or a >, files a suffix."""
    try:
        return not path.exists() and path.suffix.lower() != ".toml"
    except OSError:  # longer than any name
        return True


def run_daemon(
    *,
    settings: Settings,
    runways: RunwayTable,
    plan: ResolvedPlan,
    voice_to: Path | None,
    said: TextIO,
    quiet: bool,
    remembers: bool,
) -> None:
    """Open everything, say where, and work until told to stop; remembers: keeps the plan for a restart."""
    from otherseat.adapters.listener import steady_wall_clock  # noqa: PLC0415 - libraries only this command needs
    from otherseat.config.folders import own_folder  # noqa: PLC0415
    from otherseat.daemon.logbook import Logbook  # noqa: PLC0415
    from otherseat.daemon.plan_keeper import PlanMemory  # noqa: PLC0415
    from otherseat.daemon.prompt_loop import PromptLoop  # noqa: PLC0415
    from otherseat.daemon.ready_runner import ReadyRunner  # noqa: PLC0415
    from otherseat.daemon.service import Service  # noqa: PLC0415
    from otherseat.daemon.stopwatch import Stopwatch  # noqa: PLC0415
    from otherseat.daemon.voice.choose import speaker_of  # noqa: PLC0415
    from otherseat.daemon.voice.voice import registered  # noqa: PLC0415

    if settings.voice.engine is not None:
        registered(settings.voice.engine)  # a slip in its name is told before an address that somebody else has
    clock, stopwatch = steady_wall_clock(), Stopwatch()
    knowledge = _knowledge(settings=settings, runways=runways, plan=plan, stopwatch=stopwatch)
    logbook = Logbook(settings=settings, runways=runways)
    sources = _sources(settings, clock=clock, keep=logbook.datagram if logbook.folder else None)
    service = Service(
        knowledge=knowledge,
        sources=sources,
        speaker=lambda: speaker_of(settings.voice, file=voice_to, ahead=knowledge.phrasebook.ahead()),
        clock=clock,
        listener=None if quiet else Printer(said),
        logbook=logbook,
        memory=PlanMemory(folder=own_folder() / "plans", runways=runways, profile=settings.aircraft.profile)
        if remembers
        else None,
    )
    endpoints = " ".join(source.endpoint for source in sources)
    with stopwatch.watching(), ReadyRunner(PromptLoop) as runner:
        said.write(f"ready udp={endpoints} feed={service.feed.endpoint} desk={service.desk.endpoint}\n{CAUTION_LINE}\n")
        said.write("not recording\n" if logbook.folder is None else f"recording flights into {logbook.folder}\n")
        give_back()
        gc.freeze()  # settings, phrases and code stay until the end: no collection need look at them again
        say_what_lacks(runner.loop, service, said)
        runner.run(_until_stopped(service))
    said.write("".join(f"recorded {path}\n" for path in logbook.recorded()) + f"{STOPPED}\n")


def _sources(settings: Settings, *, clock: "Clock", keep: "Keep | None") -> "list[UdpSource]":
    """Return every source, its port bound; all layouts are read before the first one is."""
    from otherseat.daemon.source import UdpSource, make_intake  # noqa: PLC0415 - libraries only this command needs

    intakes = [make_intake(source) for source in settings.source]
    return [
        UdpSource(settings=source, intake=intake, clock=clock, keep=keep)
        for source, intake in zip(settings.source, intakes, strict=True)
    ]


def _knowledge(*, settings: Settings, runways: RunwayTable, plan: ResolvedPlan, stopwatch: "Stopwatch") -> "Knowledge":
    """Return what every engine is made of; raises what is wrong with it before a socket opens."""
    from otherseat.daemon import plugins  # noqa: PLC0415 - libraries only this command needs
    from otherseat.daemon.roster import Knowledge  # noqa: PLC0415

    advisories = [stopwatch.timed(advisory) for advisory in plugins.advisories()]
    Engine(  # made once to no purpose but this: thresholds that are no use are said before a socket opens
        aircraft=OWN,
        runways=runways,
        plan=plan,
        advisories=advisories,
        params=settings.advisories,
        attention=settings.attention,
    )
    return Knowledge.of(settings=settings, runways=runways, plan=plan, advisories=advisories)


def say_what_lacks(loop: asyncio.AbstractEventLoop, service: "Service", said: TextIO) -> None:
    """Say once what to do while nothing usable comes, and once something does, which checks it leaves blind."""

    def look(*, again: bool = False) -> None:
        health = service.health()
        if health.aircraft:
            said.write("".join(f"{line}\n" for line in blind_words(next(iter(service.roster)).engine.live())))
            return
        if not again:
            said.write(unheard(health))
        loop.call_later(UNHEARD_S, lambda: look(again=True))

    loop.call_later(UNHEARD_S, look)


def unheard(health: "HealthMessage") -> str:
    """Return a line about what to do when nothing usable has come so far; nothing once something has."""
    if health.aircraft:
        return ""
    if any(source.datagrams for source in health.sources):
        return "what comes can't be used: `otherseat doctor` says why, `otherseat identify` finds out the format\n"
    where = " or ".join(source.address for source in health.sources)
    return f"nothing has come yet: have the simulator send to {where}; `otherseat doctor` says more\n"


async def _until_stopped(service: Any) -> None:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in ENDINGS:
        number = getattr(signal, name, None)
        if number is None or signal.getsignal(number) is signal.SIG_IGN:  # as under nohup: its wish, not ours
            continue
        try:
            loop.add_signal_handler(number, stop.set)
        except NotImplementedError:  # Windows: the handler runs between two steps of the loop, which ticks anyway
            signal.signal(number, lambda *_: stop.set())
    await service.run(stop)


class Printer:
    """Prints every call as a line: the time in the simulator, the level, the words."""

    def __init__(self, stream: TextIO | None = None) -> None:
        """Print to the stream, or to standard output."""
        self._stream = stream

    def said(self, call: Call, text: str) -> None:
        """Print one call."""
        level = "" if call.level is Level.CALL else f"{call.level.word}: "
        click.echo(f"{clock_words(call.time_s):>{CLOCK_WIDTH}}  {level}{text}", file=self._stream)
