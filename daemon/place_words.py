"""Place words: what of a layout was in no datagram, and whether that leaves the stream without a position."""

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from otherseat.adapters.parts import EARTH
from otherseat.advisories.state import State
from otherseat.config.settings import SourceSettings
from otherseat.daemon.check_words import POSITION
from otherseat.daemon.messages import SourceHealth
from otherseat.daemon.source_words import FIRST, checking

if TYPE_CHECKING:
    from otherseat.adapters.layout_places import Places

Unseen = Mapping[str, Sequence[str]]
"""Fields by why they did not come, as adapters/layout_places.py tells them."""


def unseen_words(unseen: Unseen) -> list[str]:
    """Return a line for each reason."""
    return [f"{', '.join(fields)}: {why}" for why, fields in unseen.items()]


def has_position(state: State) -> bool:
    """Say whether it is known where the aircraft is."""
    return state.latitude_deg is not None and state.longitude_deg is not None


def reads_position(unseen: Unseen) -> bool:
    """Say whether a position, or a part of one, is among what did not come."""
    return any(not {*POSITION, *EARTH}.isdisjoint(fields) for fields in unseen.values())


def places_of(source: SourceSettings) -> "Places | None":
    """Return the places of a source's layout, None where it has none; LayoutError when that is no use."""
    from otherseat.adapters.layout_file import load  # noqa: PLC0415 - libraries only who reads layouts needs
    from otherseat.adapters.layout_places import Places  # noqa: PLC0415

    return Places(load(source.layout)) if source.adapter == "layout" and source.layout else None


def read_and_unsent(source: SourceHealth, unsent: Collection[str]) -> str:
    """Return which fields the layout of a running daemon's source reads that never come, and what tells why; or ""."""
    from otherseat.adapters.layout_file import LayoutError, load  # noqa: PLC0415

    if source.adapter != "layout":
        return ""
    try:
        found = load(source.name)
    except LayoutError:
        return ""  # a file of another folder, or one that has changed since
    if found.kind == "binary":
        return ""
    fields = sorted({name for message in found.message for name in message.fields}.intersection(unsent))
    if not fields:
        return ""
    return f"nothing brings what the layout reads as {', '.join(fields)}: {checking(source)} says why ({FIRST})"
