"""Captures: raw datagrams on disk with the times of their receipt, in the container of the recordings.

A capture is a recording that holds nothing but datagrams, so that whatever reads the one reads the other; and a
recorded flight serves as a capture. Each second is finished on the disk: a kill loses no more.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Self

from otherseat.adapters.listener import Received
from otherseat.config.errors import ConfigError
from otherseat.daemon.recording import Channel, Recording, RecordingError
from otherseat.daemon.recording_writer import RecordingWriter

FINISH_EVERY_S = 1.0


def must_be_new(path: Path) -> None:
    """Raise ConfigError unless a file can be made there: no file is ever written over, and no folder is made."""
    if path.is_dir():
        problem = "is a folder; name a file in it"
    elif path.exists():
        problem = "is there already; choose another name"
    elif not path.parent.is_dir():
        problem = f"there is no folder {path.parent}"
    else:
        return
    raise ConfigError(file=str(path), key="", problem=problem)


class CaptureWriter:
    """An open capture file. Every method may raise OSError."""

    def __init__(self, path: Path, *, source: str) -> None:
        """Begin a new file, or raise ConfigError, see `must_be_new`."""
        must_be_new(path)
        self._writer = RecordingWriter(path, session={"content": "capture"})
        self._source = source
        self._finished_s: float | None = None

    def write(self, received: Received) -> None:
        """Keep one datagram."""
        body = {"source": self._source, "received_s": received.received_s, "data": received.datagram}
        self._writer.write(Channel.DATAGRAM, body, logged_ns=int(received.received_s * 1e9))
        if self._finished_s is None or received.received_s - self._finished_s >= FINISH_EVERY_S:
            self._writer.finish_chunk()
            self._finished_s = received.received_s

    def close(self) -> None:
        """Finish the file."""
        self._writer.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def read_capture(path: Path, *, source: str | None = None) -> Iterator[tuple[float, bytes]]:
    """Yield (time of receipt in seconds, datagram) of a capture or a recorded flight, in the order of receipt.

    source keeps one of several sources apart. Raises ConfigError when the file is none of ours or holds no datagrams.
    """
    try:
        recording = Recording.open(path)
    except RecordingError as error:
        raise ConfigError(file=str(path), key="", problem=str(error).removeprefix(f"{path}: ")) from error
    except OSError as error:
        raise ConfigError(
            file=str(path),
            key="",
            problem="is a folder; a file is wanted" if path.is_dir() else f"can't be read: {error.strerror}",
        ) from error
    empty = True
    for entry in recording.entries((Channel.DATAGRAM,)):
        body = entry.body
        if source is None or body.get("source") == source:
            empty = False
            yield float(body["received_s"]), bytes(body["data"])
    if empty:
        raise ConfigError(file=str(path), key="", problem="holds no datagrams")
