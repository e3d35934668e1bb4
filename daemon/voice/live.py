"""LiveSpeaker: sentences to an audio device, in a thread of its own.

A sentence leaves piece by piece, a warning's two-tone first, each while the next is made. A device that is lost in
mid-sentence is opened again and the sentence, if it is still true, begins anew. Without the wanted device the default
one serves, without any the null device keeps the pace in silence; both are said once, and the wanted one is sought
every few seconds. Clauses that are sure to come are made ahead while nothing is being said.
"""

import time
from collections import deque
from collections.abc import Iterable
from dataclasses import replace

import structlog

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.player import DEFAULT_DEVICE, Player
from otherseat.daemon.voice.queue import Utterance
from otherseat.daemon.voice.render import Renderer, clauses
from otherseat.daemon.voice.speaker import Adjust, Done, Drop, Ear, MailboxSpeaker, Mute, Order, Say, SpeakerStatus
from otherseat.daemon.voice.strip import NOTHING, Strip
from otherseat.daemon.voice.voice import VoiceError

WATCH_S = 0.25
SEEK_S = 5.0
AHEAD_S = 0.05
"""Between two clauses made ahead, so that the daemon's loop keeps its share of the machine."""

log = structlog.get_logger(__name__)


class LiveSpeaker(MailboxSpeaker):
    """A speaker that makes sound."""

    def __init__(
        self,
        *,
        renderer: Renderer,
        device: str = "",
        volume: float = 1.0,
        ear: Ear = "both",
        ahead: Iterable[str] = (),
    ) -> None:
        super().__init__(name="voice", status=SpeakerStatus(voice=renderer.voice_name, device=""))
        self._renderer = renderer
        self._wanted, self._volume, self._ear = device, volume, ear
        self._turn = 0
        self._ahead = deque(clause for speech in ahead for clause in clauses(speech))
        self._strip = Strip(done=lambda turn: self._mailbox.put(Done(turn=turn)))
        self._strip.balance(volume=volume, ear=ear)
        self._player: Player | None = None
        self._sought_s = time.monotonic()
        self._renderer.tone(level=Level.WARNING)  # made now, so that the first warning need not wait for it
        self._open()
        self._thread.start()

    def _obey(self, order: Order) -> None:
        if isinstance(order, Say):
            self._say(order)
        elif isinstance(order, Adjust):
            self._adjust(order)
        elif isinstance(order, Done):
            if order.turn == self._turn:
                self._queue.done()
        elif (isinstance(order, Drop) and self._queue.drop(order.alert_id)) or (
            isinstance(order, Mute) and self._queue.mute(on=order.on)
        ):
            self._strip.cut()

    def _say(self, order: Say) -> None:
        if self._wants_the_word(order, now_s=time.monotonic()):
            self._strip.cut()

    def _adjust(self, order: Adjust) -> None:
        self._volume = self._volume if order.volume is None else order.volume
        self._ear = order.ear or self._ear
        self._strip.balance(volume=self._volume, ear=self._ear)
        if order.words_per_minute is not None:
            self._renderer.adopt(self._renderer.manner.model_copy(update={"words_per_minute": order.words_per_minute}))
        if order.device is not None:
            self._wanted = order.device
            self._open()

    def _settle(self) -> float | None:
        self._watch()
        while self._queue.current is None:
            utterance = self._queue.next(now_s=time.monotonic())
            if utterance is None:
                return self._prepare()
            self._begin(utterance)
        return WATCH_S

    def _prepare(self) -> float:
        """Make one clause ahead; return when to look again."""
        if not self._ahead:
            return WATCH_S
        self._renderer.clause(speech=self._ahead.popleft())
        return AHEAD_S

    def _begin(self, utterance: Utterance) -> None:
        """Lay a sentence down piece by piece: the first leaves while the next is made."""
        self._turn += 1
        self._strip.play(samples=NOTHING, turn=self._turn, more=True)
        try:
            for piece in self._renderer.pieces(speech=utterance.speech, level=utterance.level, louder=utterance.louder):
                self._obey_waiting()
                if self._queue.current is not utterance:  # it cleared, or was cut, while it was made
                    return
                self._strip.extend(samples=piece, turn=self._turn, more=True)
        except VoiceError as fault:
            self._give_up(fault)
            return
        self._strip.extend(samples=NOTHING, turn=self._turn)
        self._status = replace(self._status, said=self._status.said + 1)

    def _give_up(self, fault: VoiceError) -> None:
        log.warning("sentence can't be said", fault=str(fault))
        self._status = replace(self._status, note=str(fault))
        self._strip.cut()
        self._queue.done()

    def _watch(self) -> None:
        """Open a device again when it is lost, and look for the wanted one when another serves."""
        now_s = time.monotonic()
        if self._player is None or self._player.lost:
            log.warning("audio device is lost", device=self._status.device)
            self._strip.cut()
            self._queue.again()
            self._open()
        elif self._player.name != (self._wanted or DEFAULT_DEVICE) and now_s - self._sought_s >= SEEK_S:
            self._sought_s = now_s
            self._seek()

    def _seek(self) -> None:
        """Take the wanted device if it has come, between sentences."""
        if self._queue.current is None:
            player, note = self._first([self._wanted])
            if player is not None:
                self._take(player=player, note=note)

    def _open(self) -> None:
        if self._player is not None:
            self._player.close()
            self._player = None
        player, note = self._first(list(dict.fromkeys([self._wanted, ""])))
        self._take(player=player or Player(strip=self._strip, silent=True), note=note)

    def _first(self, names: list[str]) -> tuple[Player | None, str]:
        """Return the first device that opens, and what was wrong with the first."""
        note = ""
        for name in names:
            try:
                return Player(strip=self._strip, device=name), note
            except VoiceError as fault:
                note = note or str(fault)
        return None, note

    def _take(self, *, player: Player, note: str) -> None:
        if self._player is not None:
            self._player.close()
        self._player = player
        if note and note != self._status.note:
            log.warning("voice has not the device it wants", reason=note, device=player.name)
        self._status = replace(self._status, device=player.name, note=note)

    def _end(self) -> None:
        if self._player is not None:
            self._player.close()
        self._renderer.close()
