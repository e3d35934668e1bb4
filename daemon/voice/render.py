"""From a sentence to the samples that leave.

A sentence is made of clauses ("High, two hundred." and "Sink six fifty."). Each is spoken by the voice, trimmed,
levelled and kept, in memory and on disk, so that the next sentence with the same clause costs nothing. Between
clauses stands a short breath; before a warning the two-tone. Sound out: float32, one channel, RATE_HZ.
"""

import re
from collections import OrderedDict

import numpy as np

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.cache import ClipCache
from otherseat.daemon.voice.sound import TARGET_LUFS, prepared
from otherseat.daemon.voice.tone import two_tone
from otherseat.daemon.voice.voice import Samples, Voice

RATE_HZ = 22_050
"""Samples a second of everything that is played or written: what the voices give, and enough for speech."""
KEPT = 512
"""Clauses kept in memory: about 50 MB when full."""
BREATH_S = 0.14
LOUDER_LU = 2.0
LOUDEST_LU = 6.0
CLAUSE = re.compile(r"(?<=[.;!?])\s+")
RECIPE = "2"
"""Part of a clip's name on disk; a change in how clips are made changes it."""


class Renderer:
    """One voice, and the clauses that it has said. Used from one thread."""

    def __init__(self, *, voice: Voice, cache: ClipCache | None = None) -> None:
        self._voice = voice
        self._cache = cache
        self._identity = (RECIPE, voice.identity, str(RATE_HZ))
        self._kept: OrderedDict[tuple[str, float], Samples] = OrderedDict()

    @property
    def voice_name(self) -> str:
        """Return the name of the voice."""
        return self._voice.name

    def render(self, *, speech: str, level: Level, louder: int = 0) -> Samples:
        """Return the sentence as samples, or raise VoiceError.

        louder: how many times it has been said in vain; each adds 2 LU, up to 6.
        """
        loudness_lufs = TARGET_LUFS + min(LOUDEST_LU, LOUDER_LU * max(0, louder))
        clips = [self.clause(speech=part, loudness_lufs=loudness_lufs) for part in clauses(speech)]
        breath = np.zeros(round(BREATH_S * RATE_HZ), dtype=np.float32)
        parts = [piece for clip in clips if len(clip) for piece in (breath, clip)][1:]
        if level is Level.WARNING and parts:
            parts.insert(0, two_tone(rate_hz=RATE_HZ, loudness_lufs=loudness_lufs))
        return np.concatenate(parts) if parts else breath[:0]

    def clause(self, *, speech: str, loudness_lufs: float = TARGET_LUFS) -> Samples:
        """Return one clause, from memory, from disk, or from the voice."""
        key = (speech, loudness_lufs)
        if key not in self._kept:
            self._kept[key] = self._found_or_made(speech=speech, loudness_lufs=loudness_lufs)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return self._kept[key]

    def _found_or_made(self, *, speech: str, loudness_lufs: float) -> Samples:
        parts = (*self._identity, f"{loudness_lufs:.1f}", speech)
        found = None if self._cache is None else self._cache.get(parts=parts)
        if found is not None:
            return found
        made = prepared(audio=self._voice.synthesise(text=speech), rate_hz=RATE_HZ, loudness_lufs=loudness_lufs)
        if self._cache is not None:
            self._cache.put(parts=parts, samples=made)
        return made

    def close(self) -> None:
        """Give the voice back."""
        self._voice.close()


def clauses(speech: str) -> list[str]:
    """Return the parts that are spoken in one breath."""
    return [part for part in CLAUSE.split(speech.strip()) if part]
