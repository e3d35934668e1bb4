"""ClipCache: rendered clips on disk, so that a slow voice speaks at once the next time.

Name    SHA-256 of everything that makes the clip (voice and its version, manner, level, rate, text)
File    32 bytes SHA-256 of the rest, then little-endian float32 samples; written beside and moved into place, so a
        reader never sees half a file
Damage  a file whose checksum differs is deleted and counts as absent
Bound   when the files exceed the limit, those not used for longest go until a quarter of the room is free
Trouble a folder that can't be read or written is no error: the cache then keeps nothing, and says so once
"""

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import structlog

from otherseat.daemon.voice.voice import Samples

LIMIT_BYTES = 64 * 1024 * 1024
ROOM_AFTER = 0.75
SUFFIX = ".clip"
CHECK_BYTES = 32

log = structlog.get_logger(__name__)


class ClipCache:
    """A folder of clips. Used from one thread; several processes may share the folder."""

    def __init__(self, *, folder: Path, limit_bytes: int = LIMIT_BYTES) -> None:
        self._folder = folder
        self._limit_bytes = limit_bytes
        self._told = False
        self._size_bytes = sum(size for _, size, _ in self._listed())

    def get(self, *, parts: Iterable[str]) -> Samples | None:
        """Return the clip made from these parts, or None."""
        path = self._path(parts)
        try:
            content = path.read_bytes()
        except OSError:
            return None
        check, payload = content[:CHECK_BYTES], content[CHECK_BYTES:]
        if hashlib.sha256(payload).digest() != check:
            log.warning("voice cache file is damaged", file=path.name)
            with contextlib.suppress(OSError):
                path.unlink()
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return np.frombuffer(payload, dtype="<f4").astype(np.float32)

    def put(self, *, parts: Iterable[str], samples: Samples) -> None:
        """Keep a clip."""
        payload = samples.astype("<f4").tobytes()
        content = hashlib.sha256(payload).digest() + payload
        try:
            self._write(path=self._path(parts), content=content)
        except OSError as fault:
            self._tell(fault)
            return
        self._size_bytes += len(content)
        if self._size_bytes > self._limit_bytes:
            self._make_room()

    def _path(self, parts: Iterable[str]) -> Path:
        name = hashlib.sha256("\0".join(parts).encode()).hexdigest()
        return self._folder / f"{name}{SUFFIX}"

    def _write(self, *, path: Path, content: bytes) -> None:
        self._folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=self._folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(name).replace(path)
        except OSError:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise

    def _make_room(self) -> None:
        """Delete the clips not used for longest."""
        listed = sorted(self._listed())
        self._size_bytes = sum(size for _, size, _ in listed)
        for _, size, path in listed:
            if self._size_bytes <= self._limit_bytes * ROOM_AFTER:
                return
            with contextlib.suppress(OSError):
                path.unlink()
                self._size_bytes -= size

    def _listed(self) -> list[tuple[float, int, Path]]:
        """Return (last use, bytes, file) of every clip."""
        found = []
        with contextlib.suppress(OSError):
            for path in self._folder.glob(f"*{SUFFIX}"):
                with contextlib.suppress(OSError):
                    stat = path.stat()
                    found.append((stat.st_mtime, stat.st_size, path))
        return found

    def _tell(self, fault: OSError) -> None:
        if not self._told:
            self._told = True
            log.warning("voice cache can't be written", folder=str(self._folder), fault=str(fault))
