"""How old the numbers on a screen are."""

import dataclasses

import pytest

from otherseat.daemon.age import Age
from otherseat.daemon.messages import Kind, Message, StandingMessage
from tests.daemon.samples import BODIES

STOPPED_S = 640.5
"""The simulator's time at which its stream ended."""


def told(kind: Kind, body: object, *, time_s: float = STOPPED_S) -> Message:
    """Return a message about that time of the simulator."""
    return Message(kind=kind, aircraft="own", session="0badcafe", seq=1, time_s=time_s, body=body)


PICTURE = told(Kind.PICTURE, BODIES[Kind.PICTURE])


def standing(age_s: float | None) -> Message:
    """Return a standing message."""
    return told(Kind.STANDING, StandingMessage(aircraft="own", age_s=age_s))


def age_of(*heard: tuple[float, Message], now_s: float) -> float | None:
    """Return the age after messages that were heard at these times."""
    age = Age()
    for heard_s, message in heard:
        age.take(message, now_s=heard_s)
    return age.seconds(now_s=now_s)


def test_nothing_has_no_age() -> None:
    """Before the first picture there is no number whose age could be told."""
    assert age_of(now_s=5.0) is None
    assert age_of((0.0, standing(0.1)), now_s=5.0) is None


@pytest.mark.parametrize("order", [(PICTURE, standing(20.0)), (standing(20.0), PICTURE)], ids=["before", "after"])
def test_who_comes_late_is_told_how_old_it_is(order: tuple[Message, Message]) -> None:
    """A snapshot's picture is as old as the daemon says and no younger, in whatever order its messages come."""
    assert 23.0 == age_of(*((100.0, message) for message in order), now_s=103.0)


def test_a_stream_that_goes_on_is_new() -> None:
    """Between two standing messages a younger picture says how old the numbers are."""
    younger = dataclasses.replace(PICTURE, time_s=STOPPED_S + 0.9)

    assert 0.25 == age_of((0.0, PICTURE), (0.0, standing(0.5)), (1.0, younger), now_s=1.25)


def test_a_stream_that_stops_grows_old_at_once() -> None:
    """From the last picture on the age grows, though standing messages come that say less, or nothing."""
    assert 3.0 == age_of((0.0, PICTURE), (2.9, standing(2.8)), now_s=3.0)
    assert 3.0 == age_of((0.0, PICTURE), (2.9, standing(None)), now_s=3.0)
