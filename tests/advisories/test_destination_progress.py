<<<<<<< HEAD
"""Progress towards a destination: nearest so far, past it, and on the way back."""
=======
"""Towards and away: what counts as having passed a destination."""
>>>>>>> traffic

import pytest

from otherseat.advisories.destination_progress import DestinationProgress


@pytest.mark.parametrize(
<<<<<<< HEAD
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
=======
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
>>>>>>> traffic
