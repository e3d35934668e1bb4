"""The demo, as a person runs it: the real daemon, the real flight model, UDP between them and the bus to listen on."""

import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.running import otherseat

ROW = re.compile(
    r"^ *\d+:\d\d:\d\d  (?P<scene>\w[\w ]*?)  +(?:warning|caution|advice|call)  +(?P<words>.*?) *$", re.MULTILINE
)
"""A row of the table; the lines before it, printed while it was said, name no scene."""
SECONDS = 90.0


def test_fast_demo_keeps_its_promises(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`otherseat demo --fast` exits 0 in under 90 s, and its table holds the four alerts in the order of the flight.

    It keeps nothing of its flight: whoever flies next, for themselves, has no plan from it.
    """
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    run = otherseat("demo", "--fast", "--feed", "tcp://127.0.0.1:*", "--desk", "tcp://127.0.0.1:*", seconds=SECONDS)
    said = [match["words"] for match in ROW.finditer(run.stdout)]
    expected = ["This is 13; plan, 07.", "Destination, 1.5 miles behind.", "High, ", "On path.", "Tracking 27R; plan"]
    first = [next((at for at, words in enumerate(said) if words.startswith(start)), None) for start in expected]

    assert "" == run.stderr
    assert 0 == run.returncode, run.stdout
    assert None not in first
    assert sorted(at for at in first if at is not None) == first
    assert "For simulation and training only" in run.stdout
    assert [] == [path for path in tmp_path.rglob("*") if path.is_file()]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows asks a program to end in another way")
def test_asked_to_end_it_leaves_nobody_behind() -> None:
    """The system's own request to end closes the daemon that the demo has started, and with it the bus's ports."""
    command = [sys.executable, "-m", "otherseat.daemon", "demo", "--voice", "none"]
    command += ["--feed", "tcp://127.0.0.1:*", "--desk", "tcp://127.0.0.1:*"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, encoding="utf-8") as demo:
        assert demo.stdout is not None
        lines = (re.search(r"feed tcp://127\.0\.0\.1:(\d+)", line) for line in demo.stdout)
        port = next(int(found[1]) for found in lines if found)
        with socket.create_connection(("127.0.0.1", port), timeout=5.0):
            pass
        demo.terminate()
        demo.communicate(timeout=30.0)

    assert 130 == demo.returncode
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", port), timeout=5.0)
