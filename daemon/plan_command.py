"""`otherseat plan`: give the running daemon a plan in one line, change it in flight, or show it."""

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.state import OWN
from otherseat.daemon.addresses import desk_option, feed_option
from otherseat.daemon.unusable import UnusableError, usable

if TYPE_CHECKING:  # sockets and messages are imported only where a daemon is asked
    from otherseat.daemon.client import Client
    from otherseat.daemon.messages import PlanMessage

NOTHING = "no plan"


@click.command(
    context_settings={"ignore_unknown_options": True},
    epilog='Examples: otherseat plan "ZZKN/07 > ZZPS/27L alt 3500 app 65"   then, in flight: otherseat plan runway 27R',
)
@click.argument("words", nargs=-1)
@click.option("--file", "file", type=click.Path(path_type=Path), help="Take the plan from this TOML file.")
@click.option("--check", is_flag=True, help="Only look whether it can be used; ask no daemon.")
@click.option(
    "--airfields",
    "files",
    multiple=True,
    type=click.Path(path_type=Path),
    help="With --check: further airfields, TOML.",
)
@click.option("--aircraft", default=OWN, show_default=True, help="For which aircraft.")
@feed_option
@desk_option
def plan(
    *,
    words: tuple[str, ...],
    file: Path | None,
    check: bool,
    files: tuple[Path, ...],
    aircraft: str,
    feed: str,
    desk: str,
) -> None:
    """Give the running daemon a plan in one line; without WORDS show the one in force.

    \b
    ZZKN/07 > FIX1 > ZZPS/27L    departure, route, destination; put it in quotes
    alt 3500  app 65  path 3.5   cruise altitude, approach speed, path angle
    min 2000  da 420  cruise 110 lowest altitude, decision altitude, cruise speed
    hold ZZPS inbound 210 right  a hold, its course magnetic
    aircraft light-single        a profile
    weather METAR ...            the destination's report, last
    \b
    A line that begins with one of these words changes the plan, and so do
    runway 27R   direct FIX1   drop hold
    """  # noqa: D301 - click wants the control character \b before lines that it must not wrap
    if words and file is not None:
        raise UnusableError("give the plan in words or as a file, not both")
    line = " ".join(words)
    with usable():
        if check:
            told = _lines(_checked(line, file=file, files=files))
        else:
            told = _told(line, file=file, aircraft=aircraft, feed=feed, desk=desk)
    click.echo("\n".join(told))


def _told(line: str, *, file: Path | None, aircraft: str, feed: str, desk: str) -> list[str]:
    """Ask the daemon, and return what is in force then."""
    from otherseat.daemon.client import AskError, Client, NoAnswerError  # noqa: PLC0415 - sockets only where needed

    try:
        with usable(), Client(feed=feed, desk=desk) as client:
            return _lines(_asked(client, line, file=file, aircraft=aircraft).resolved())
    except NoAnswerError as error:
        message = f"no daemon answers at {desk}: start one with `otherseat fly`, or use --check ({error})"
        raise click.ClickException(message) from error
    except AskError as error:
        raise UnusableError(str(error)) from error


def _asked(client: "Client", line: str, *, file: Path | None, aircraft: str) -> "PlanMessage":
    if file is None and not line:
        return cast("PlanMessage", client.ask("plan.get", aircraft=aircraft))
    if file is not None:
        from otherseat.config.plans import read_plan_or_line  # noqa: PLC0415 - only for files

        given = read_plan_or_line(file)
        if isinstance(given, Plan):
            body = given.model_dump(mode="json")
            return cast("PlanMessage", client.ask("plan.set", aircraft=aircraft, plan=body))
        line = given
    return cast("PlanMessage", client.ask("plan.line", aircraft=aircraft, line=line))


def _lines(resolved: ResolvedPlan) -> list[str]:
    """Return the plan as a line, and what is worth knowing about it."""
    from otherseat.config.plan_line import write_plan  # noqa: PLC0415 - libraries only where a plan is looked at
    from otherseat.daemon.plan_remarks import remarks  # noqa: PLC0415

    return [write_plan(resolved.plan) or NOTHING, *remarks(resolved)]


def _checked(line: str, *, file: Path | None, files: tuple[Path, ...]) -> ResolvedPlan:
    from otherseat.config.known_runways import known_runways  # noqa: PLC0415 - only without a daemon
    from otherseat.config.plan_line import parse_plan  # noqa: PLC0415
    from otherseat.config.plans import read_plan, resolve_plan  # noqa: PLC0415

    runways = known_runways(files=files)
    new = read_plan(file, runways=runways) if file is not None else parse_plan(line, runways=runways)
    return resolve_plan(plan=new, runways=runways)
