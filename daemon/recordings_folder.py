"""Recordings folder: where flights are kept, what the next one is called, and how much disk they may take.

Names are flight-YYYYMMDD-HHMMSS.mcap, UTC, so that they sort by age. When the folder grows over keep_bytes the oldest
recordings go, never the one in progress, and nothing that is not called so. A recording that alone would take it all,
or a disk with less than spare_bytes left, ends the recording.
"""

import shutil
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import click

from otherseat.config.errors import ConfigError
from otherseat.config.folders import own_folder
from otherseat.daemon.recording import SUFFIX

PATTERN = f"flight-[0-9]*-[0-9]*{SUFFIX}"
DIGITS_OF_A_TIME = 6
SPARE_BYTES = 200 * 2**20


def default_folder() -> Path:
    """Return the folder for recordings on this system, for this person."""
    return own_folder() / "flights"


def new_path(folder: Path, *, started: datetime) -> Path:
    """Return a path that does not exist yet."""
    path = folder / f"flight-{started:%Y%m%d-%H%M%S}{SUFFIX}"
    return next_part(path) if path.exists() else path


def next_part(path: Path) -> Path:
    """Return the path of the part after this one that does not exist yet: NAME-2, NAME-3, ..."""
    stem, _, last = path.stem.rpartition("-")
    count = int(last) if len(last) < DIGITS_OF_A_TIME and last.isdigit() else 1
    stem = path.stem if count == 1 else stem
    while path.exists():
        count += 1
        path = path.with_name(f"{stem}-{count}{SUFFIX}")
    return path


def recordings(folder: Path) -> list[Path]:
    """Return the recordings in a folder, oldest first."""
    return sorted(folder.glob(PATTERN), key=lambda path: [part.zfill(8) for part in path.stem.split("-")])


def newest(folder: Path | None = None) -> Path:
    """Return the recording that was begun last, or raise ConfigError when there is none."""
    folder = folder or default_folder()
    found = recordings(folder)
    if not found:
        problem = "holds no recording; `otherseat fly` makes one, or name a file"
        raise ConfigError(file=str(folder), key="", problem=problem)
    return found[-1]


def newest_said() -> Path:
    """Return the newest of one's own recordings, and say which it is; raises ConfigError when there is none."""
    path = newest()
    click.echo(f"the newest recording: {path}", err=True)
    return path


def keeper(path: Path, *, keep_bytes: int, spare_bytes: int = SPARE_BYTES) -> Callable[[Path, int], str | None]:
    """Return what a recorder asks every period: makes room by removing the oldest, or says why there is none."""
    folder, checked_at = path.parent, -1

    def room(recording: Path, size_bytes: int) -> str | None:
        nonlocal checked_at
        if 0 <= checked_at <= size_bytes < checked_at + keep_bytes // 100:
            return None
        checked_at = size_bytes
        if size_bytes > keep_bytes:
            return f"this flight alone takes more than {keep_bytes // 2**20} MB"
        remove_oldest(folder, keep_bytes=keep_bytes - size_bytes, sparing=recording)
        if shutil.disk_usage(folder).free < spare_bytes:
            return f"less than {spare_bytes // 2**20} MB left on the disk"
        return None

    return room


def remove_oldest(folder: Path, *, keep_bytes: int, sparing: Path) -> list[Path]:
    """Remove the oldest recordings until the others take no more than keep_bytes; return what went."""
    others = [path for path in recordings(folder) if path != sparing]
    sizes = {path: path.stat().st_size for path in others}
    total = sum(sizes.values())
    gone = []
    for path in others:
        if total <= keep_bytes:
            break
        path.unlink(missing_ok=True)
        total -= sizes[path]
        gone.append(path)
    return gone
