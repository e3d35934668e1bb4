"""`otherseat tune` answers every order."""

import pytest
from click.testing import CliRunner

from otherseat.daemon.messages import HealthMessage
from otherseat.daemon.tune import MEANING, tune
from tests.daemon.bench import bench

HEALTH = HealthMessage(seat="here", version="1", uptime_s=1.0, voice="espeak, no audio device")


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        (["--say", "quiet"], [f"quiet: {MEANING['quiet']}"]),
        (["--off", "altitude", "--on", "gates"], ["altitude is off", "gates is on"]),
        (["--mute"], ["the voice is muted; screens show all"]),
        (["--unmute"], ["no longer muted; voice: espeak, no audio device"]),
    ],
)
def test_an_order_is_answered(options: list[str], expected: list[str]) -> None:
    """What was done is said in a line each, so that nobody wonders whether it reached the daemon."""
    with bench(handlers={"tune": lambda _: None, "mute": lambda _: None, "status": lambda _: HEALTH}) as standing:
        result = CliRunner().invoke(tune, [*options, "--desk", standing.desk.endpoint])

    assert (0, expected) == (result.exit_code, result.output.splitlines())
