"""Final approach: what the numbers about a picture's runway mean to who reads or hears them; one rule for all of them.

On the path   less than ON_PATH_FT above or below it, on the final approach
Beside        so far off the centreline that the height above the path says nothing
"""

from otherseat.advisories.path import is_beside
from otherseat.advisories.picture import Picture
from otherseat.advisories.units import FT_PER_NM

ON_PATH_FT = 25.0
"""Feet that nobody flies off by hand, and fewer than any finding is made of: common practice, no source."""


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
