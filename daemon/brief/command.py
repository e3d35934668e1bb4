"""`otherseat brief`: a plan worked out on one page, before flight."""

import contextlib
import dataclasses
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from otherseat.advisories.plan import PlanError
from otherseat.daemon.brief.conditions import Conditions, Holding, Wind, conditions_of
from otherseat.daemon.fly import CAUTION_LINE, read_resolved_plan, read_runways
from otherseat.daemon.unusable import needs, usable

WIND = re.compile(r"(\d{1,3})/(\d{1,3}(?:\.\d+)?)")
HOLD = re.compile(r"(\d{1,3})([LR])")


def wind_of(_context: click.Context, parameter: click.Parameter, value: str | None) -> Wind | None:
    """Return a wind written as FROM/KNOTS, true, or fail with an example."""
    if value is None:
        return None
    match = WIND.fullmatch(value)
    if match is None or float(match[1]) > 360.0:  # noqa: PLR2004 - a full circle
        raise click.BadParameter(f"{value} is no wind; write 270/15 for 15 kt from 270 true", param=parameter)
    return Wind(from_true_deg=float(match[1]), speed_kt=float(match[2]))


def hold_of(_context: click.Context, parameter: click.Parameter, value: str | None) -> Holding | None:
    """Return a hold written as its inbound course, true, and the side of its turns, or fail with an example."""
    if value is None:
        return None
    match = HOLD.fullmatch(value.upper())
    if match is None or float(match[1]) > 360.0:  # noqa: PLR2004 - a full circle
        message = f"{value} is no hold; write 270R for inbound on 270 true with right turns"
        raise click.BadParameter(message, param=parameter)
    return Holding(inbound_true_deg=float(match[1]), right_turns=match[2] == "R")


@click.command(
    epilog="Examples: otherseat brief island-hop.toml --wind 300/12 --temperature -5 --pdf card.pdf   or   otherseat "
    'brief "ZZKN/07 > ZZPS/27L alt 2500" --html card.html'
)
@click.argument("words", metavar="PLAN", nargs=-1, required=True)
@click.option("--settings", "settings_file", type=click.Path(path_type=Path), help="Your own settings, as TOML.")
@click.option("--wind", metavar="FROM/KT", callback=wind_of, help="Wind at the destination, such as 270/15, true.")
@click.option("--cruise-wind", metavar="FROM/KT", callback=wind_of, help="Wind in cruise, true.")
@click.option("--temperature", type=click.FloatRange(-60, 55), help="At the destination, in degrees Celsius.")
@click.option("--altimeter", type=click.FloatRange(900, 1080), help="Altimeter setting, in hPa.")
@click.option("--cruise-speed", type=click.FloatRange(30, 400), help="Indicated airspeed in cruise, in knots.")
@click.option("--approach-speed", type=click.FloatRange(30, 250), help="Indicated airspeed on final, in knots.")
@click.option(
    "--hold", metavar="INBOUND", callback=hold_of, help="A hold to fly, such as 270R: inbound, true, and side."
)
@click.option("--pdf", type=click.Path(path_type=Path), help="Write one A5 page as PDF.")
@click.option("--png", type=click.Path(path_type=Path), help="Write the same page as a picture.")
@click.option("--html", type=click.Path(path_type=Path), help="Write one HTML file that needs nothing else.")
def brief(  # noqa: PLR0917 - click passes options by name
    words: tuple[str, ...],
    settings_file: Path | None,
    wind: Wind | None,
    cruise_wind: Wind | None,
    temperature: float | None,
    altimeter: float | None,
    cruise_speed: float | None,
    approach_speed: float | None,
    hold: Holding | None,
    pdf: Path | None,
    png: Path | None,
    html: Path | None,
) -> None:
    """Work a plan out: path, sink rates, top of descent, winds, cold, gates, hold, lights, and what to watch for.

    PLAN is a TOML file, or a plan in one line as `otherseat plan` takes it. Exact figures stand beside the rules of
    thumb. Prints the card as text, or writes it as a page.
    """
    from otherseat.config.settings import read_settings  # noqa: PLC0415 - libraries only this command needs
    from otherseat.daemon.brief.card import make_card  # noqa: PLC0415

    with usable(), _readable_speeds():
        plan = read_resolved_plan(Path(" ".join(words)), runways=read_runways(read_settings(settings_file)))
        card = make_card(
            plan=plan,
            day=over(
                conditions_of(plan),
                surface_wind=wind,
                gust_kt=None if wind is None else wind.speed_kt,
                cruise_wind=cruise_wind,
                temperature_c=temperature,
                altimeter_hpa=altimeter,
                cruise_airspeed_kt=cruise_speed,
                approach_airspeed_kt=approach_speed,
                holding=hold,
            ),
        )
        _show(card, pages=[path for path in (pdf, png) if path is not None], html=html)


def _show(card: Any, *, pages: Sequence[Path], html: Path | None) -> None:
    """Write the card where it is wanted, or print it."""
    if not pages and html is None:
        from otherseat.daemon.brief.text import to_text  # noqa: PLC0415 - each way of showing it has its own libraries

        click.echo(to_text(card, caution=CAUTION_LINE), nl=False)
        return
    with needs("a page", "pages"):
        from otherseat.daemon.brief.page import write_page  # noqa: PLC0415
        from otherseat.daemon.brief.web import to_html  # noqa: PLC0415

        for path in pages:
            write_page(card, path, caution=CAUTION_LINE)
            click.echo(f"wrote {path}")
        if html is not None:
            html.write_text(to_html(card, caution=CAUTION_LINE), encoding="utf-8")
            click.echo(f"wrote {html}")


@contextlib.contextmanager
def _readable_speeds() -> Iterator[None]:
    """Answer a speed that can't be worked out as a plan that can't be used."""
    from otherseat.daemon.brief.figures import SpeedError  # noqa: PLC0415 - libraries only this command needs

    try:
        yield
    except SpeedError as error:
        raise PlanError(key="speed", message=str(error)) from error


def over(day: Conditions, **given: Any) -> Conditions:
    """Return the plan's own conditions with what was given on the command line laid over them."""
    return dataclasses.replace(day, **{name: value for name, value in given.items() if value is not None})
