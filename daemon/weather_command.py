"""`otherseat weather`: a report in plain words, the wind on each runway end, and what disagrees."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.report_check import disagreements, ends_in_wind
from otherseat.advisories.runway import Airfield, RunwayTable, UnknownPlaceError
from otherseat.advisories.state import OWN
from otherseat.advisories.weather_report import Weather
from otherseat.daemon.addresses import desk_option, feed_option
from otherseat.daemon.unusable import UnusableError, usable

if TYPE_CHECKING:  # sockets are imported only where a daemon is asked
    from otherseat.daemon.client import Client

LOOK_EVERY_S = 2.0
INCHES_BELOW = 40.0
"""A setting below this is in inches."""


@click.command(
    context_settings={"ignore_unknown_options": True},
    epilog='Example: otherseat weather "METAR ZZPS 121755Z 21016G24KT 9999 BKN015 06/04 Q1013"',
)
@click.argument("words", nargs=-1)
@click.option("--file", "file", type=click.Path(path_type=Path), help="Read the report from this file.")
@click.option("--plan", "plan_file", type=click.Path(path_type=Path), help="Compare with this plan, TOML.")
@click.option("--for", "line", help='Compare with this plan in one line, such as "ZZPS/27L da 420".')
@click.option("--altimeter", type=float, help="What the aircraft's altimeter is set to, in hPa or inches.")
@click.option("--airfields", "files", multiple=True, type=click.Path(path_type=Path), help="Further airfields, TOML.")
@click.option("--send", is_flag=True, help="Hand the report to the running daemon, for the plan's destination.")
@click.option("--watch", is_flag=True, help="Send it, and look every few seconds for a new one in --file.")
@click.option("--aircraft", default=OWN, show_default=True, help="For which aircraft to send it.")
@feed_option
@desk_option
def weather(
    *,
    words: tuple[str, ...],
    file: Path | None,
    plan_file: Path | None,
    line: str | None,
    altimeter: float | None,
    files: tuple[Path, ...],
    send: bool,
    watch: bool,
    aircraft: str,
    feed: str,
    desk: str,
) -> None:
    """Write a weather report in plain words, and as it is read out, with the wind on every runway end of its airfield.

    What can't be read is shown as it stands, never guessed. What disagrees with the plan or the altimeter is told.
    """
    if bool(words) == (file is not None):
        raise UnusableError("give the report in words or as a file")
    if watch and file is None:
        raise UnusableError("--watch needs a --file to watch")
    from otherseat.config.known_runways import known_runways  # noqa: PLC0415 - each command imports its own

    with usable():
        runways = known_runways(files=files)
        plan = _plan(line, plan_file=plan_file, runways=runways)

    def tell(report: Weather) -> None:
        for told in _lines(report, runways=runways, plan=plan, altimeter_hpa=_hpa(altimeter)):
            click.echo(told)

    if file is not None and watch:
        with _daemon(feed=feed, desk=desk) as client:
            _watch(file, tell=tell, send=lambda report: _send(client, report, aircraft=aircraft))
    with usable():
        report = _read(words, file=file)
    tell(report)
    if send:
        with _daemon(feed=feed, desk=desk) as client:
            _send(client, report, aircraft=aircraft)


def _read(words: tuple[str, ...], *, file: Path | None) -> Weather:
    from otherseat.config.weather import read_report  # noqa: PLC0415
    from otherseat.config.weather_file import read_report_file  # noqa: PLC0415

    return read_report(" ".join(words) if file is None else read_report_file(file))


@contextmanager
def _daemon(*, feed: str, desk: str) -> "Iterator[Client]":
    """Give a client of the running daemon; what it can't do is said in one line."""
    from otherseat.daemon.client import AskError, Client, NoAnswerError  # noqa: PLC0415 - sockets only where needed

    try:
        with usable(), Client(feed=feed, desk=desk) as client:
            yield client
    except NoAnswerError as error:
        message = f"no daemon answers at {desk}: start one with `otherseat fly` ({error})"
        raise click.ClickException(message) from error
    except AskError as error:
        raise UnusableError(str(error)) from error


def _send(client: "Client", report: Weather, *, aircraft: str) -> None:
    client.ask("weather.set", aircraft=aircraft, report=report.text.partition(" RMK")[0])
    goal = client.ask("plan.get", aircraft=aircraft).destination
    click.echo(f"handed to the daemon: {report.station}{_for_another(report, goal)}")


def _for_another(report: Weather, goal: Airfield | None) -> str:
    """Return what becomes of a report that is not the destination's: the checks take it for the arrival anyhow."""
    if goal is None:
        return "; its plan has no destination yet, and the report counts for any"
    if goal.ident == report.station:
        return ""
    return f", but its plan goes to {goal.ident}: the wind and the altimeter setting count for the arrival there"


def _watch(file: Path, *, tell: Callable[[Weather], None], send: Callable[[Weather], None]) -> NoReturn:
    """Tell and send every new report in a file until interrupted."""
    from otherseat.config.errors import ConfigError  # noqa: PLC0415
    from otherseat.config.weather import ReportError  # noqa: PLC0415
    from otherseat.config.weather_file import WatchedReport  # noqa: PLC0415

    watched = WatchedReport(file)
    while True:
        try:
            report = watched.look()
        except (ConfigError, ReportError) as error:
            click.echo(f"otherseat: {error}", err=True)
            report = None
        if report is not None:
            tell(report)
            send(report)
        time.sleep(LOOK_EVERY_S)


def _lines(report: Weather, *, runways: RunwayTable, plan: ResolvedPlan, altimeter_hpa: float | None) -> Iterator[str]:
    from otherseat.config.profiles import read_profile  # noqa: PLC0415
    from otherseat.daemon.phrasebook import Phrasebook  # noqa: PLC0415
    from otherseat.daemon.weather_words import PHRASES, conflict_words, read_out, wind_lines, written_out  # noqa: PLC0415

    phrases = Phrasebook.load(extra=PHRASES)
    field = _field(report.station, runways)
    place = field.name if field is not None else report.station
    yield from written_out(weather=report, place=place, phrases=phrases)
    yield "\nAs it is read out:"
    yield from (f"  {line}" for line in read_out(weather=report, place=place, phrases=phrases))
    if field is not None and report.wind_speed_kt is not None:
        yield ""
        yield from wind_lines(seen=ends_in_wind(ends=field.ends, weather=report), planned=_planned(plan))
    elif field is None:
        yield f"No airfield is called {report.station}: no runways to compare with."
    with usable():
        profile = None if plan.plan.aircraft is None else read_profile(plan.plan.aircraft)
    against = disagreements(
        weather=report,
        plan=plan,
        altimeter_hpa=altimeter_hpa,
        **(
            {}
            if profile is None
            else {"most_crosswind_kt": profile.most_crosswind_kt, "most_tailwind_kt": profile.most_tailwind_kt}
        ),
    )
    told = [conflict_words(disagreement=each, phrases=phrases) for each in against]
    if told:
        yield ""
        yield from told


def _planned(plan: ResolvedPlan) -> dict[str, str]:
    """Return what each runway end of the plan is for."""
    planned: dict[str, str] = {}
    for end, what in ((plan.departure, "planned take-off"), (plan.arrival, "planned landing")):
        if end is not None:
            planned[end.name] = f"{planned[end.name]}, {what}" if end.name in planned else what
    return planned


def _field(ident: str, runways: RunwayTable) -> Airfield | None:
    try:
        return runways.airfield(ident)
    except UnknownPlaceError:
        return None


def _plan(line: str | None, *, plan_file: Path | None, runways: RunwayTable) -> ResolvedPlan:
    from otherseat.config.plan_line import parse_plan  # noqa: PLC0415
    from otherseat.config.plans import resolve_plan  # noqa: PLC0415
    from otherseat.daemon.fly import read_resolved_plan  # noqa: PLC0415

    if line is not None and plan_file is not None:
        raise UnusableError("give the plan as a line or as a file, not both")
    if line is None:
        return read_resolved_plan(plan_file, runways=runways)
    return resolve_plan(plan=parse_plan(line, runways=runways), runways=runways)


def _hpa(altimeter: float | None) -> float | None:
    from otherseat.advisories.units import HPA_PER_INHG  # noqa: PLC0415

    if altimeter is None:
        return None
    return altimeter * HPA_PER_INHG if altimeter < INCHES_BELOW else altimeter
