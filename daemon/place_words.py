"""Place words: what of a layout was in no datagram, and whether that leaves the stream without a position."""

from collections.abc import Mapping, Sequence

from otherseat.adapters.parts import EARTH
from otherseat.advisories.state import State
from otherseat.daemon.check_words import POSITION

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
