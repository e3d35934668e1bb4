"""From a sentence to the samples that leave: the voice's sound at the house rate, kept for the next time."""

from collections import OrderedDict

import numpy as np

from otherseat.daemon.voice.voice import Audio, Samples, Voice

RATE_HZ = 22_050
"""Samples a second of everything that is played or written."""
KEPT = 256
"""Sentences kept in memory: about 20 MB."""


class Renderer:
    """One voice, and what it said lately. Used from one thread."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self._kept: OrderedDict[str, Samples] = OrderedDict()

    @property
    def voice_name(self) -> str:
        """Return the name of the voice."""
        return self._voice.name

    def render(self, *, speech: str) -> Samples:
        """Return the sentence as samples at RATE_HZ, or raise VoiceError."""
        if speech not in self._kept:
            self._kept[speech] = at_rate(audio=self._voice.synthesise(text=speech), rate_hz=RATE_HZ)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        self._kept.move_to_end(speech)
        return self._kept[speech]

    def close(self) -> None:
        """Give the voice back."""
        self._voice.close()


def at_rate(*, audio: Audio, rate_hz: int) -> Samples:
    """Return the samples at another rate, by straight lines between samples."""
    if audio.rate_hz == rate_hz or not len(audio.samples):
        return audio.samples
    count = round(len(audio.samples) * rate_hz / audio.rate_hz)
    places = np.arange(count) * (audio.rate_hz / rate_hz)
    resampled: Samples = np.interp(places, np.arange(len(audio.samples)), audio.samples).astype(np.float32)
    return resampled
