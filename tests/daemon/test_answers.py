"""What is answered when the pilot asks, and when nothing should be."""

import pytest

from otherseat.advisories.picture import Phase, Picture
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.answers import answer_of, why_not


def picture(*, along_nm: float, offset_ft: float) -> Picture:
    """Return an aircraft 250 ft above the path of an approach, so far out and so far beside it."""
    return Picture(
        time_s=1.0,
        aircraft="own",
        phase=Phase.CRUISE,
        altitude_ft=3_000.0,
        runway="ZZPS/27L",
        distance_to_threshold_nm=along_nm,
        offset_ft=offset_ft,
        height_above_path_ft=250.0,
    )


@pytest.mark.parametrize(
    ("along_nm", "offset_nm"), [(6.0, 0.0), (6.0, 3.0), (6.0, -3.0), (0.2, 0.1)], ids=["on", "right", "left", "short"]
)
def test_the_path_is_told_on_the_approach(along_nm: float, offset_nm: float) -> None:
    """Within 30 degrees of the centreline, seen from the threshold, the height above the path means something."""
    phrase, values = answer_of("path", picture(along_nm=along_nm, offset_ft=offset_nm * FT_PER_NM))

    assert ("path-report", 250.0) == (phrase, values["high_ft"])


@pytest.mark.parametrize(("offset_nm", "side"), [(13.5, "right"), (-4.0, "left")])
def test_the_path_is_not_told_far_beside_it(offset_nm: float, side: str) -> None:
    """Who is miles beside the final approach hears no height above its path, but where he is."""
    beside = picture(along_nm=6.0, offset_ft=offset_nm * FT_PER_NM)

    assert (None, {}) == answer_of("path", beside)
    assert f"but {abs(offset_nm)} NM {side} of its centreline" in why_not("path", beside)
