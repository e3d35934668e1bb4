"""Every runway that the daemon knows: the person's own airfields over the world's, newest tables first.

Own folder    airfields/*.toml     put there by `otherseat airfields add`
              tables/              airports.csv and runways.csv of a newer download
"""

from collections.abc import Iterable
from pathlib import Path

from otherseat.advisories.runway import Airfield, Place, RunwayTable
from otherseat.advisories.runway_columns import WorldRunways
from otherseat.config.airfields import demo_airfields, read_places
from otherseat.config.folders import cache_folder, own_folder
from otherseat.config.world import Tables, World, load_world, packaged_tables

AIRFIELDS = "airfields"
TABLES = "tables"


def known_runways(
    *, files: Iterable[Path] = (), own: Path | None = None, cache: Path | None = None, world: bool = True
) -> RunwayTable:
    """Return them all; raise ConfigError for a file that can't be used.

    Of airfields with one ident the last wins: the world's, the demo's, the own folder's, the files'. own and cache:
    None for the user's folders. world False: only what is in TOML.
    """
    folder = own or own_folder()
    airfields: list[Airfield] = demo_airfields()
    fixes: list[Place] = []
    for path in (*sorted((folder / AIRFIELDS).glob("*.toml")), *files):
        places = read_places(path)
        airfields += places.airfields
        fixes += places.fixes
    behind = WorldRunways(known_world(own=folder, cache=cache).columns) if world else None
    return RunwayTable(airfields, behind=behind, fixes=fixes)


def known_world(*, own: Path | None = None, cache: Path | None = None) -> World:
    """Return the world's runways from the user's newer tables and the packaged ones."""
    newer = Tables.within((own or own_folder()) / TABLES)
    tables = [pair for pair in (newer, packaged_tables()) if pair is not None]
    return load_world(tables=tables, cache=cache or cache_folder())
