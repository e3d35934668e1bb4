"""A slip in a layout, as doctor tells it: by its own ears, and of a daemon that runs."""

import socket
import threading
from pathlib import Path

import pytest

from otherseat.advisories.state import State
from otherseat.daemon.doctor import _unseen
from otherseat.daemon.messages import SourceHealth
from otherseat.daemon.place_words import read_and_unsent
from tests.daemon.test_capture_command import MINE
from tests.daemon.test_doctor import nobodys_bus, wait_until
from tests.running import in_here, running

ROW = b"p.a=10.0,p.b=20.0,p.c=3000"


@pytest.fixture
def slip(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """Return a layout in which a key is another."""
    right, wrong = request.param
    file = tmp_path / "mine.toml"
    file.write_text(MINE.replace(right, wrong), encoding="utf-8")
    return file


@pytest.mark.parametrize("slip", [("p.a", "p.aa")], indirect=True)
def test_doctor_by_its_own_ears(tmp_path: Path, port: int, slip: Path) -> None:
    """It names the field and the key; without a position that is wrong."""
    done = threading.Event()

    def simulate() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            while not done.wait(0.02):
                out.sendto(ROW, ("127.0.0.1", port))

    simulator = threading.Thread(target=simulate)
    simulator.start()
    try:
        ended = in_here(
            *("doctor", "--port", str(port), "--layout", str(slip)),
            *("--seconds", "0.3", "--settings", nobodys_bus(tmp_path)),
        )
    finally:
        done.set()
        simulator.join()
    lines = [line for line in ended.stdout.splitlines() if "layout: " in line]

    assert 1 == len(lines)
    assert lines[0].startswith("WRONG layout: latitude_deg: key p.aa was in none of ")
    assert lines[0].endswith("; there is p.a")


@pytest.mark.parametrize(
    ("slip", "mark", "field"),
    [(("p.c", "p.cc"), "      ", "altitude_ft"), (("p.a", "p.aa"), "WRONG ", "latitude_deg")],
    indirect=["slip"],
)
def test_doctor_of_a_daemon(slip: Path, mark: str, field: str) -> None:
    """Of a daemon it says what the layout reads and nothing brings, and which command says why."""
    with running("--layout", str(slip), "--no-recording", "--no-memory") as daemon, daemon.client() as client:
        daemon.send([ROW])
        wait_until(client, "normal")
        ended = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk)
    told = [line for line in ended.stdout.splitlines() if "nothing brings" in line]

    assert 1 == len(told)
    assert told[0].startswith(mark)
    assert f": nothing brings what the layout reads as {field}: `otherseat layout check " in told[0]
    assert told[0].endswith(f"mine.toml --against {daemon.udp[1]}` says why (end `otherseat fly` first)")


def test_only_the_position_is_wrong() -> None:
    """What else does not come is told beside it."""
    unseen = {"key p.aa": ["latitude_deg"], "key p.cc": ["altitude_ft"]}
    placed = State(time_s=1.0, latitude_deg=10.0, longitude_deg=20.0)

    assert ["WRONG layout: latitude_deg: key p.aa", "      layout: altitude_ft: key p.cc"] == list(_unseen(unseen, []))
    assert ["      layout: latitude_deg: key p.aa", "      layout: altitude_ft: key p.cc"] == list(
        _unseen(unseen, [placed])
    )


def test_what_nothing_is_told_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of a field that no layout reads, of another adapter, and of a file that is not here."""
    monkeypatch.chdir(tmp_path)
    source = SourceHealth(name="mine.toml", adapter="layout", address="127.0.0.1:47800")

    assert "" == read_and_unsent(source, {"altitude_ft"})
    (tmp_path / "mine.toml").write_text(MINE, encoding="utf-8")
    assert read_and_unsent(source, {"altitude_ft"})
    assert "" == read_and_unsent(source, {"fuel_kg"})
    assert "" == read_and_unsent(SourceHealth(name="nmea", adapter="nmea", address="127.0.0.1:47800"), {"altitude_ft"})
