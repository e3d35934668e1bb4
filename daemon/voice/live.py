"""LiveSpeaker: sentences to an audio device, in a thread of its own.

Without a device it says so once and goes on in silence, at the same pace; it looks for one again every few seconds.
"""

import time
from dataclasses import replace

import structlog

from otherseat.daemon.voice.player import EARS, Player, Strip
from otherseat.daemon.voice.queue import SpeechQueue, Utterance, start_by_s
from otherseat.daemon.voice.render import Renderer
from otherseat.daemon.voice.speaker import Done, Drop, MailboxSpeaker, Order, Say, SpeakerStatus
from otherseat.daemon.voice.voice import VoiceError

WATCH_S = 0.5
SEEK_S = 5.0
NO_DEVICE = "no audio device: alerts are on screen and on the bus only"

log = structlog.get_logger(__name__)


class LiveSpeaker(MailboxSpeaker):
    """A speaker that makes sound."""

    def __init__(self, *, renderer: Renderer, device: str | None = None, ear: str = "both") -> None:
        super().__init__(name="voice")
        self._renderer = renderer
        self._wanted = device
        self._queue = SpeechQueue()
        self._turn = 0
        self._status = SpeakerStatus(voice=renderer.voice_name, device="")
        self._strip = Strip(done=lambda turn: self._mailbox.put(Done(turn=turn)))
        self._strip.gains = EARS[ear]
        self._player: Player | None = None
        self._sought_s = time.monotonic()
        self._open()
        self._thread.start()

    @property
    def status(self) -> SpeakerStatus:
        """Return how it is doing now."""
        return replace(self._status, muted=self._queue.muted, waiting=len(self._queue), given_up=self._queue.given_up)

    def _obey(self, order: Order) -> None:
        if isinstance(order, Say):
            self._say(order)
        elif isinstance(order, Done):
            if order.turn == self._turn:
                self._queue.done()
        elif self._queue.drop(order.alert_id) if isinstance(order, Drop) else self._queue.mute(on=order.on):
            self._strip.cut()

    def _say(self, order: Say) -> None:
        now_s = time.monotonic()
        expires_s = None if order.expires_s is None else now_s + order.expires_s - order.time_s
        utterance = Utterance(
            speech=order.speech,
            level=order.level,
            louder=order.louder,
            alert_id=order.alert_id,
            start_by_s=start_by_s(level=order.level, alert_id=order.alert_id, now_s=now_s, expires_s=expires_s),
        )
        if self._queue.add(utterance):
            self._queue.cut()
            self._strip.cut()

    def _settle(self) -> float | None:
        self._watch()
        while self._queue.current is None:
            utterance = self._queue.next(now_s=time.monotonic())
            if utterance is None:
                break
            self._begin(utterance)
        return WATCH_S

    def _begin(self, utterance: Utterance) -> None:
        try:
            samples = self._renderer.render(speech=utterance.speech, level=utterance.level, louder=utterance.louder)
        except VoiceError as fault:
            log.warning("sentence can't be said", fault=str(fault))
            self._status = replace(self._status, note=str(fault))
            self._queue.done()
            return
        self._obey_waiting()
        if self._queue.current is utterance:
            self._turn += 1
            self._strip.play(samples=samples, turn=self._turn)
            self._status = replace(self._status, said=self._status.said + 1)

    def _watch(self) -> None:
        """Find a device again when it is lost, or when there was none."""
        now_s = time.monotonic()
        if self._player is not None and self._player.audible and not self._player.lost:
            return
        if now_s - self._sought_s >= SEEK_S or (self._player is not None and self._player.lost):
            self._sought_s = now_s
            self._open()

    def _open(self) -> None:
        if self._player is not None:
            self._player.close()
            self._player = None
        self._player, note = self._best()
        if note and note != self._status.note:
            log.warning("voice is silent", reason=note)
        self._status = replace(self._status, device=self._player.name if self._player else "", note=note)

    def _best(self) -> tuple[Player | None, str]:
        """Return the wanted device, or else the silent one, and what is wrong."""
        note = NO_DEVICE
        try:
            player = Player(strip=self._strip, device=self._wanted)
        except VoiceError as fault:
            note = str(fault)
        else:
            return player, "" if player.audible else note
        try:
            return Player(strip=self._strip, silent=True), note
        except VoiceError as fault:
            return None, str(fault)

    def _end(self) -> None:
        if self._player is not None:
            self._player.close()
        self._renderer.close()
