"""Progress towards a destination: nearest so far, past it, and on the way back."""

import pytest

from otherseat.advisories.destination_progress import DestinationProgress


@pytest.mark.parametrize(
    ("distances", "expected"),
    [
        pytest.param([5.0, 3.0, 1.0], [None, None, None], id="coming-nearer"),
        pytest.param([2.0, 1.0, 1.05], [None, None, None], id="noise-at-the-nearest-point"),
        pytest.param([2.0, 1.0, 2.0, 4.0], [None, None, 1.0, 3.0], id="flown-past"),
        pytest.param([1.0, 5.0, 4.8], [None, 4.0, 3.8], id="a-little-back-is-not-back"),
        pytest.param([1.0, 5.0, 4.4, 3.0, 3.5], [None, 4.0, None, None, 0.5], id="turned-back-then-away-again"),
    ],
)
def test_distances(distances: list[float], expected: list[float | None]) -> None:
    """Past counts from the nearest point, and is over once the aircraft has come half a mile back."""
    progress = DestinationProgress()
    past = [progress.step(destination="ZZBB", distance_nm=distance).past_nm for distance in distances]

    assert expected == [None if value is None else pytest.approx(value) for value in past]


def test_another_destination_begins_anew() -> None:
    """What was nearest to one place says nothing about another."""
    progress = DestinationProgress()
    progress.step(destination="ZZAA", distance_nm=0.0)

    assert progress.step(destination="ZZBB", distance_nm=30.0).past_nm is None
