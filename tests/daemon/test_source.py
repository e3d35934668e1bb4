"""A source: what it looks at when it has fallen behind."""

from otherseat.advisories.state import State
from otherseat.daemon.source import THIN_S, thinned


def at(aircraft: str, *times_s: float) -> list[tuple[State, float]]:
    """Return states of these times."""
    return [(State(aircraft=aircraft, time_s=time_s), time_s) for time_s in times_s]


def test_close_states_give_way_to_the_newest() -> None:
    """Of states closer together than the limit the newest stays, and one in every such stretch."""
    flood = at("own", *(n * THIN_S / 100 for n in range(1_001)))

    assert 10 <= len(thinned(flood)) <= 11
    assert flood[-1] == thinned(flood)[-1]


def test_what_is_apart_stays() -> None:
    """Other aircraft, usual rates, a clock that starts again: nothing of that is passed over."""
    arrived = at("own", 0.0, 0.1, 0.2, 500.0, 1.0, 1.1) + at("other", 1.1)

    assert arrived == thinned(arrived)
