"""Check words: which checks work now, which wait for their moment, and which never can with this stream.

A check that lacks what only the simulator can tell, and does not, stays blind for the whole flight. What is worked
out here is another matter: a runway, a path or a destination is there when the flight and the plan have come so far.
"""

import itertools
from collections.abc import Mapping
from typing import NamedTuple

from otherseat.advisories.picture import PICTURE_FIELDS
from otherseat.advisories.state import STATE_FIELDS

AS_SENT = frozenset({"altitude_ft", "latitude_deg", "longitude_deg", "indicated_airspeed_kt", "paused"})
"""In a picture from the first state on that brings them (an altitude of any kind; an
airspeed of either, the true one with a temperature), or never."""
SENT_ONLY = (STATE_FIELDS - PICTURE_FIELDS) | AS_SENT
"""What comes from the simulator or not at all."""
POSITION = ("latitude_deg", "longitude_deg")
RESTS_ON: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(
        (
            "groundspeed_kt",
            *("distance_to_threshold_nm", "offset_ft", "course_difference_deg"),
            *("tracked_end", "tracked_runway", "tracked_distance_nm"),
            *("surface_end", "surface_runway", "runway_ahead_ft"),
            *("next_point", "distance_to_next_point_nm", "bearing_to_next_point_deg", "last_fix", "past_fix_nm"),
            *("distance_to_go_nm", "destination", "distance_to_destination_nm", "bearing_to_destination_deg"),
            *("closing_speed_kt", "past_destination_nm"),
        ),
        POSITION,
    ),
    **dict.fromkeys(
        (
            *("height_above_threshold_ft", "height_above_path_ft", "path_deviation_deg", "path_height_ft"),
            *("sink_to_hold_fpm", "sink_to_regain_fpm", "next_gate_ft"),
            *("top_of_descent_nm", "descent_angle_needed_deg"),
        ),
        ("altitude_ft", *POSITION),
    ),
}
"""What is never worked out while one of the others is not sent; a groundspeed is worked out where none is sent."""
LIVE, LACKS = "live", "lacks "


class Checks(NamedTuple):
    """The checks' names, by what they do now."""

    working: list[str]
    waiting: list[str]
    blind: dict[str, list[str]]
    """By what the stream does not send."""
    off: dict[str, str]
    """With the reason."""


def sorted_out(live: Mapping[str, str]) -> Checks:
    """Return the checks by what they do; live is as in a StandingMessage: name to `live`, `lacks x, y` or why off."""
    found = Checks(working=[], waiting=[], blind={}, off={})
    lacking = {name: how.removeprefix(LACKS).split(", ") for name, how in live.items() if how.startswith(LACKS)}
    never = SENT_ONLY.intersection(itertools.chain(*lacking.values()))
    for name, how in sorted(live.items()):
        lacks = lacking.get(name, [])
        needed = itertools.chain.from_iterable(RESTS_ON.get(field, (field,)) for field in lacks)
        unsent = sorted(never.intersection(needed))
        if how == LIVE:
            found.working.append(name)
        elif unsent:
            found.blind.setdefault(", ".join(unsent), []).append(name)
        elif lacks:
            found.waiting.append(name)
        else:
            found.off[name] = how
    return found


def check_words(live: Mapping[str, str]) -> list[str]:
    """Return a few lines about the checks; live is as in a StandingMessage."""
    working, waiting, _, off = sorted_out(live)
    return [
        f"checks at work now: {', '.join(working) or 'none yet'}",
        *([f"wait for their moment, such as a runway or a plan: {', '.join(waiting)}"] if waiting else []),
        *blind_words(live),
        *(f"off: {name}, {how}" for name, how in off.items()),
    ]


def blind_words(live: Mapping[str, str]) -> list[str]:
    """Return a line for each thing that the stream does not send, with the checks that it leaves blind."""
    return [
        f"blind for want of {wanted(unsent)}: {', '.join(names)}" for unsent, names in sorted_out(live).blind.items()
    ]


def wanted(unsent: str) -> str:
    """Return the fields that do not come, with what would do instead: neither stream nor layout may have them."""
    return unsent.replace(
        "indicated_airspeed_kt", "indicated_airspeed_kt (or a true one with outside_air_temperature_c)"
    )


def unsent(live: Mapping[str, str]) -> set[str]:
    """Return the fields that the stream does not send and some check is blind without."""
    return {field for fields in sorted_out(live).blind for field in fields.split(", ")}
