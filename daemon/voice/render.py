"""From a sentence to the samples that leave.

A sentence is made of clauses ("High, two hundred." and "Sink six fifty."). Each is spoken by the voice, trimmed,
levelled and kept, in memory and on disk, so that the next sentence with the same clause costs nothing. Between
clauses stands a short breath; before a warning the two-tone. Sound out: float32, one channel, RATE_HZ.
"""

import re
from collections import OrderedDict
from collections.abc import Callable, Iterator

import numpy as np
import structlog

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.cache import ClipCache
from otherseat.daemon.voice.sound import TARGET_LUFS, prepared
from otherseat.daemon.voice.tone import two_tone
from otherseat.daemon.voice.voice import Audio, Manner, Samples, Voice, VoiceError

RATE_HZ = 22_050
"""Samples a second of everything that is played or written: what the voices give, and enough for speech."""
KEPT = 64
"""Clauses kept in memory: about 10 MB when full. A slow voice's others are on disk."""
BREATH_S = 0.14
LOUDER_LU = 2.0
LOUDEST_LU = 6.0
CLAUSE = re.compile(r"(?<=[.;!?])\s+")
RECIPE = "2"
"""Part of a clip's name on disk; a change in how clips are made changes it."""

log = structlog.get_logger(__name__)


class Renderer:
    """One voice, and the clauses that it has said. Used from one thread at a time."""

    def __init__(
        self, *, make: Callable[[Manner], Voice], manner: Manner | None = None, cache: ClipCache | None = None
    ) -> None:
        """Make the voice; raises VoiceError when it can't be had."""
        self._make = make
        self._cache = cache
        self.manner = manner or Manner()
        self._voice = make(self.manner)
        self._kept: OrderedDict[tuple[str, float], Samples] = OrderedDict()

    @property
    def voice_name(self) -> str:
        """Return the name of the voice."""
        return self._voice.name

    def adopt(self, manner: Manner) -> None:
        """Speak in another manner from now on; keeps the old one and raises VoiceError when that can't be."""
        self._voice.close()
        try:
            self._voice = self._make(manner)
        except VoiceError:
            self._voice = self._make(self.manner)
            raise
        self.manner = manner
        self._kept.clear()

    def render(self, *, speech: str, level: Level, louder: int = 0) -> Samples:
        """Return the sentence as samples, with its tone before it; or raise VoiceError.

        louder: how many times it has been said in vain; each adds 2 LU, up to 6.
        """
        pieces = list(self.pieces(speech=speech, level=level, louder=louder))
        return np.concatenate(pieces) if pieces else np.zeros(0, dtype=np.float32)

    def pieces(self, *, speech: str, level: Level, louder: int = 0) -> Iterator[Samples]:
        """Yield the sentence piece by piece, each made when it is asked for: tone, clause, breath and clause, ..."""
        if level is Level.WARNING:
            yield self.tone(level=level, louder=louder)
        breath = np.zeros(0, dtype=np.float32)
        for part in clauses(speech):
            clip = self.clause(speech=part, louder=louder)
            yield np.concatenate([breath, clip])
            breath = np.zeros(round(BREATH_S * RATE_HZ) if len(clip) else 0, dtype=np.float32)

    def tone(self, *, level: Level, louder: int = 0) -> Samples:
        """Return what comes before the words: the two-tone of a warning, or nothing."""
        if level is not Level.WARNING:
            return np.zeros(0, dtype=np.float32)
        return two_tone(rate_hz=RATE_HZ, loudness_lufs=loudness_lufs(louder))

    def words(self, *, speech: str, louder: int = 0) -> Samples:
        """Return the words alone, or raise VoiceError."""
        return self.render(speech=speech, level=Level.CALL, louder=louder)

    def clause(self, *, speech: str, louder: int = 0) -> Samples:
        """Return one clause, from memory, from disk, or from the voice."""
        key = (speech, loudness_lufs(louder))
        if key not in self._kept:
            self._kept[key] = self._found_or_made(speech=speech, loudness_lufs=key[1])
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return self._kept[key]

    def _found_or_made(self, *, speech: str, loudness_lufs: float) -> Samples:
        parts = (RECIPE, self._voice.identity, str(RATE_HZ), f"{loudness_lufs:.1f}", speech)
        found = None if self._cache is None else self._cache.get(parts=parts)
        if found is not None:
            return found
        made = prepared(audio=self._spoken(speech), rate_hz=RATE_HZ, loudness_lufs=loudness_lufs)
        if self._cache is not None:
            self._cache.put(parts=parts, samples=made)
        return made

    def _spoken(self, speech: str) -> Audio:
        try:
            return self._voice.synthesise(text=speech)
        except VoiceError:
            raise
        except Exception as fault:  # a voice from elsewhere may raise anything; the speaker knows one error
            log.exception("voice plug-in failed", voice=self._voice.name)
            raise VoiceError(f"voice {self._voice.name} failed: {fault!r}") from fault

    def close(self) -> None:
        """Give the voice back."""
        self._voice.close()


def loudness_lufs(louder: int) -> float:
    """Return how loud a sentence is that has been said so many times in vain."""
    return TARGET_LUFS + min(LOUDEST_LU, LOUDER_LU * max(0, louder))


def clauses(speech: str) -> list[str]:
    """Return the parts that are spoken in one breath."""
    return [part for part in CLAUSE.split(speech.strip()) if part]
