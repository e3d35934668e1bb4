"""Plug-ins by entry point: the built-in adapters and advisories come through the same door as everybody's."""

from collections.abc import Iterator
from importlib.metadata import EntryPoint, entry_points

import structlog

from otherseat.adapters.adapter import Adapter
from otherseat.advisories.advisory import Advisory
from otherseat.config.toml_files import nearest

ADAPTERS = "otherseat.adapters"
ADVISORIES = "otherseat.advisories"

log = structlog.get_logger(__name__)


class UnknownPluginError(ValueError):
    """A name that no plug-in answers to; the message has the nearest."""


def advisories() -> list[Advisory]:
    """Return every advisory that can be imported; one that can't is logged and left out."""
    return [found for _, found in _loaded(ADVISORIES, Advisory)]


def adapter(name: str) -> Adapter:
    """Return the adapter of that name, or raise UnknownPluginError."""
    entries = {entry.name: entry for entry in entry_points(group=ADAPTERS)}
    entry = entries.get(name)
    if entry is None:
        raise UnknownPluginError(f"no adapter is called {name}{nearest(name, sorted(entries))}")
    try:
        found = entry.load()
    except ImportError as error:
        raise UnknownPluginError(f"adapter {name} can't be used: {error}") from error
    if not isinstance(found, Adapter):
        raise UnknownPluginError(f"adapter {name}: {entry.value} is no Adapter")
    return found


def _loaded(group: str, kind: type[Advisory]) -> Iterator[tuple[str, Advisory]]:
    for entry in sorted(entry_points(group=group), key=lambda entry: entry.name):
        found = _load(entry)
        if isinstance(found, kind):
            yield entry.name, found
        elif found is not None:
            log.error("plugin_refused", plugin=entry.name, reason=f"{entry.value} is no {kind.__name__}")


def _load(entry: EntryPoint) -> object:
    try:
        return entry.load()
    except Exception as error:  # noqa: BLE001 - a plug-in may fail in any way; the others go on
        log.error("plugin_refused", plugin=entry.name, reason=str(error))  # noqa: TRY400 - one line is enough
        return None
