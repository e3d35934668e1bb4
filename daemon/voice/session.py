"""SessionFile: the whole session as a WAV file, every call at its true time.

State time is the clock, so that a flight flown faster than real time still sounds as it would have. The first order's
time is the start of the file. The queue's rules hold as they do for a device: a warning cuts in, stale sentences die,
and no two sentences overlap.

Grows     what was said by now is in the file: at every order, and when it is told what time it is
Silence   is written when the next sentence begins, and for TAIL_S after each as time goes on, so that a player does not
          cut the last words off
Trouble   a file that can't be written any more (a full disk, or 27 hours) is told once, in log and status, and left
"""

import contextlib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import structlog

from otherseat.daemon.voice.growing_wave import GrowingWave
from otherseat.daemon.voice.render import RATE_HZ, Renderer
from otherseat.daemon.voice.speaker import Adjust, Drop, MailboxSpeaker, Mute, Order, Say, SpeakerStatus, Time
from otherseat.daemon.voice.voice import Samples, VoiceError

LEAP_S = 3600.0
"""A longer step of state time is a jump of the simulator, not silence; so is a step back."""
FADE_S = 0.010
FADE = round(FADE_S * RATE_HZ)
TAIL_S = 1.0
TAIL = round(TAIL_S * RATE_HZ)

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
        self._name = path.name
        self._file: GrowingWave | None = GrowingWave(path)
        """None once it can't be written any more."""
        self._playing: _Playing | None = None
        self._origin_s: float | None = None
        self._now = 0
        """The present, as a place in the file."""
        self._quiet_to = 0
        """The place to which the file reaches while nobody speaks: a little after the last words."""
        self._thread.start()

    def time_is(self, *, time_s: float) -> None:
        """Put the time into the mailbox."""
        self._mailbox.put(Time(time_s=time_s))

    def _obey(self, order: Order) -> None:
        if isinstance(order, Time) and self._origin_s is None:
            return
        if isinstance(order, Say | Drop | Mute | Time):
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
        self._grow()

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
            self._write(self._playing, to=self._playing.end)
            self._quiet_to = self._playing.end + TAIL
        self._playing = None
        self._queue.done()

    def _cut(self) -> None:
        """End the sentence at the present, with a short fade."""
        if self._playing is None:
            return
        kept = self._playing.samples[: self._now - self._playing.start].copy()
        fade = min(FADE, len(kept))
        kept[len(kept) - fade :] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
        self._write(_Playing(start=self._playing.start, samples=kept), to=self._now)
        self._quiet_to = self._now + TAIL
        self._playing = None

    def _grow(self) -> None:
        """Write what is sure by now: all but the last moment of a sentence, which a cut would fade."""
        if self._playing is not None:
            self._write(self._playing, to=self._now - FADE)
        else:
            self._write(None, to=min(self._now, self._quiet_to))

    def _write(self, playing: _Playing | None, *, to: int) -> None:
        """Write to a place in the file, as far as that is not done: what is played, and silence before it."""
        if self._file is None:
            return
        try:
            self._file.silence_to(to if playing is None else min(to, playing.start))
            if playing is not None and self._file.written < to:
                self._file.append(playing.samples[self._file.written - playing.start : to - playing.start])
        except OSError as fault:
            self._leave(fault)

    def _leave(self, fault: OSError) -> None:
        """Write no more: the header stays right for what came before."""
        note = f"{self._name}: {fault.strerror or fault}"
        log.warning("voice file can't be written any more", reason=note)
        self._status = replace(self._status, note=note)
        file, self._file = self._file, None
        if file is not None:
            with contextlib.suppress(OSError):  # the same trouble once more
                file.close()

    def _end(self) -> None:
        while self._playing is not None:
            self._now = self._playing.end
            self._finish()
            self._begin()
        self._write(None, to=self._quiet_to)
        if self._file is not None:
            self._file.close()
        self._renderer.close()
