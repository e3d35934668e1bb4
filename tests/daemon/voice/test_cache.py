"""Clips kept on disk."""

from pathlib import Path

import numpy as np
import pytest
from structlog.testing import capture_logs

from otherseat.daemon.voice.cache import ClipCache
from otherseat.daemon.voice.voice import Samples

PARTS = ("espeak", "175", "High, two hundred.")
CLIP: Samples = np.linspace(-1.0, 1.0, 1_000, dtype=np.float32)


def test_kept_clips_come_back(tmp_path: Path) -> None:
    """A clip comes back bit for bit, from another object too; another text has none."""
    ClipCache(folder=tmp_path / "new").put(parts=PARTS, samples=CLIP)
    found = ClipCache(folder=tmp_path / "new").get(parts=PARTS)

    assert found is not None
    assert np.array_equal(CLIP, found)
    assert ClipCache(folder=tmp_path / "new").get(parts=(*PARTS[:2], "Low.")) is None


@pytest.mark.parametrize("kept_bytes", [0, 1, 31, 32, 33, 2_000, 4_031])
def test_truncated_files(tmp_path: Path, kept_bytes: int) -> None:
    """A file cut anywhere counts as absent and is deleted."""
    cache = ClipCache(folder=tmp_path)
    cache.put(parts=PARTS, samples=CLIP)
    (file,) = tmp_path.glob("*.clip")
    file.write_bytes(file.read_bytes()[:kept_bytes])

    assert cache.get(parts=PARTS) is None
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize("place", [0, 31, 32, 100, 4_031])
def test_flipped_bits(tmp_path: Path, place: int) -> None:
    """One flipped bit anywhere is found."""
    cache = ClipCache(folder=tmp_path)
    cache.put(parts=PARTS, samples=CLIP)
    (file,) = tmp_path.glob("*.clip")
    content = bytearray(file.read_bytes())
    content[place] ^= 4
    file.write_bytes(content)

    assert cache.get(parts=PARTS) is None


def test_bounded(tmp_path: Path) -> None:
    """The folder stays below its limit; what was not used for longest goes first."""
    size = len(CLIP) * 4 + 32
    cache = ClipCache(folder=tmp_path, limit_bytes=10 * size)
    for number in range(40):
        cache.put(parts=(str(number),), samples=CLIP)

    assert sum(file.stat().st_size for file in tmp_path.iterdir()) <= 10 * size
    assert cache.get(parts=("39",)) is not None
    assert cache.get(parts=("0",)) is None


def test_a_folder_that_cannot_be() -> None:
    """Where nothing can be written the cache keeps nothing, and says so once."""
    cache = ClipCache(folder=Path(__file__) / "beneath-a-file")
    with capture_logs() as logs:
        for _ in range(3):
            cache.put(parts=PARTS, samples=CLIP)

    assert cache.get(parts=PARTS) is None
    assert 1 == len(logs)
