"""Recordings: whole, cut short, damaged, foreign."""

import random
import struct
from pathlib import Path

import pytest
from mcap.reader import make_reader

from otherseat.daemon.recording import Channel, Recording, RecordingError
from otherseat.daemon.recording_writer import RecordingWriter

CHUNKS, IN_A_CHUNK = 12, 30


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return the bytes of a recording of numbered notes, some dozen chunks long."""
    path = tmp_path_factory.mktemp("whole") / "whole.mcap"
    with RecordingWriter(path, session={"seat": "left"}) as writer:
        for number in range(CHUNKS * IN_A_CHUNK):
            writer.write(Channel.NOTE, {"number": number}, logged_ns=number * 10**9)
            if number % IN_A_CHUNK == IN_A_CHUNK - 1:
                writer.finish_chunk()
    return path.read_bytes()


def numbers(path: Path) -> tuple[list[int], str | None]:
    """Return the numbers that can be read, and what was wrong with the rest."""
    recording = Recording.open(path)
    read = [entry.body["number"] for entry in recording.entries()]
    return read, recording.damage


def test_whole(whole: bytes, tmp_path: Path) -> None:
    """A closed recording gives back everything in order, with its session, and no damage."""
    path = tmp_path / "a.mcap"
    path.write_bytes(whole)

    assert (list(range(CHUNKS * IN_A_CHUNK)), None) == numbers(path)
    assert Recording.open(path).session["seat"] == "left"


def test_cut_anywhere(whole: bytes, tmp_path: Path) -> None:
    """Wherever a file was cut, what was in finished chunks is read, in order and without a gap."""
    begin = len(whole) // 10
    random_ = random.Random(7)
    path = tmp_path / "cut.mcap"
    lengths = []
    for cut in sorted(random_.randrange(begin, len(whole)) for _ in range(150)):
        path.write_bytes(whole[:cut])
        read, damage = numbers(path)
        assert list(range(len(read))) == read
        assert len(read) % IN_A_CHUNK == 0
        assert damage is not None or len(read) == CHUNKS * IN_A_CHUNK
        lengths.append(len(read))

    assert sorted(lengths) == lengths
    assert lengths[-1] == CHUNKS * IN_A_CHUNK


def test_flipped_bits(whole: bytes, tmp_path: Path) -> None:
    """A damaged byte ends the reading or is noticed; it never raises anything but RecordingError."""
    random_ = random.Random(11)
    path = tmp_path / "flipped.mcap"
    for _ in range(150):
        flipped = bytearray(whole)
        flipped[random_.randrange(len(flipped))] ^= 1 << random_.randrange(8)
        path.write_bytes(bytes(flipped))
        try:
            read, _ = numbers(path)
        except RecordingError:
            continue
        assert set(read) <= set(range(CHUNKS * IN_A_CHUNK))


@pytest.mark.parametrize("length", [2**40, 2**62, 2**63, 2**64 - 1])
def test_an_unbelievable_length(length: int, whole: bytes, tmp_path: Path) -> None:
    """A chunk that says it is longer than any memory ends the reading; it is not asked for."""
    before, compression, after = whole.partition(b"\x04\x00\x00\x00zstd")
    path = tmp_path / "long.mcap"
    path.write_bytes(before + compression + struct.pack("<Q", length) + after[8:])
    recording = Recording.open(path)

    assert [] == list(recording.entries())
    assert recording.damage


@pytest.mark.parametrize(
    "content", [b"", b"hello", b"\x89MCAP0\r\n", bytes(4096)], ids=["empty", "text", "magic", "zeros"]
)
def test_foreign(content: bytes, tmp_path: Path) -> None:
    """A file that is no recording is refused by name."""
    path = tmp_path / "foreign.mcap"
    path.write_bytes(content)

    with pytest.raises(RecordingError, match=r"foreign\.mcap"):
        Recording.open(path)


def test_other_schema(tmp_path: Path) -> None:
    """A recording by a later, incompatible version is refused, and says so."""
    path = tmp_path / "later.mcap"
    RecordingWriter(path).close()
    path.write_bytes(path.read_bytes().replace(b"schema\x01\x00\x00\x001", b"schema\x01\x00\x00\x009"))

    with pytest.raises(RecordingError, match="schema 9"):
        Recording.open(path)


def test_existing_file_stays(tmp_path: Path) -> None:
    """A recording never writes over a file."""
    path = tmp_path / "a.mcap"
    path.write_bytes(b"mine")

    with pytest.raises(FileExistsError):
        RecordingWriter(path)
    assert path.read_bytes() == b"mine"


def test_readable_by_the_format_s_own_reader(whole: bytes, tmp_path: Path) -> None:
    """The MCAP project's own indexed reader opens a closed recording and finds the same messages."""
    path = tmp_path / "a.mcap"
    path.write_bytes(whole)
    with path.open("rb") as stream:
        reader = make_reader(stream, validate_crcs=True)
        messages = list(reader.iter_messages(topics=["note"]))

    assert len(messages) == CHUNKS * IN_A_CHUNK
    assert {"msgpack"} == {channel.message_encoding for _, channel, _ in messages}
