"""What a study lacked, in the words of what to fly: a hint names what is really missing, and nothing that was flown.

A direction is known by a turn, a speed by its changes: a column that stays the same is a constant like any other, and
no search looks at it.
"""

from collections.abc import Sequence

import numpy as np

from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import SPEED_UNITS, speeds, within
from otherseat.adapters.identify.position import ALONG_REASON, PARTS_REASON, Position, Search
from otherseat.adapters.identify.signals import turned
from otherseat.advisories.units import MPS_PER_KT

TURN_RAD = np.radians(60.0)
CONSTANT_OFF = 0.03
FLY_A_TURN = "fly a turn of 90 deg or more"
CHANGE_SPEED = "change speed by 20 kt or more, and back"
CHANGED_MPS = 20.0 * MPS_PER_KT
MOSTLY = (0.05, 0.95)
"""Of the samples: in a position that is sent in coarse steps a few speeds were never flown."""
IF_FLOWN = ". If that was flown the stream has no "
"""What stands behind it is for the end: as long as more comes it may not have been flown."""
NO_AIRSPEED = (
    f"airspeed: no column goes with the speed through the air better than a constant; {CHANGE_SPEED}{IF_FLOWN}airspeed"
)
GET_A_GROUNDSPEED = (
    "This works by a position, a direction and a groundspeed (or the velocities north and east), and more flying won't "
    "bring what isn't sent: add a groundspeed to what the simulator exports, or write the layout by hand.\n"
    "config/layouts/jsbsim.toml is an example, adapters/layout_model.py says all that a layout may say, and "
    "`otherseat layout check` tries it."
)


def for_a_position(search: Search, columns: Sequence[Column], *, so_far: bool) -> str:
    """Return what kept the position from being found; columns are all of the stream, constant ones too.

    so_far: more comes, and what was not found yet may be there.
    """
    moved, in_bytes = search.moved_along, any(column.span() for column in columns)
    if moved is None or (in_bytes and not no_groundspeed(search)):
        return f"the position: no two columns move along a direction column through a turn; {FLY_A_TURN}"
    label = moved.latitude.column.label()
    said = f"the position: {label} and {moved.longitude.column.label()} turn as a direction column does, but no column "
    if no_groundspeed(search):
        units = ", ".join(SPEED_UNITS)
        none = "no groundspeed is found so far" if so_far else "there is no groundspeed in the stream"
        unturned = f"; if it was not flown, {FLY_A_TURN}" if in_bytes else ""  # bytes may pass for a turn
        return f"{said}is their speed ({units}), which changed by 20 kt or more: {none}{unturned}"
    constant = constant_speeds(moved, columns)
    if constant:
        return f"{said}that varies is their speed, and {constant} stays the same; {CHANGE_SPEED}"
    return f"{said}that varies is their speed; {CHANGE_SPEED}"


def no_groundspeed(search: Search) -> bool:
    """Say whether the stream has no groundspeed: nothing in it is the speed of a movement whose speed has changed."""
    moved = search.moved_along
    if moved is None:
        return False
    slow, fast = np.quantile(moved.speed, MOSTLY)
    return bool(fast - slow >= CHANGED_MPS)


def constant_speeds(position: Position, columns: Sequence[Column]) -> str:
    """Return the columns that never vary and are about as large as the speed, in words; "" without any."""
    speed = float(np.median(position.speed))
    constants = (column for column in columns if np.ptp(column.values) == 0.0 and column.values[0] > 0.0)
    near = [c.label() for c in constants if within(speed / float(c.values[0]), speeds(c), CONSTANT_OFF)]
    return " or ".join(near)


def has_turned(position: Position) -> bool:
    """Say whether there was a turn. Without one two numbers made of others' bytes pass for a position."""
    return bool(turned(np.angle(position.velocity)) > TURN_RAD)


def to_be_sure(position: Position) -> str:
    """Return what is missing for a position that is beyond doubt; "" when nothing is."""
    if not has_turned(position):
        return f"the position for sure: {FLY_A_TURN}, then straight on"
    if len(position.reasons) < 2:  # noqa: PLR2004 - two laws that don't depend on each other
        return f"the position for sure: no speed column confirms it; {CHANGE_SPEED}"
    if not any(reason.startswith((ALONG_REASON, PARTS_REASON)) for reason in position.reasons):
        return "the position for sure: no direction column goes with it"
    return ""


def for_an_airspeed(*, turn_rad: float, any_speed: bool) -> str:
    """Return what kept the airspeed from being found."""
    if turn_rad <= TURN_RAD:
        return f"airspeed: {FLY_A_TURN}, in a steady wind"
    if not any_speed:
        return (
            "airspeed: besides the groundspeed no column that varies is about as large as the speed; "
            f"{CHANGE_SPEED}{IF_FLOWN}airspeed"
        )
    return "airspeed: no column with a heading and a steady wind gives the movement; fly turns, each at a steady speed"
