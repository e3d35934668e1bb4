"""The legs on and off a runway."""

import pytest

from otherseat.daemon.flight_model.runway_legs import flare_sink_fpm
from tests.daemon.flight_model.test_legs import VIEW


def test_flare_ends_at_the_touchdown_rate() -> None:
    """The flare starts at the path's sink, 478 ft/min for 3 degrees at 90 kt (101.27 x 90 x tan 3), and ends at 90."""
    assert [-477.6, -90.0] == pytest.approx(
        [flare_sink_fpm(view=VIEW, wheels_ft=height_ft, flare_ft=16.0) for height_ft in (16.0, 0.0)], abs=0.5
    )
