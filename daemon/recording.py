"""Recording: what a flight's file holds, and how it is read, also when its end is missing.

File       MCAP, zstd chunks, so that any reader of that open format opens it
Messages   msgpack maps, one channel a kind (Channel below); log time is the wall clock in ns at which it was recorded
Metadata   one record `session`: schema, versions, settings (JSON), all as text
Order      as recorded. A replay takes states and orders in this order, so that it says the same again
Cut short  a kill or a power cut leaves the last chunk unfinished: everything before it is read, `damage` says the rest

state      the fields of State that were reported
datagram   source, received_s, data: as they came in
alert      the fields of Alert, level as a word, with the text that was shown
call       the fields of Call, level as a word, with the text that was said
plan       the Plan that was in force from here on, by aircraft
airfield   an airfield as the table had it, the first time the flight came near
order      verb and values: what else changed the engine's mind (acknowledge, mute, blind, weather)
note       anything else worth keeping, for people
"""

import struct
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import IO, Any

import msgpack
import zstandard
from mcap.exceptions import InvalidMagic, McapError
from mcap.records import Channel as ChannelRecord
from mcap.records import Chunk, McapRecord, Message, Metadata
from mcap.stream_reader import StreamReader, breakup_chunk

SCHEMA = "1"
"""Version of this page: raised when something is removed or means something else, never for an addition."""
SESSION = "session"
WHAT_IS_ONE = "one is a .mcap file that `otherseat fly` or `otherseat capture` wrote"
SUFFIX = ".mcap"
LARGEST_BYTES = 64 * 2**20
"""More than a chunk of ours ever holds; a damaged length must not fill the memory."""


class Channel(StrEnum):
    """What a message is about."""

    STATE = "state"
    DATAGRAM = "datagram"
    ALERT = "alert"
    CALL = "call"
    PLAN = "plan"
    AIRFIELD = "airfield"
    ORDER = "order"
    NOTE = "note"


class RecordingError(ValueError):
    """They erred: this file is no recording of ours."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One message of a recording."""

    channel: Channel
    logged_s: float
    """Wall clock, seconds since 1970."""
    body: dict[str, Any]


DAMAGE = (McapError, zstandard.ZstdError, struct.error, ValueError, IndexError, MemoryError, OverflowError)
"""What the libraries raise for bytes that are no record."""


@dataclass(slots=True)
class Recording:
    """A recording on disk. Reading keeps one chunk in memory, never the file."""

    path: Path
    session: dict[str, str] = field(default_factory=dict)
    """The metadata, filled by the first look into the file."""
    damage: str | None = None
    """After reading to the end: what was wrong with the rest of the file; None for a file that was closed well."""

    @classmethod
    def open(cls, path: Path) -> "Recording":
        """Return the recording, its session read; raise RecordingError when it is none, OSError when unreadable."""
        recording = cls(path=path)
        with path.open("rb") as stream:
            for record in recording._records(stream):
                if isinstance(record, Metadata) and record.name == SESSION:
                    recording.session = record.metadata
                    break
        if not recording.session:
            raise RecordingError(f"{path}: no recording of a flight{_because(recording.damage)}; {WHAT_IS_ONE}")
        if recording.session.get("schema") != SCHEMA:
            raise RecordingError(f"{path}: schema {recording.session.get('schema')}, and this reads schema {SCHEMA}")
        recording.damage = None
        return recording

    def entries(self, channels: Collection[Channel] = tuple(Channel)) -> Iterator[Entry]:
        """Yield the messages of some channels in the order in which they were recorded."""
        self.damage = None
        names: dict[int, Channel] = {}
        with self.path.open("rb") as stream:
            for record in self._records(stream):
                if isinstance(record, ChannelRecord) and record.topic in channels:
                    names[record.id] = Channel(record.topic)
                elif isinstance(record, Message) and record.channel_id in names:
                    yield Entry(
                        channel=names[record.channel_id],
                        logged_s=record.log_time / 1e9,
                        body=msgpack.unpackb(record.data),
                    )

    def _records(self, stream: IO[bytes]) -> Iterator[McapRecord]:
        """Yield every record up to the damage, if any."""
        try:
            for record in StreamReader(stream, emit_chunks=True, record_size_limit=LARGEST_BYTES).records:
                if isinstance(record, Chunk):
                    _require_sane(record)
                    yield from breakup_chunk(record, validate_crc=True)
                else:
                    yield record
        except InvalidMagic:
            self.damage = "not MCAP at all"
        except DAMAGE as error:
            self.damage = str(error) or type(error).__name__


def _require_sane(chunk: Chunk) -> None:
    size = zstandard.frame_content_size(chunk.data) if chunk.compression == "zstd" else -1
    if not 0 <= size <= LARGEST_BYTES or chunk.uncompressed_size > LARGEST_BYTES:
        raise RecordingError("a chunk of unbelievable size")


def _because(damage: str | None) -> str:
    return f" ({damage})" if damage else ""
