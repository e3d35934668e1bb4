"""What a simulator does: it pauses, jumps, hurries, starts again, and changes its mind about its rate."""

from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import pytest

from tests.faults.rig import FLOWN_PAST, PASSED, Ear, health_when, options, past, row
from tests.running import PATIENCE_S, running


@pytest.fixture(scope="module")
def ear(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ear]:
    """Run one daemon for all: each test flies an aircraft of its own."""
    with running(*options(tmp_path_factory.mktemp("simulator")), "--no-recording") as daemon, Ear(daemon) as ear:
        yield ear


@pytest.mark.parametrize(
    "step_s",
    [
        pytest.param(1.0, id="1-hz"),
        pytest.param(16 / 60, id="16-times-the-time-at-60-hz"),
        pytest.param(0.05, id="20-hz"),
    ],
)
def test_rates_and_rates_of_time(ear: Ear, step_s: float) -> None:
    """The same flight says the same at any rate, and when the simulator's time runs sixteen times as fast."""
    aircraft = f"step{step_s:.2f}"
    alerts = ear.fly(past(aircraft, step_s=step_s))

    assert FLOWN_PAST == alerts[:2]


def test_a_rate_that_changes(ear: Ear) -> None:
    """From one to five hundred states a second and back, in flight: nothing else is said."""
    parts = chain(
        past("rate", seconds=20.0, step_s=1.0),
        (row("rate", 20.0 + n / 500, past_nm=(20.0 + n / 500) / 12 - 2.0) for n in range(1, 5_000)),
        (row("rate", 30.0 + n, past_nm=(30.0 + n) / 12 - 2.0) for n in range(43)),
    )

    assert FLOWN_PAST == ear.fly(parts)[:2]


def test_a_pause(ear: Ear) -> None:
    """The same state for minutes raises nothing and clears nothing; afterwards the flight goes on as if nothing was."""
    before = list(past("pause"))
    stood = ear.fly(before)
    while_paused = ear.fly(before[-1:] * 300)
    after = ear.fly([row("pause", 72.5, past_nm=4.05), row("pause", 73.0, past_nm=4.1)])

    assert FLOWN_PAST == stood[:2]
    assert [] == [change for change in while_paused + after if change[1] == "cleared"]


def test_a_jump_to_another_continent(ear: Ear) -> None:
    """What stood before the jump is taken back at once, and nothing is made of the way in between."""
    ear.fly(past("jump"))
    far = [f"jump,{73 + n},40.0,{100 + n / 600:.6f},5000,280,90,300,0,0\n".encode() for n in range(20)]
    alerts = ear.fly(far)

    assert (PASSED, "cleared") == alerts[0]
    assert {"implausible", PASSED}.isdisjoint(alert for alert, change in alerts if change == "raised")


def test_a_restart_at_zero(ear: Ear) -> None:
    """A simulator that starts again with its clock at zero is taken at its word, and the flight is judged anew."""
    ear.fly(past("again", from_s=5_000.0))
    alerts = ear.fly(past("again"))

    assert [(PASSED, "cleared"), *FLOWN_PAST] == alerts[:3]


def test_two_aircraft_under_one_name(ear: Ear) -> None:
    """Two aircraft that the stream does not tell apart: it is said, once; and once one is gone the other is judged."""
    one, two = list(past("both")), [row("both", n / 2 + 0.2, past_nm=600.0) for n in range(145)]
    ear.fly(chain.from_iterable(zip(one, two, strict=True)))
    with ear.daemon.client() as client, client.subscribe("call", aircraft="both", past=True) as calls:
        heard = [call.body.text for call in calls.receive(timeout_s=PATIENCE_S)]
    alerts = ear.fly(past("both", from_s=100.0))

    assert 1 == heard.count("Two aircraft, one name. Name each.")
    assert FLOWN_PAST == [change for change in alerts if change[1] != "cleared"][:2]


def test_a_thousand_names(tmp_path: Path) -> None:
    """A stream that names a new aircraft in every datagram fills no memory; who was there before it is served."""
    with running(*options(tmp_path), "--no-recording") as daemon, Ear(daemon) as ear, daemon.client() as client:
        ear.fly([row("known", 0.0, past_nm=-2.0)])
        for first in range(0, 1_500, 100):
            daemon.send([row(f"n{number}", 0.0, past_nm=0.0) for number in range(first, first + 100)])
            health_when(client, lambda health, sent=first: health.sources[0].datagrams > sent)  # type: ignore[misc]
        health = health_when(client, lambda health: len(health.aircraft) > 900)
        changes = ear.fly(past("known", from_s=1.0))

    assert len(health.aircraft) <= 1_000
    assert FLOWN_PAST[0] in changes
