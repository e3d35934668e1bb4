"""What the engine gets without sockets is what it gets through them."""

from dataclasses import asdict

import pytest

from otherseat.config.settings import SourceSettings
from otherseat.daemon.flight_model.recording import demo_datagrams
from otherseat.daemon.flight_model.states import demo_states
from otherseat.daemon.source import make_intake

SECONDS = 45.0


def test_observed_and_decoded_agree() -> None:
    """A State from the model and one decoded from its datagram of the same moment differ by the text's digits only."""
    intake = make_intake(SourceSettings(layout="jsbsim"))
    decoded = {}
    for _, datagram in demo_datagrams(rate_hz=10):
        for state in intake.take(datagram, received_s=0.0):
            decoded[round(state.time_s, 3)] = asdict(state)
        if decoded and max(decoded) > SECONDS:
            break
    compared = 0
    for _, state in demo_states(rate_hz=10):
        if state.time_s > SECONDS:
            break
        other = decoded.get(round(state.time_s, 3))
        if other is None or state.groundspeed_kt is None or state.groundspeed_kt < 1.0:
            continue
        compared += 1
        for name, value in asdict(state).items():
            if isinstance(value, float):
                assert value == pytest.approx(other[name], rel=1e-6, abs=1e-4), f"{name} at {state.time_s}"

    assert compared > 50
