"""Doctor asks: what the daemon that runs says of itself, and where that is not what the options and files name.

The daemon's word counts: its sources, its plan and its voice are what is in force, whatever a file says by now.
"""

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from otherseat.advisories.plan import Plan, PlanError
from otherseat.advisories.state import OWN
from otherseat.config.errors import ConfigError
from otherseat.config.settings import BusSettings, Settings
from otherseat.daemon.check_words import POSITION, check_words, unsent
from otherseat.daemon.client import AskError, Client
from otherseat.daemon.discretion import Discretion
from otherseat.daemon.doctor_words import BLANK, FINE, UNHEARD, WRONG, plan_words
from otherseat.daemon.fly import read_resolved_plan, read_runways
from otherseat.daemon.messages import HealthMessage, Kind, SourceHealth, StandingMessage, decode
from otherseat.daemon.place_words import read_and_unsent
from otherseat.daemon.source_words import deaf, misfit
from otherseat.daemon.status import report, tuned

ASK_S = 0.7
USUAL_NAME = BusSettings().name


@dataclass(frozen=True, slots=True)
class Told:
    """What a daemon said."""

    health: HealthMessage
    plans: dict[str, Plan]
    """By aircraft; before one is heard of, the plan that waits for it."""
    standings: list[StandingMessage]


@dataclass(frozen=True, slots=True)
class Named:
    """What the options of doctor name; None what they leave out."""

    plan_file: Path | None
    settings_file: Path | None
    port: int | None
    layout: str | None


def ask_daemon(settings: Settings) -> Told | None:
    """Return what the daemon says that answers at the settings' desk; None when none does."""
    try:
        with Client(feed=settings.bus.feed, desk=settings.bus.desk) as client:
            health = client.ask("status", timeout_s=ASK_S)
            bodies = [decode(topic.encode(), packed) for topic, packed in client.ask("snapshot").frames]
            plans = {one.aircraft: one.body.plan for one in bodies if one.kind is Kind.PLAN and one.aircraft}
            plans = plans or {OWN: client.ask("plan.get").plan}
    except AskError:
        return None
    return Told(health=health, plans=plans, standings=[one.body for one in bodies if one.kind is Kind.STANDING])


def say_told(told: Told, *, settings: Settings, discretion: Discretion) -> Iterator[str]:
    """Yield what the daemon said, a line each as `examine` does; discretion is told which names come up."""
    from otherseat.daemon.voice.player import NO_DEVICE  # noqa: PLC0415 - imports the audio library

    health = told.health
    discretion.hide([health.seat] if health.seat != USUAL_NAME else [], "<seat>")
    discretion.hide([name for name in health.aircraft if name != OWN], "<aircraft>")
    _hide_devices(discretion)
    yield f"{FINE}a daemon answers at {settings.bus.desk}"
    yield from (f"{BLANK}{line}" for line in [*report(health), *tuned(told.standings)])
    yield from (f"{FINE}plan of {aircraft}: {plan_words(plan)}" for aircraft, plan in sorted(told.plans.items()))
    if NO_DEVICE in health.voice:
        yield f"{WRONG}voice: nothing is heard of it; {UNHEARD}"
    if not health.aircraft or health.silent:
        yield from (f"{WRONG}{source.name} at {source.address}: {deaf(source)}" for source in health.sources)
    for source in health.sources:
        if why := misfit(source):
            yield f"{WRONG}{source.name} at {source.address}: {why}"
    lacking = set().union(*(unsent(standing.live) for standing in told.standings))
    mark = BLANK if lacking.isdisjoint(POSITION) else WRONG
    for source in health.sources:
        if why := read_and_unsent(source, lacking):
            yield f"{mark}{source.name} at {source.address}: {why}"
    for standing in told.standings:
        yield from (f"{BLANK}{standing.aircraft}: {line}" for line in check_words(standing.live))


def _hide_devices(discretion: Discretion) -> None:
    from otherseat.daemon.voice.player import devices  # noqa: PLC0415 - imports the audio library
    from otherseat.daemon.voice.voice import VoiceError  # noqa: PLC0415

    with contextlib.suppress(VoiceError):  # without the library no device can come up
        discretion.hide(devices(), "<device>")


def say_differences(told: Told, *, settings: Settings, named: Named) -> Iterator[str]:
    """Yield a line for all that was named and is not what the daemon has."""
    yield from _source_differences(told.health.sources, settings=settings, named=named)
    if named.plan_file is not None:
        yield from _plan_differences(told.plans, settings=settings, file=named.plan_file)


def _source_differences(heard: tuple[SourceHealth, ...], *, settings: Settings, named: Named) -> Iterator[str]:
    """Yield each source that was named and is not the daemon's: by options that is wrong, by a file worth knowing."""
    by_option = named.port is not None or named.layout is not None
    wanted = [(named.port, named.layout)] if by_option else []
    if named.settings_file is not None and not by_option:
        wanted = [(source.port, source.layout or source.adapter) for source in settings.source]
    has = " and ".join(f"{source.name} at {source.address}" for source in heard)
    for port, layout in wanted:
        if not any(_is(source, port=port, layout=layout) for source in heard):
            words = " with ".join([*([f"port {port}"] if port else []), *([layout] if layout else [])])
            who = "you name" if by_option else "the settings have"
            yield f"{WRONG if by_option else BLANK}source: {who} {words}, and the daemon reads {has}"


def _is(source: SourceHealth, *, port: int | None, layout: str | None) -> bool:
    same_port = port is None or source.address.rpartition(":")[2] == str(port)
    return same_port and layout in {None, source.name}


def _plan_differences(plans: dict[str, Plan], *, settings: Settings, file: Path) -> Iterator[str]:
    try:
        plan = read_resolved_plan(file, runways=read_runways(settings)).plan
    except (ConfigError, PlanError) as error:
        yield f"{WRONG}plan: {error}"
        return
    for aircraft, has in sorted(plans.items()):
        other = [name for name in Plan.model_fields if getattr(plan, name) != getattr(has, name)]
        if other:
            yield f"{BLANK}plan: you name {plan_words(plan)}; {aircraft} has another {', another '.join(other)}"
