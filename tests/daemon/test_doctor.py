"""`doctor` and `status`: what they say when all is well and when it is not."""

import socket
import threading
from pathlib import Path

import pytest

from tests.daemon.test_fly import LABELS, row
from tests.running import otherseat, running


def test_status_without_a_daemon() -> None:
    """No daemon is a line that says how to start one, and exit code 1."""
    ended = otherseat("status", "--desk", "tcp://127.0.0.1:9")

    assert 1 == ended.returncode
    assert "start one with `otherseat fly`" in ended.stderr


def test_the_environment_says_where_the_desk_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without an option a command asks the desk that OTHERSEAT_DESK names, as displays do."""
    with running() as daemon:
        monkeypatch.setenv("OTHERSEAT_DESK", daemon.desk)
        ended = otherseat("status")

    assert 0 == ended.returncode
    assert f"{daemon.udp[0]}:{daemon.udp[1]}: 0 datagrams" in ended.stdout


def test_status_of_a_daemon() -> None:
    """It tells where the daemon listens and how much came."""
    with running() as daemon:
        ended = otherseat("status", "--desk", daemon.desk)

    assert 0 == ended.returncode
    assert f"{daemon.udp[0]}:{daemon.udp[1]}: 0 datagrams" in ended.stdout
    assert "aircraft: none yet" in ended.stdout


def nobodys_bus(tmp_path: Path) -> str:
    """Return a settings file with bus addresses where no daemon is."""
    file = tmp_path / "settings.toml"
    file.write_text('[bus]\nfeed = "tcp://127.0.0.1:8"\ndesk = "tcp://127.0.0.1:9"\n', encoding="utf-8")
    return str(file)


def test_doctor_hears_a_stream_and_says_which_advisories_are_live(tmp_path: Path) -> None:
    """Without a daemon it listens itself, and names what arrives, what is missing and what that leaves live."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    done = threading.Event()

    def simulate() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            count = 0
            while not done.wait(0.05):
                out.sendto(LABELS, ("127.0.0.1", port))
                out.sendto(row(10.0 + count / 20), ("127.0.0.1", port))
                count += 1

    simulator = threading.Thread(target=simulate)
    simulator.start()
    try:
        ended = otherseat("doctor", "--port", str(port), "--seconds", "3", "--settings", nobodys_bus(tmp_path))
    finally:
        done.set()
        simulator.join()

    assert "fine  settings" in ended.stdout
    assert f"fine  UDP 127.0.0.1:{port}" in ended.stdout
    assert "missing:" in ended.stdout
    assert "destination: lacks" in ended.stdout
    assert "simulation and training only" in ended.stdout


def test_doctor_hears_nothing(tmp_path: Path) -> None:
    """A silent port is named as what is wrong, with exit code 1."""
    ended = otherseat("doctor", "--port", "47999", "--seconds", "0.3", "--settings", nobodys_bus(tmp_path))

    assert 1 == ended.returncode
    assert "WRONG UDP 127.0.0.1:47999: nothing came" in ended.stdout
