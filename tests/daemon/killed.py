"""A process that records at 60 Hz until it is killed; for the tests of what a kill loses."""

import time
from pathlib import Path

from otherseat.advisories.state import State
from otherseat.daemon.recorder import Recorder


def record_until_killed(path: str, rate_hz: float = 60.0) -> None:
    """Record numbered states for ever."""
    recorder = Recorder(Path(path))
    started_s = time.monotonic()
    number = 0
    while True:
        recorder.datagram(source="test", received_s=time.time(), data=bytes(120))
        recorder.state(State(time_s=float(number), latitude_deg=1.0 + number * 1e-5, altitude_ft=1000.0 + number))
        number += 1
        time.sleep(max(0.0, started_s + number / rate_hz - time.monotonic()))
