"""SessionFile: the whole session as a WAV file, every call at its true time.

State time is the clock, so that a flight flown faster than real time still sounds as it would have. The first order's
time is the start of the file. 16 bits, one channel, 22,050 samples a second. The queue's rules hold as they do
for a device: a warning cuts in, stale sentences die, and no two sentences overlap. The header is kept right
after each write, so that a killed session leaves a file that plays.
"""

import wave
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import structlog

from otherseat.daemon.voice.render import RATE_HZ, Renderer
from otherseat.daemon.voice.speaker import Adjust, Drop, MailboxSpeaker, Mute, Order, Say, SpeakerStatus
from otherseat.daemon.voice.voice import Samples, VoiceError

LEAP_S = 3600.0
"""A longer step of state time is a jump of the simulator, not silence; so is a step back."""
FADE_S = 0.010
BLOCK = RATE_HZ * 10

log = structlog.get_logger(__name__)


@dataclass(frozen=True, slots=True)
class _Playing:
    start: int
    """Its first sample's place in the file."""
    samples: Samples

    @property
    def end(self) -> int:
        return self.start + len(self.samples)


class SessionFile(MailboxSpeaker):
    """A speaker that writes a file instead of making sound."""

    def __init__(self, *, path: Path, renderer: Renderer) -> None:
        """Begin the file; raises OSError when it can't be written."""
        super().__init__(name="voice-file", status=SpeakerStatus(voice=renderer.voice_name, device=str(path)))
        self._renderer = renderer
        self._file = path.open("wb")
        self._wave = wave.open(self._file, "wb")  # noqa: SIM115 - closed by _end
        self._wave.setnchannels(1)
        self._wave.setsampwidth(2)
        self._wave.setframerate(RATE_HZ)
        self._playing: _Playing | None = None
        self._origin_s: float | None = None
        self._now = 0
        """The present, as a place in the file."""
        self._written = 0
        self._thread.start()

    def _obey(self, order: Order) -> None:
        if isinstance(order, Say | Drop | Mute):
            self._advance(self._place(order.time_s))
        if isinstance(order, Say):
            self._say(order)
        elif isinstance(order, Adjust):
            self._adjust(order)
        elif (isinstance(order, Drop) and self._queue.drop(order.alert_id)) or (
            isinstance(order, Mute) and self._queue.mute(on=order.on)
        ):
            self._cut()
        self._begin()

    def _say(self, order: Say) -> None:
        if self._wants_the_word(order, now_s=self._now / RATE_HZ):
            self._cut()

    def _adjust(self, order: Adjust) -> None:
        """Change the rate; a file has neither volume nor ear nor device."""
        if order.words_per_minute is not None:
            manner = self._renderer.manner.model_copy(update={"words_per_minute": order.words_per_minute})
            self._renderer.adopt(manner)

    def _place(self, time_s: float) -> int:
        """Return a moment's place in the file; a jump of the simulator moves the origin instead."""
        if self._origin_s is None:
            self._origin_s = time_s
        place = round((time_s - self._origin_s) * RATE_HZ)
        if 0 <= place - self._now <= LEAP_S * RATE_HZ:
            return place
        self._origin_s = time_s - self._now / RATE_HZ
        return self._now

    def _advance(self, place: int) -> None:
        """Let everything be said that is said before that place; the present becomes the place."""
        while self._playing is not None and self._playing.end <= place:
            self._now = self._playing.end
            self._finish()
            self._begin()
        self._now = place

    def _begin(self) -> None:
        """Give the word to the next sentence when nobody has it."""
        while self._playing is None:
            utterance = self._queue.next(now_s=self._now / RATE_HZ)
            if utterance is None:
                return
            try:
                samples = self._renderer.render(speech=utterance.speech, level=utterance.level, louder=utterance.louder)
            except VoiceError as fault:
                log.warning("sentence can't be said", fault=str(fault))
                self._status = replace(self._status, note=str(fault))
                self._queue.done()
                continue
            self._status = replace(self._status, said=self._status.said + 1)
            self._playing = _Playing(start=self._now, samples=samples)

    def _finish(self) -> None:
        if self._playing is not None:
            self._write(self._playing)
        self._playing = None
        self._queue.done()

    def _cut(self) -> None:
        """End the sentence at the present, with a short fade."""
        if self._playing is None:
            return
        kept = self._playing.samples[: self._now - self._playing.start].copy()
        fade = min(round(FADE_S * RATE_HZ), len(kept))
        kept[len(kept) - fade :] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
        self._write(_Playing(start=self._playing.start, samples=kept))
        self._playing = None

    def _write(self, playing: _Playing) -> None:
        self._silence_to(playing.start)
        self._wave.writeframes((np.clip(playing.samples, -1.0, 1.0) * 32_767).astype("<i2").tobytes())
        self._written += len(playing.samples)

    def _silence_to(self, place: int) -> None:
        while self._written < place:
            count = min(BLOCK, place - self._written)
            self._wave.writeframes(bytes(2 * count))
            self._written += count

    def _end(self) -> None:
        while self._playing is not None:
            self._now = self._playing.end
            self._finish()
            self._begin()
        self._silence_to(self._now)
        self._wave.close()
        self._file.close()
        self._renderer.close()
