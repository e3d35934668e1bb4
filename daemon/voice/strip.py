"""Strip: what is being played, between the voice's thread that lays clips on it and the device's callback that pulls.

A clip plays from the next pull on. What is cut fades out within 10 ms, beneath what follows. A sentence is laid
down piece by piece (tone, clauses); while more is to come, the end of a piece is not the end.
"""

import threading
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from otherseat.daemon.voice.render import RATE_HZ
from otherseat.daemon.voice.speaker import Ear
from otherseat.daemon.voice.voice import Samples

CHANNELS = 2
FADE = round(0.010 * RATE_HZ)
EARS: dict[Ear, tuple[float, float]] = {"both": (1.0, 1.0), "left": (1.0, 0.0), "right": (0.0, 1.0)}
NOTHING: Samples = np.zeros(0, dtype=np.float32)


class Strip:
    """The clip in play and how far it is. done is called with the turn's number when a turn has been played."""

    def __init__(self, *, done: Callable[[int], None]) -> None:
        self._lock = threading.Lock()
        self._done = done
        self._clip = NOTHING
        self._fading = NOTHING
        self._turn = 0
        self._busy = False
        self._more = False
        self._gains = np.array(EARS["both"], dtype=np.float32)
        self._quiet = np.zeros((0, CHANNELS), dtype=np.float32)

    def balance(self, *, volume: float, ear: Ear) -> None:
        """Set the loudness (0 to 1) and the ears, from the next pull on."""
        self._gains = np.array(EARS[ear], dtype=np.float32) * np.float32(min(1.0, max(0.0, volume)))

    def play(self, *, samples: Samples, turn: int, more: bool = False) -> None:
        """Play a clip from the next pull on; more: another piece of the same turn follows."""
        with self._lock:
            self._fade()
            self._clip, self._turn, self._busy, self._more = samples, turn, True, more

    def extend(self, *, samples: Samples, turn: int, more: bool = False) -> None:
        """Lay down another piece of a turn, unless it has been cut."""
        with self._lock:
            if self._busy and turn == self._turn:
                self._clip = np.concatenate([self._clip, samples])
                self._more = more

    def cut(self) -> None:
        """Fade out from the next pull on."""
        with self._lock:
            self._fade()
            self._busy = False

    def _fade(self) -> None:
        if len(self._clip):
            fade = min(FADE, len(self._clip))
            self._fading = self._clip[:fade] * np.linspace(1.0, 0.0, fade, dtype=np.float32)
        self._clip = NOTHING

    def pull(self, count: int) -> NDArray[np.float32]:
        """Return the next samples, shape (count, 2)."""
        if not (self._busy or len(self._clip) or len(self._fading)):  # nearly always: a device asks all the time
            return self._silence(count)
        with self._lock:
            part, self._clip = self._clip[:count], self._clip[count:]
            fading, self._fading = self._fading[:count], self._fading[count:]
            ended = self._busy and not self._more and not len(self._clip)
            self._busy = self._busy and not ended
            turn = self._turn
        mono = np.zeros(count, dtype=np.float32)
        mono[: len(part)] = part
        mono[: len(fading)] += fading
        if ended:
            self._done(turn)
        return np.clip(mono, -1.0, 1.0)[:, np.newaxis] * self._gains

    def _silence(self, count: int) -> NDArray[np.float32]:
        """Return so much silence, of which one is kept: a device asks for the same number each time."""
        if len(self._quiet) != count:
            self._quiet = np.zeros((count, CHANNELS), dtype=np.float32)
        return self._quiet
