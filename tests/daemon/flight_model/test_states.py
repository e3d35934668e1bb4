"""The demo's flight as States."""

from itertools import islice, pairwise

from otherseat.daemon.flight_model.states import demo_states


def test_states_come_at_their_rate() -> None:
    """Ten states a second of simulated time, all of the scene asked for."""
    states = list(islice(demo_states(rate_hz=10, first=2), 50))
    gaps = {round(b.time_s - a.time_s, 3) for (_, a), (_, b) in pairwise(states)}

    assert {2} == {scene for scene, _ in states}
    assert {0.1} == gaps
