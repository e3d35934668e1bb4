"""`otherseat doctor`: find out why nothing is heard. Looks at settings, plan, voice, port, bus and what arrives.

With a daemon running it tells what that says (doctor_asks.py), and of options and files only what differs from it;
without one it looks at what they name, and listens on the port itself for a while. The report holds no
names of people, machines or folders, so that it may go into a bug report as it is.
"""

import platform
import time
from collections.abc import Iterator, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import click

from otherseat.adapters.intake import Intake
from otherseat.adapters.layout_places import Places
from otherseat.adapters.listener import Listener
from otherseat.advisories.engine import Engine
from otherseat.advisories.plan import PlanError
from otherseat.advisories.state import STATE_FIELDS, State
from otherseat.config.errors import ConfigError
from otherseat.config.settings import Settings, SourceSettings, read_settings
from otherseat.daemon import plugins
from otherseat.daemon.addresses import own_desk_option, own_feed_option
from otherseat.daemon.check_words import check_words
from otherseat.daemon.discretion import Discretion
from otherseat.daemon.doctor_asks import USUAL_NAME, Named, ask_daemon, say_differences, say_told
from otherseat.daemon.doctor_words import BLANK, FINE, UNHEARD, WRONG, plan_words
from otherseat.daemon.fly import CAUTION_LINE, read_resolved_plan, read_runways
from otherseat.daemon.log import set_up_log
from otherseat.daemon.messages import SourceHealth
from otherseat.daemon.place_words import Unseen, has_position, places_of, reads_position, unseen_words
from otherseat.daemon.source import make_intake
from otherseat.daemon.source_words import deaf, misfit
from otherseat.daemon.unusable import line_of

PACKAGES = ("otherseat", "pyzmq", "msgpack", "numpy", "pydantic", "structlog", "espeakng-loader", "miniaudio", "jsbsim")


@click.command(epilog="Example: otherseat doctor --seconds 10 --plan island-hop.toml")
@click.option("--plan", "plan_file", type=click.Path(path_type=Path), help="The plan that you mean to fly.")
@click.option("--settings", "settings_file", type=click.Path(path_type=Path), help="Your own settings.")
@click.option("--port", type=click.IntRange(1, 65535), help="UDP port to which the simulator sends.")
@click.option("--layout", help="What the datagrams look like.")
@click.option("--seconds", default=5.0, show_default=True, help="How long to listen when no daemon runs.")
@own_feed_option
@own_desk_option
def doctor(  # noqa: PLR0917 - click passes options by name
    plan_file: Path | None,
    settings_file: Path | None,
    port: int | None,
    layout: str | None,
    seconds: float,
    feed: str | None,
    desk: str | None,
) -> None:
    """Find out why nothing is heard, one part after the other. Exit code 1 when something is wrong.

    With a daemon running it tells what that daemon says, and what you name only where that is something else; with none
    it looks at what you name, and listens itself. The report may go into a bug report as it is: home
    folder, names of people, machines, devices and aircraft are left out of it.
    """
    set_up_log()
    click.echo(CAUTION_LINE)
    wrong = 0
    bus = {name: value for name, value in (("feed", feed), ("desk", desk)) if value}
    discretion = Discretion()
    for line in examine(
        plan_file=plan_file,
        settings_file=settings_file,
        bus=bus,
        port=port,
        layout=layout,
        seconds=seconds,
        discretion=discretion,
    ):
        wrong += line.startswith(WRONG)
        click.echo(discretion.of(line))
    if wrong:
        raise click.exceptions.Exit(1)


def examine(
    *,
    plan_file: Path | None,
    settings_file: Path | None,
    bus: Mapping[str, str],
    port: int | None,
    layout: str | None,
    seconds: float,
    discretion: Discretion,
) -> Iterator[str]:
    """Yield a line for every part, beginning with FINE or WRONG; details are indented.

    bus: addresses that go before those of the settings. discretion is told which names come up.
    """
    yield f"      {platform.system()} {platform.machine()}, Python {platform.python_version()}"
    yield "      " + ", ".join(f"{name} {_version(name)}" for name in PACKAGES)
    try:
        settings = read_settings(settings_file, over={"bus": dict(bus)})
    except ConfigError as error:
        yield f"{WRONG}settings: {error}"
        return
    yield f"{FINE}settings"
    discretion.hide([settings.bus.name] if settings.bus.name != USUAL_NAME else [], "<seat>")
    told = ask_daemon(settings)
    if told is not None:
        named = Named(plan_file=plan_file, settings_file=settings_file, port=port, layout=layout)
        yield from say_told(told, settings=settings, discretion=discretion)
        yield from say_differences(told, settings=settings, named=named)
        return
    source = _changed(settings.source[0], port=port, layout=layout)
    yield from _plan(settings, plan_file)
    yield from _voice(settings, discretion)
    yield f"{BLANK}no daemon answers at {settings.bus.desk}; listening myself"
    yield from _listen(settings=settings, source=source, plan_file=plan_file, seconds=seconds)


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "not installed"


def _changed(source: SourceSettings, *, port: int | None, layout: str | None) -> SourceSettings:
    changes = {name: value for name, value in (("port", port), ("layout", layout)) if value is not None}
    return source.model_copy(update=changes)


def _plan(settings: Settings, plan_file: Path | None) -> Iterator[str]:
    try:
        runways = read_runways(settings)
        plan = read_resolved_plan(plan_file, runways=runways)
    except (ConfigError, PlanError) as error:
        yield f"{WRONG}plan: {error}"
        return
    yield f"{FINE}airfields: {len(runways)} runway ends known"
    yield f"{FINE}plan: {plan_words(plan.plan)}"


def _voice(settings: Settings, discretion: Discretion) -> Iterator[str]:
    from otherseat.daemon.voice.player import NO_DEVICE, devices  # noqa: PLC0415 - imports the audio library
    from otherseat.daemon.voice.voice import SILENT, VoiceError, make_voice  # noqa: PLC0415

    name = settings.voice.engine or "espeak"
    try:
        make_voice(name=name).close()
        found = devices()
    except VoiceError as error:
        yield f"{WRONG}voice: {error}"
        return
    discretion.hide([*found, settings.voice.device], "<device>")
    if name == SILENT:
        yield f"{FINE}voice: none, as the settings want"
    elif not found:
        yield f"{WRONG}voice: {name}, but nothing would be heard: {NO_DEVICE}; {UNHEARD}"
    else:
        yield f"{FINE}voice: {name}; {len(found)} audio device{'' if len(found) == 1 else 's'}"


def _listen(*, settings: Settings, source: SourceSettings, plan_file: Path | None, seconds: float) -> Iterator[str]:
    try:
        intake = make_intake(source)
        listener = Listener(host=source.address, port=source.port, peers=source.allow)
    except (ConfigError, OSError) as error:
        yield f"{WRONG}source: {line_of(error)}"
        return
    places = places_of(source)
    with listener:
        states = _gather(listener, intake, places, seconds=seconds)
    yield from _heard(source=source, listener=listener, intake=intake, states=states)
    if places is not None:
        yield from _unseen(places.unseen(), states)
    if states:
        yield from _advisories(settings=settings, plan_file=plan_file, states=states)


def _gather(listener: Listener, intake: Intake, places: Places | None, *, seconds: float) -> list[State]:
    states: list[State] = []
    until_s = time.monotonic() + seconds
    while time.monotonic() < until_s:
        for received in listener.drain():
            states += intake.take(received.datagram, received_s=received.received_s, peer=received.peer)
            if places is not None:
                places.look(received.datagram)
        time.sleep(0.02)
    return states


def _heard(*, source: SourceSettings, listener: Listener, intake: Intake, states: Sequence[State]) -> Iterator[str]:
    where = f"UDP {source.address}:{source.port}"
    refused = intake.refusals + listener.refusals
    seen = SourceHealth(
        name=source.layout or source.adapter,
        adapter=source.adapter,
        address=f"{source.address}:{source.port}",
        datagrams=listener.received,
        states=len(states),
        refused={reason.value: count for reason, count in refused.items()},
        refused_fields=intake.refused_fields(),
    )
    yield from (f"{WRONG}{where}: {why}" for why in (deaf(seen), misfit(seen)) if why)
    if not refused and not listener.received:
        return
    mark = FINE if states else "      "
    yield f"{mark}{where}: {listener.received} datagrams, {len(states)} states with layout {source.layout}"
    yield from (f"      {line}" for line in intake.refused())
    if states:
        arrived = {name for name in STATE_FIELDS if getattr(states[-1], name) is not None}
        yield f"      arrives: {', '.join(sorted(arrived - set(states[-1].computed or ())))}"
        if states[-1].computed:
            yield f"      computed here: {', '.join(states[-1].computed)}"
        yield f"      missing: {', '.join(sorted(STATE_FIELDS - arrived)) or 'nothing'}"


def _unseen(unseen: Unseen, states: Sequence[State]) -> Iterator[str]:
    """Yield what of the layout was in no datagram; wrong where that leaves no position."""
    is_lost = not any(map(has_position, states))
    for why, fields in unseen.items():
        mark = WRONG if is_lost and reads_position({why: fields}) else BLANK
        yield from (f"{mark}layout: {line}" for line in unseen_words({why: fields}))


def _advisories(*, settings: Settings, plan_file: Path | None, states: Sequence[State]) -> Iterator[str]:
    runways = read_runways(settings)
    engine = Engine(
        aircraft=states[-1].aircraft,
        runways=runways,
        plan=read_resolved_plan(plan_file, runways=runways),
        advisories=plugins.advisories(),
        params=settings.advisories,
        attention=settings.attention,
    )
    for state in states:
        engine.step(state)
    yield from (f"      {line}" for line in check_words(engine.live()))
