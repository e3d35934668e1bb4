"""The folder of recordings: names, order, and how much disk it takes."""

from datetime import UTC, datetime
from pathlib import Path

from otherseat.daemon.recordings_folder import keeper, new_path, next_part, recordings, remove_oldest

STARTED = datetime(2026, 3, 4, 5, 6, 7, tzinfo=UTC)


def filled(folder: Path, *, names: list[str], size: int) -> list[Path]:
    """Write files of a size."""
    for name in names:
        (folder / name).write_bytes(bytes(size))
    return [folder / name for name in names]


def test_new_path_is_free(tmp_path: Path) -> None:
    """Two flights of one second get two files, and both count as recordings."""
    first = new_path(tmp_path, started=STARTED)
    first.touch()
    second = new_path(tmp_path, started=STARTED)
    second.touch()
    third = next_part(second)

    assert ["flight-20260304-050607.mcap", "flight-20260304-050607-2.mcap"] == [first.name, second.name]
    assert "flight-20260304-050607-3.mcap" == third.name
    assert {first, second} == set(recordings(tmp_path))


def test_oldest_go_first_and_nothing_else(tmp_path: Path) -> None:
    """Only recordings go, the oldest first, until the rest fits; never the one in progress."""
    names = [f"flight-2026010{day}-000000.mcap" for day in range(1, 6)]
    paths = filled(tmp_path, names=names, size=100)
    others = filled(tmp_path, names=["my-best-landing.mcap", "flight-notes.txt"], size=1000)

    gone = remove_oldest(tmp_path, keep_bytes=250, sparing=paths[0])

    assert paths[1:3] == gone
    assert all(path.exists() for path in [paths[0], *paths[3:], *others])


def test_keeper_makes_room(tmp_path: Path) -> None:
    """As a flight grows, older ones make room for it."""
    old, own = filled(tmp_path, names=["flight-20260101-000000.mcap", "flight-20260102-000000.mcap"], size=400)
    room = keeper(own, keep_bytes=1000, spare_bytes=0)

    assert room(own, 400) is None
    assert old.exists()
    assert room(own, 700) is None
    assert not old.exists()
    assert room(own, 1001) == "this flight alone takes more than 0 MB"


def test_keeper_leaves_the_disk_some_room(tmp_path: Path) -> None:
    """A nearly full disk ends the recording."""
    (own,) = filled(tmp_path, names=["flight-20260102-000000.mcap"], size=1)
    room = keeper(own, keep_bytes=10**9, spare_bytes=2**62)

    assert str(room(own, 1)).endswith("MB left on the disk")
