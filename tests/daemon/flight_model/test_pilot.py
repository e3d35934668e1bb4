"""The pilot as a process: its events, its datagrams, its end."""

import json
import signal
import socket
import subprocess
import sys
import threading

import pytest

PATIENCE_S = 60.0


def pilot(*options: str) -> "subprocess.Popen[str]":
    """Start the pilot."""
    return subprocess.Popen(
        [sys.executable, "-m", "otherseat.daemon.flight_model.pilot", *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )


def test_flies_to_the_end_and_counts_right() -> None:
    """Flown a hundred times faster than real time, as many datagrams arrive as it says that it has sent."""
    arrived, stop = 0, threading.Event()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ear:
        ear.bind(("127.0.0.1", 0))
        ear.settimeout(0.1)

        def listen() -> None:
            nonlocal arrived
            while not stop.is_set():
                try:
                    ear.recv(65_535)
                except TimeoutError:
                    continue
                arrived += 1

        listener = threading.Thread(target=listen)
        listener.start()
        process = pilot("--port", str(ear.getsockname()[1]), "--rate", "5", "--speed", "100", "--scene", "3")
        out, errors = process.communicate(timeout=PATIENCE_S)
        stop.wait(0.3)
        stop.set()
        listener.join()
    events = [json.loads(line) for line in out.splitlines()]

    assert "" == errors
    assert 0 == process.returncode
    assert {"scene", "leg", "end"} == {event["event"] for event in events}
    assert events[-1]["datagrams"] == arrived


def test_fast_needs_a_desk() -> None:
    """Without a desk nobody knows how fast the daemon takes it."""
    process = pilot("--port", "1", "--fast")
    _, errors = process.communicate(timeout=PATIENCE_S)

    assert 2 == process.returncode
    assert "--fast needs --desk" in errors


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGTERM to catch")
def test_ends_when_asked() -> None:
    """Asked to end, it ends at once and says nothing more."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ear:
        ear.bind(("127.0.0.1", 0))
        process = pilot("--port", str(ear.getsockname()[1]))
        assert process.stdout is not None
        first = process.stdout.readline()
        process.send_signal(signal.SIGTERM)
        _, errors = process.communicate(timeout=PATIENCE_S)

    assert "scene" == json.loads(first)["event"]
    assert "" == errors
    assert 130 == process.returncode
