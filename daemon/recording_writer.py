"""Recording writer: the one place that writes recordings. Plain and synchronous; `recorder` gives it a thread.

`finish_chunk` compresses what has gathered and puts it on the disk. Whoever writes calls it at least once a second:
what is in an unfinished chunk is lost in a kill. `daemon/recording.py` describes the file.
"""

import contextlib
import os
import platform
from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, Self

import msgpack
from mcap.writer import CompressionType, Writer

from otherseat.daemon.recording import SCHEMA, SESSION, Channel

PROFILE = "otherseat"


class RecordingWriter:
    """An open recording. Every method may raise OSError."""

    def __init__(self, path: Path, *, session: Mapping[str, str] | None = None) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self._stream = path.open("xb")
        self._packer = msgpack.Packer()
        self._sequence = 0
        self.chunks = 0
        """How many are finished: the index, kept in memory until the end, grows with them."""
        self._writer = Writer(self._stream, compression=CompressionType.ZSTD)
        self._writer.start(profile=PROFILE)
        self._writer.add_metadata(SESSION, {**versions(), **(session or {}), "schema": SCHEMA})
        self._ids = {
            channel: self._writer.register_channel(topic=channel.value, message_encoding="msgpack", schema_id=0)
            for channel in Channel
        }
        self.finish_chunk()

    def write(self, channel: Channel, body: Mapping[str, Any], *, logged_ns: int) -> None:
        """Add one message to the chunk."""
        self._sequence += 1
        self._writer.add_message(
            channel_id=self._ids[channel],
            log_time=logged_ns,
            publish_time=logged_ns,
            sequence=self._sequence,
            data=self._packer.pack(body),
        )

    def finish_chunk(self) -> None:
        """Put everything written so far on the disk."""
        self._writer.flush()
        self.chunks += 1
        os.fsync(self._stream.fileno())

    def size_bytes(self) -> int:
        """Return how long the file is."""
        return self._stream.tell()

    def close(self) -> None:
        """Finish the file with its index."""
        try:
            self._writer.finish()
        finally:
            self._stream.close()

    def abandon(self) -> None:
        """Let go of the file as it is: no index, still readable."""
        with contextlib.suppress(OSError):
            self._stream.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def versions() -> dict[str, str]:
    """Return what recorded: our version, python's, the system's."""
    try:
        own = version("otherseat")
    except PackageNotFoundError:
        own = "unknown"
    return {"otherseat": own, "python": platform.python_version(), "system": platform.system()}
