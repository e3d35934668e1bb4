"""Towards and away: what counts as having passed a destination."""

import pytest

from otherseat.advisories.destination_progress import DestinationProgress


@pytest.mark.parametrize(
    ("flown_nm", "expected"),
    [
        pytest.param([30.0, 10.0, 0.5, 3.0], 2.5, id="over-it"),
        pytest.param([30.0, 10.0, 0.5, 0.55], None, id="noise"),
        pytest.param([0.0, 3.0, 10.0], None, id="set-out-from-it"),
        pytest.param([12.0, 13.5, 12.5, 20.0], None, id="led-around-it"),
        pytest.param([0.0, 10.0, 20.0, 15.0, 18.0], 3.0, id="a-new-approach-counts-from-its-own-nearest-point"),
        pytest.param([30.0, 1.0, 9.0, 7.0, 4.0], None, id="turned-back"),
    ],
)
def test_passed(flown_nm: list[float], expected: float | None) -> None:
    """Only what was flown towards can be passed; a local flight does not pass its destination by setting out."""
    progress = DestinationProgress()
    last = [progress.step(destination="ZZBB", distance_nm=distance_nm) for distance_nm in flown_nm][-1]

    assert expected == (None if last.past_nm is None else pytest.approx(last.past_nm))


def test_another_destination_begins_anew() -> None:
    """After a diversion the old nearest point means nothing."""
    progress = DestinationProgress()
    for distance_nm in (30.0, 1.0, 5.0):
        progress.step(destination="ZZBB", distance_nm=distance_nm)

    assert progress.step(destination="ZZAA", distance_nm=40.0).past_nm is None
