"""`otherseat debrief`: what happened on a flight, or on all the flights in a folder."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from otherseat.daemon.fly import CAUTION_LINE, read_resolved_plan, read_runways
from otherseat.daemon.hanging import say
from otherseat.daemon.unusable import UnusableError, needs, usable


@click.command(epilog="Example: otherseat debrief flight.mcap --pdf flight.pdf")
@click.argument("path", required=False, type=click.Path(path_type=Path))
@click.option("--html", type=click.Path(path_type=Path), help="Where to write the page; NAME.html when left out.")
@click.option("--pdf", type=click.Path(path_type=Path), help="Write the pages as PDF, too (one flight).")
@click.option("--csv", type=click.Path(path_type=Path), help="Write the series, or the table of flights, as CSV.")
@click.option("--parquet", type=click.Path(path_type=Path), help="Write the series as Parquet (one flight).")
@click.option("--aircraft", help="Which aircraft of the recording (one flight).")
@click.option("--plan", "plan_file", type=click.Path(path_type=Path), help="The plan of a track that has none.")
@click.option("--settings", "settings_file", type=click.Path(path_type=Path), help="Your own airfields, for a track.")
@click.option("--layout", help="What each line of a track log looks like: a packaged layout's name, or a TOML file.")
@click.option(
    "--workers", type=click.IntRange(1, 64), help="Processes for a folder; as many as processors if left out."
)
@click.option("--scheduler", help="Hand a folder's flights to the Dask scheduler at this address.")
def debrief(  # noqa: PLR0917 - click passes options by name
    path: Path | None,
    html: Path | None,
    pdf: Path | None,
    csv: Path | None,
    parquet: Path | None,
    aircraft: str | None,
    plan_file: Path | None,
    settings_file: Path | None,
    layout: str | None,
    workers: int | None,
    scheduler: str | None,
) -> None:
    """Say what happened: the approach from the side and above, gates, touchdown, alerts and how they were met.

    PATH is a recording, a GPX, IGC or CSV track, or a folder of them; left out, the newest of your own recordings.
    The page is one HTML file that needs nothing else.
    """
    from otherseat.daemon.recordings_folder import newest_said  # noqa: PLC0415 - libraries only this command needs

    with usable(), needs("a page", "pages"):
        path = path or newest_said()
        path.stat()  # a name that is wrong is said before a library that is missing
        page = html or Path(f"{path.resolve().name if path.is_dir() else path.stem}.html")
        if path.is_dir():
            _school(path, page=page, csv=csv, workers=workers, scheduler=scheduler)
        else:
            given = Given(aircraft=aircraft, plan_file=plan_file, settings_file=settings_file, layout=layout)
            _flight(path, given, page=page, pdf=pdf, csv=csv, parquet=parquet)


@dataclass(frozen=True, slots=True)
class Given:
    """What a person gives along with a file."""

    aircraft: str | None
    plan_file: Path | None
    settings_file: Path | None
    layout: str | None


def _flight(path: Path, given: Given, *, page: Path, pdf: Path | None, csv: Path | None, parquet: Path | None) -> None:
    from otherseat.daemon.debrief import export, pages  # noqa: PLC0415 - libraries only this command needs
    from otherseat.daemon.debrief.report import make_report  # noqa: PLC0415
    from otherseat.daemon.debrief.tables import alert_lines, figures  # noqa: PLC0415

    report = make_report(_open(path, given))
    page.write_text(pages.to_html(report, caution=CAUTION_LINE), encoding="utf-8")
    if pdf is not None:
        pages.write_pdf(report, pdf, caution=CAUTION_LINE)
    if csv is not None:
        export.write_csv(report, csv)
    if parquet is not None:
        with needs("Parquet", "school"):
            export.write_parquet(report, parquet)
    for name, value in [*figures(report), *((f"at {v.gate_ft:,.0f} ft", v.word) for v in report.verdicts)]:
        say(f"{name:>20}  {value}", indent=22)
    for line in alert_lines(report):
        say(f"{'alert':>20}  {line}", indent=22)
    for words in report.unknown:
        say(f"{'not known':>20}  {words}", indent=22)
    click.echo(f"{'page':>20}  {page}")
    say(CAUTION_LINE, indent=0)


def _open(path: Path, given: Given) -> Any:
    from otherseat.config.settings import read_settings  # noqa: PLC0415
    from otherseat.daemon.debrief.open_flight import open_flown  # noqa: PLC0415
    from otherseat.daemon.recording import SUFFIX  # noqa: PLC0415

    if path.suffix.lower() == SUFFIX and given.layout is None:
        return open_flown(path, aircraft=given.aircraft)
    runways = read_runways(read_settings(given.settings_file))
    plan = read_resolved_plan(given.plan_file, runways=runways)
    return open_flown(path, aircraft=given.aircraft, runways=runways, plan=plan, layout=given.layout)


def _school(path: Path, *, page: Path, csv: Path | None, workers: int | None, scheduler: str | None) -> None:
    from otherseat.daemon.debrief.school import flight_files  # noqa: PLC0415
    from otherseat.daemon.debrief.school_page import (  # noqa: PLC0415
        School,
        figures,
        to_school_html,
        write_table,
    )

    files = flight_files(path)
    if not files:
        raise UnusableError(f"{path}: no recordings or tracks in this folder")
    school = School(rows=tuple(_rows(files, workers=workers, scheduler=scheduler)))
    page.write_text(to_school_html(school, title=path.resolve().name, caution=CAUTION_LINE), encoding="utf-8")
    if csv is not None:
        write_table(school, csv)
    for name, value in figures(school):
        say(f"{name:>28}  {value}", indent=30)
    for row in school.bad:
        say(f"{'skipped':>28}  {row.file}: {row.error}", indent=30)
    click.echo(f"{'page':>28}  {page}")
    say(CAUTION_LINE, indent=0)


def _rows(files: Sequence[Path], *, workers: int | None, scheduler: str | None) -> Sequence[Any]:
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import MofNCompleteColumn, Progress, TimeRemainingColumn  # noqa: PLC0415

    from otherseat.daemon.debrief import school  # noqa: PLC0415

    columns = (*Progress.get_default_columns()[:2], MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True)) as bar:
        task = bar.add_task("flights", total=len(files))
        if scheduler is None:
            return school.debrief_here(files, workers=workers, progress=lambda _: bar.advance(task))
        with needs("a cluster", "school"):
            return school.debrief_on_cluster(files, scheduler=scheduler, progress=lambda _: bar.advance(task))
