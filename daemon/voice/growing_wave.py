"""GrowingWave: a WAV file that can be played at any moment while it is written, also after a kill.

Form      16 bits, one channel, RATE_HZ samples a second
Order     samples first, then the two lengths in the header, after every piece: what the header promises is there
Bound     the header counts bytes in 32 bits, which is 27 hours of sound; what comes later raises OSError
Memory    none of what was written is kept
"""

import errno
import os
import wave
from pathlib import Path

import numpy as np

from otherseat.daemon.voice.render import RATE_HZ
from otherseat.daemon.voice.voice import Samples

SAMPLE_BYTES = 2
HEADER_BYTES = 44
MOST = (2**32 - 1 - HEADER_BYTES) // SAMPLE_BYTES
"""So many samples fit."""
BLOCK = RATE_HZ * 10
"""Silence is written in pieces of at most so many samples."""


class GrowingWave:
    """Sound appended to a file."""

    def __init__(self, path: Path) -> None:
        """Begin the file, with a header for no sound yet; raises OSError when it can't be written."""
        self.written = 0
        """Samples in the file."""
        self._file = path.open("wb")
        self._wave = wave.open(self._file, "wb")  # noqa: SIM115 - closed by close
        self._wave.setnchannels(1)
        self._wave.setsampwidth(SAMPLE_BYTES)
        self._wave.setframerate(RATE_HZ)
        self._append(b"")

    def append(self, samples: Samples) -> None:
        """Add samples, full scale -1 to 1."""
        self._append((np.clip(samples, -1.0, 1.0) * 32_767).astype("<i2").tobytes())

    def silence_to(self, place: int) -> None:
        """Add silence until so many samples are in the file; nothing when they already are."""
        while self.written < place:
            self._append(bytes(SAMPLE_BYTES * min(BLOCK, place - self.written)))

    def _append(self, content: bytes) -> None:
        count = len(content) // SAMPLE_BYTES
        if self.written + count > MOST:
            raise OSError(errno.EFBIG, os.strerror(errno.EFBIG))
        self._wave.writeframes(content)  # brings the lengths up to date, all but those of the first piece
        self._file.flush()
        self.written += count

    def close(self) -> None:
        """End it."""
        try:
            self._wave.close()
        finally:
            self._file.close()
