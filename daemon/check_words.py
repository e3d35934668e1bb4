"""Check words: which checks work now, which wait for their moment, and which never can with this stream.

A check that lacks what only the simulator can tell, and does not, stays blind for the whole flight. What is worked
out here is another matter: a runway, a path or a destination is there when the flight and the plan have come so far.
"""

from collections import defaultdict
from collections.abc import Mapping

from otherseat.advisories.picture import PICTURE_FIELDS
from otherseat.advisories.state import STATE_FIELDS

SENT_ONLY = STATE_FIELDS - PICTURE_FIELDS
"""What comes from the simulator or not at all."""
LIVE, LACKS = "live", "lacks "


def check_words(live: Mapping[str, str]) -> list[str]:
    """Return a few lines about the checks; live is as in a StandingMessage: name to `live`, `lacks x, y` or why off."""
    working = sorted(name for name, how in live.items() if how == LIVE)
    waiting, blind, off = [], defaultdict(list), []
    for name, how in sorted(live.items()):
        lacks = how.removeprefix(LACKS).split(", ") if how.startswith(LACKS) else []
        unsent = [field for field in lacks if field in SENT_ONLY]
        if unsent:
            blind[", ".join(unsent)].append(name)
        elif lacks:
            waiting.append(name)
        elif how != LIVE:
            off.append(f"off: {name}, {how}")
    return [
        f"checks at work now: {', '.join(working) or 'none yet'}",
        *([f"wait for their moment, such as a runway or a plan: {', '.join(waiting)}"] if waiting else []),
        *(f"blind, as the stream does not send {unsent}: {', '.join(names)}" for unsent, names in blind.items()),
        *off,
    ]
