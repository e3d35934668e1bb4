"""Final approach: what the numbers about a picture's runway mean to who reads or hears them; one rule for all of them.

On the path   less than ON_PATH_FT above or below it, on the final approach
Beside        so far off the centreline that the height above the path says nothing
Far           so far from the runway, along or across, that no number about it says anything, its wind neither
"""

from dataclasses import replace
from typing import Any

from otherseat.advisories.arrival import PATH_WITHIN_NM, Approach
from otherseat.advisories.path import is_beside
from otherseat.advisories.picture import Picture
from otherseat.advisories.units import FT_PER_NM

ON_PATH_FT = 25.0
"""Feet that nobody flies off by hand, and fewer than any finding is made of: common practice, no source."""


ABOUT_RUNWAY: dict[str, Any] = dict.fromkeys((*Approach.__slots__, "headwind_kt", "crosswind_kt"))
"""What a picture has of its runway, left out."""


def without_far_runway(picture: Picture) -> Picture:
    """Return the picture as it is shown: far from its runway it has the runway's name, and no number about it.

    On the bus they come all the same: it carries what is worked out, and each check judges for itself what it needs.
    """
    return replace(picture, **ABOUT_RUNWAY) if is_far(picture) else picture


def is_far(picture: Picture) -> bool:
    """Say whether the runway is farther away than its path is told, along its centreline or across."""
    offset_ft, distance_nm = picture.offset_ft, picture.distance_to_threshold_nm
    if offset_ft is None or distance_nm is None:
        return False
    return max(abs(distance_nm), abs(offset_ft) / FT_PER_NM) > PATH_WITHIN_NM


def is_on_path(picture: Picture) -> bool:
    """Say whether the aircraft is on the path of the final approach, neither high nor low."""
    off_ft = picture.height_above_path_ft
    return off_ft is not None and abs(off_ft) < ON_PATH_FT and how_far_beside(picture) is None


def how_far_beside(picture: Picture) -> str | None:
    """Return how far beside the final approach the aircraft is, such as "4.0 NM left"; None when it is not."""
    offset_ft, distance_nm = picture.offset_ft, picture.distance_to_threshold_nm
    if offset_ft is None or distance_nm is None or not is_beside(offset_ft=offset_ft, distance_nm=distance_nm):
        return None
    return f"{abs(offset_ft) / FT_PER_NM:.1f} NM {'right' if offset_ft > 0.0 else 'left'}"
