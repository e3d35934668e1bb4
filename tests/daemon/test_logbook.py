"""The logbook: one recording a flight, begun by its first state."""

from pathlib import Path

import pytest

from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import logbook as logbook_module
from otherseat.daemon.logbook import EARLY, Logbook
from otherseat.daemon.recording import Channel, Recording
from tests.scripted import make_table


def make_logbook(folder: Path, *, on: bool = True) -> Logbook:
    """Return a logbook that records into a folder."""
    settings = read_settings(over={"recorder": {"folder": folder, "on": on}})
    return Logbook(settings=settings, runways=make_table())


def junk(logbook: Logbook, count: int) -> None:
    """Hand over datagrams of which no state is made; nobody is on the roster, so the logbook is told to close."""
    for number in range(count):
        logbook.datagram(source="sim", received_s=float(number), data=str(number).encode())
        logbook.close()


def test_what_nobody_can_read_begins_no_recording(tmp_path: Path) -> None:
    """Without a state there is no flight: no file, not even a folder, and none to list at the end."""
    logbook = make_logbook(tmp_path / "flights")
    junk(logbook, 100)

    assert [] == logbook.recorded()
    assert not (tmp_path / "flights").exists()


def test_what_came_shortly_before_is_in_the_recording(tmp_path: Path) -> None:
    """The first state begins the one recording; the last datagrams before it stand in front, none of them twice."""
    logbook = make_logbook(tmp_path)
    junk(logbook, EARLY + 10)
    for time_s in (1.0, 2.0):
        logbook.datagram(source="sim", received_s=time_s, data=b"row")
        logbook.state(State(time_s=time_s))
    logbook.close()
    junk(logbook, 10)
    (path,) = logbook.recorded()
    entries = list(Recording.open(path).entries((Channel.DATAGRAM, Channel.STATE)))
    kept = [entry.body.get("data") for entry in entries]

    assert [str(number).encode() for number in range(11, EARLY + 10)] == kept[: EARLY - 1]
    assert [b"row", None, b"row", None] == kept[EARLY - 1 :]
    assert [path] == list(tmp_path.iterdir())


def test_each_file_is_listed_once(tmp_path: Path) -> None:
    """Two flights begun in one second have names of which one begins with the other; each is listed once."""
    logbook = make_logbook(tmp_path)
    for _ in range(3):
        logbook.begin()
        logbook.close()

    assert sorted(tmp_path.iterdir()) == sorted(logbook.recorded())


def test_switched_off_it_keeps_nothing(tmp_path: Path) -> None:
    """Without a recorder no datagram waits and no state begins a file."""
    logbook = make_logbook(tmp_path, on=False)
    junk(logbook, 3)
    logbook.state(State(time_s=1.0))
    logbook.close()

    assert [] == list(tmp_path.iterdir())


def test_two_daemons_begin_in_one_second(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever finds its name taken takes the next; each records, and lists its own file alone."""
    monkeypatch.setattr(logbook_module, "new_path", lambda folder, **_: folder / "flight-20260304-050607.mcap")
    both = [make_logbook(tmp_path), make_logbook(tmp_path)]
    for time_s, logbook in enumerate(both):
        logbook.state(State(time_s=float(time_s)))
    for logbook in both:
        logbook.close()

    (first,), (second,) = (logbook.recorded() for logbook in both)
    assert {first, second} == set(tmp_path.iterdir())
    assert [None, None] == [logbook.trouble for logbook in both]
    for time_s, path in enumerate((first, second)):
        states = [entry.body["time_s"] for entry in Recording.open(path).entries((Channel.STATE,))]
        assert [float(time_s)] == states


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    """It is said that nothing is recorded, and nothing is listed."""
    (tmp_path / "flights").write_text("", encoding="utf-8")
    logbook = make_logbook(tmp_path / "flights")
    logbook.begin()
    logbook.close()

    assert [] == logbook.recorded()
