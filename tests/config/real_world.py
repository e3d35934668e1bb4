"""The world's runways as the packaged open tables have them, read once a test process."""

from functools import cache

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.runway_columns import WorldRunways
from otherseat.config.world import World, build_world, packaged_tables


@cache
def real_world() -> World:
    """Return what the packaged tables give."""
    tables = packaged_tables()
    assert tables is not None
    return build_world(tables=[tables])


@cache
def real_runways() -> WorldRunways:
    """Return the searchable form."""
    return WorldRunways(real_world().columns)


@cache
def real_table() -> RunwayTable:
    """Return the table that the daemon uses."""
    return RunwayTable(behind=real_runways())
