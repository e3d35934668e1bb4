"""`otherseat airfields`: which airfields are known, add one's own, and what was kept out.

Runways are printed as: designators, length, width, surface, course true and magnetic, and what is doubtful about them.
"""

import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import click

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.runway import Airfield, Runway, RunwayEnd, RunwayTable, UnknownPlaceError
from otherseat.config.errors import ConfigError
from otherseat.daemon.unusable import UnusableError, usable

SHOWN_DOUBTS = 25


@click.group(epilog="Example: otherseat airfields find ZZPS")
def airfields() -> None:
    """Which airfields are known: find one, add your own, list what was kept out.

    Known are the world's from open tables, and over them your own.
    """


@airfields.command(epilog="Example: otherseat airfields add my-island.toml")
@click.argument("file", type=click.Path(exists=True, path_type=Path))
def add(file: Path) -> None:
    """Add airfields of your own from FILE.

    FILE is TOML as below, or a newer download of the open tables: the folder that holds airports.csv, runways.csv and
    perhaps navaids.csv. Yours come before the world's, airfield by airfield.

    \b
    [[airfield]]
    ident = "ZZLR"
    name = "Long Reef"
    latitude_deg = 12.5
    longitude_deg = -150.0
    elevation_ft = 20
    magnetic_variation_deg = 9.0       # east is positive; may be left out
    [[airfield.runway]]                # as many as there are
    width_ft = 75
    ends = [                           # the middle of each end of the surface
      { runway = "08", latitude_deg = 12.5, longitude_deg = -150.01 },
      { runway = "26", latitude_deg = 12.5, longitude_deg = -149.99, displaced_ft = 200 },
    ]
    [[fix]]                            # places to fly over, if you like
    name = "REEFN"
    latitude_deg = 12.8
    longitude_deg = -150.0
    """  # noqa: D301 - click wants the control character \b before lines that it must not wrap
    with usable():
        for line in _added_tables(file) if _is_download(file) else _added_toml(file):
            click.echo(line)


def _is_download(file: Path) -> bool:
    return file.is_dir() or file.name.removesuffix(".gz").endswith(".csv")


def _added_toml(file: Path) -> Iterator[str]:
    from otherseat.config.airfields import read_places  # noqa: PLC0415 - each command imports its own
    from otherseat.config.folders import own_folder  # noqa: PLC0415
    from otherseat.config.known_runways import AIRFIELDS  # noqa: PLC0415

    places = read_places(file)
    target = own_folder() / AIRFIELDS / f"{file.stem}.toml"
    _copy(file, target)
    runways = sum(len(field.runways) for field in places.airfields)
    yield f"added {len(places.airfields)} airfields with {runways} runways, and {len(places.fixes)} fixes"
    yield f"kept in {target}"
    yield from places.remarks


def _added_tables(file: Path) -> Iterator[str]:
    from otherseat.config.folders import own_folder  # noqa: PLC0415
    from otherseat.config.known_runways import TABLES  # noqa: PLC0415
    from otherseat.config.world import NAMES, Tables, build_world  # noqa: PLC0415

    folder = file if file.is_dir() else file.parent
    tables = Tables.within(folder)
    if tables is None:
        problem = f"must hold {' and '.join(NAMES[:2])}, gzip or not"
        raise ConfigError(file=str(folder), key="", problem=problem)
    world = build_world(tables=[tables])
    target = own_folder() / TABLES
    for name in NAMES:
        for old in (target / name, target / f"{name}.gz"):
            old.unlink(missing_ok=True)
    for path in tables.paths:
        _copy(path, target / path.name)
    yield f"added {len(world.columns.airfields)} airfields with {len(world.columns.ends) // 2} runways"
    yield f"kept out {len(world.doubts)}: see `otherseat airfields doubts`"


def _copy(file: Path, target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if not (target.exists() and target.samefile(file)):
            shutil.copyfile(file, target)
    except OSError as error:
        raise ConfigError(file=str(target), key="", problem=f"can't be written: {error.strerror or error}") from error


@airfields.command(epilog="Example: otherseat airfields find ZZPS   or   otherseat airfields find --near 47.5,-3.1")
@click.argument("text", nargs=-1)
@click.option("--near", help="A place in degrees, north and east positive, such as 47.5,-3.1.")
@click.option("--within", default=20.0, show_default=True, type=click.FloatRange(0, 500), help="Nautical miles.")
def find(text: tuple[str, ...], near: str | None, within: float) -> None:
    """Find airfields by ident, by part of their name, or near a place. Accents and capitals don't count."""
    from otherseat.config.known_runways import known_runways  # noqa: PLC0415

    if bool(text) == (near is not None):
        raise UnusableError("say an ident, a part of a name, or --near LATITUDE,LONGITUDE")
    with usable():
        table = known_runways()
    found = _near(table, near, within) if near is not None else _named(table, " ".join(text))
    for field in found:
        click.echo("\n".join(_described(field)))


def _near(table: RunwayTable, near: str, within: float) -> list[Airfield]:
    try:
        latitude_deg, longitude_deg = (float(part) for part in near.split(","))
    except ValueError as error:
        raise UnusableError(f"--near needs LATITUDE,LONGITUDE in degrees, such as 47.5,-3.1, not {near}") from error
    if not (-90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0):  # noqa: PLR2004 - the globe
        raise UnusableError("a latitude is from -90 to 90 and a longitude from -180 to 180")
    ends = table.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=within)
    if not ends:
        raise click.ClickException(f"no runway is known within {within:g} NM of {near}")
    return [table.airfield(ident) for ident in dict.fromkeys(end.airfield for end in ends)]


def _named(table: RunwayTable, text: str) -> list[Airfield]:
    from otherseat.config.known_runways import known_world  # noqa: PLC0415
    from otherseat.config.place_names import fields_named  # noqa: PLC0415

    try:
        return [table.airfield(text.strip().upper())]
    except UnknownPlaceError as error:
        own = table.find("")  # of the world's none is called nothing: these are the person's own
        found = fields_named(text, own=own, world=known_world().columns, table=table)
        if found:
            return found
        raise click.ClickException(f"{error}{_as_place(text)}") from error


def _as_place(text: str) -> str:
    """Return how to ask for what lies near, when the text is a position; "" when it is none."""
    parts = text.replace(",", " ").split()
    try:
        latitude_deg, longitude_deg = map(float, parts)
    except ValueError:
        return ""
    return f"; near a position: otherseat airfields find --near={latitude_deg:g},{longitude_deg:g}"


def _described(field: Airfield) -> Iterator[str]:
    place = _place(latitude_deg=field.latitude_deg, longitude_deg=field.longitude_deg, digits=4)
    yield f"{field.ident}  {field.name}  {place}  {field.elevation_ft:.0f} ft"
    for runway in field.runways:
        yield f"  {_runway(runway)}"


def _place(*, latitude_deg: float, longitude_deg: float, digits: int) -> str:
    latitude = f"{abs(latitude_deg):.{digits}f}{'NS'[latitude_deg < 0]}"
    return f"{latitude} {abs(longitude_deg):.{digits}f}{'EW'[longitude_deg < 0]}"


def _threshold(end: RunwayEnd) -> str:
    """Return where the landing threshold is, to a metre."""
    place = _place(latitude_deg=end.latitude_deg, longitude_deg=end.longitude_deg, digits=5)
    displaced = f", displaced {end.displaced_ft:.0f} ft" if end.displaced_ft else ""
    return f"threshold {end.runway} {place}, {end.elevation_ft:.0f} ft{displaced}"


def _runway(runway: Runway) -> str:
    low, high = runway.ends
    true = f"{low.course_true_deg:03.0f}/{high.course_true_deg:03.0f} true"
    parts = [
        f"{low.runway}/{high.runway}",
        f"{low.length_ft + low.displaced_ft:,.0f} x {low.width_ft:.0f} ft",
        low.surface,
        true,
    ]
    if low.magnetic_variation_deg is not None:
        magnetic = [normal_deg(end.course_true_deg - low.magnetic_variation_deg) for end in runway.ends]
        parts.append(f"{magnetic[0]:03.0f}/{magnetic[1]:03.0f} magnetic")
    estimated = f"place estimated, course {low.course_source}"
    notes = [estimated] if low.estimated else [_threshold(end) for end in runway.ends]
    return "\n      ".join(["  ".join(part for part in parts if part), *notes])


@airfields.command(epilog="Example: otherseat airfields doubts --all")
@click.argument("ident", required=False)
@click.option("--all", "everything", is_flag=True, help="List every one.")
def doubts(ident: str | None, everything: bool) -> None:  # noqa: FBT001 - click passes options by name
    """List the runways that were kept out because they can't be as the tables tell, of IDENT or of all."""
    from otherseat.config.known_runways import known_world  # noqa: PLC0415

    with usable():
        world = known_world()
    listed = [doubt for doubt in world.doubts if ident is None or doubt.runway.startswith(f"{ident.upper()}/")]
    for doubt in listed if everything or ident else listed[:SHOWN_DOUBTS]:
        click.echo(f"{doubt.runway:<12} {doubt.reason}")
    if ident is None:
        if len(listed) > SHOWN_DOUBTS and not everything:
            click.echo(f"... and {len(listed) - SHOWN_DOUBTS} more: --all lists them")
        click.echo(f"\nkept out {len(listed)} of {len(listed) + len(world.columns.ends) // 2} runways:")
        for kind, count in Counter(_kind(doubt.reason) for doubt in listed).most_common():
            click.echo(f"{count:6}  {kind}")
        for reason, count in sorted(world.left.items()):
            click.echo(f"{count:6}  no doubt, left out: {reason}")
    elif not listed:
        click.echo(f"no runway of {ident.upper()} was kept out")


KINDS = {
    "no pair": "designators that are no pair",
    "heading is given": "heading against designator",
    "ends lie": "ends against designator, length or height",
    "ft long": "impossible length",
    "elevation": "no elevation",
    "ends are not known": "neither length nor ends",
    "6 NM": "far from the airfield",
    "one point": "ends on one point",
    "above or below": "height against the airfield's",
    "another": "a name twice",
    "lies on": "on top of another",
}


def _kind(reason: str) -> str:
    return next((kind for words, kind in KINDS.items() if words in reason), "others")
