"""The recorded flight that comes with the tests."""

from collections import Counter
from pathlib import Path

from otherseat.config.settings import SourceSettings
from otherseat.daemon.flight_model.recording import demo_datagrams, read_recording
from otherseat.daemon.source import make_intake

RECORDED = Path(__file__).parents[2] / "flights" / "demo.txt.gz"


def test_every_datagram_is_read() -> None:
    """The layout reads every datagram of the recording, and refuses none."""
    intake = make_intake(SourceSettings(layout="jsbsim"))
    datagrams = read_recording(RECORDED)
    states = [state for datagram in datagrams for state in intake.take(datagram, received_s=0.0)]

    assert Counter() == intake.refusals
    assert sum(datagram.startswith(b"<LABELS>") for datagram in datagrams) == len(datagrams) - len(states)
    assert len(states) > 3_000


def test_the_recording_is_of_todays_export() -> None:
    """The labels are the ones that the model sends today: otherwise make a new recording."""
    _, first = next(demo_datagrams(rate_hz=4))

    assert first == read_recording(RECORDED)[0]
