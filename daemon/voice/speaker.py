"""Speaker: what the daemon's loop talks to. It never blocks and never raises; the work is done in a thread of its own.

Orders go into a mailbox; one thread takes them out, decides by the queue's rules who speaks, has it rendered, and
hands it to a device (live.py) or to a file (session.py).
"""

import contextlib
import threading
from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from queue import Empty, SimpleQueue
from typing import Literal

import structlog

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.queue import SpeechQueue, Utterance, start_by_s

log = structlog.get_logger(__name__)

Ear = Literal["both", "left", "right"]
RETRY_S = 0.5
STOP_S = 10.0
"""How long close waits for the thread: a file may still have much to write."""


@dataclass(frozen=True, slots=True)
class SpeakerStatus:
    """How the voice is doing, for the health topic and the screen."""

    voice: str
    device: str
    """Where the sound goes: a device's name, a file, or "" for nowhere."""
    muted: bool = False
    waiting: int = 0
    said: int = 0
    """Sentences begun."""
    given_up: int = 0
    """Sentences never begun: stale, cleared, crowded out or muted."""
    quiet: bool = True
    """Whether nothing is being said and nothing waits."""
    note: str = ""
    """What is wrong, in plain words; "" when all is well."""


class Speaker:
    """What the loop needs of a voice. time_s is state time. This one takes everything and says nothing."""

    @property
    def status(self) -> SpeakerStatus:
        """Return how it is doing now."""
        return SpeakerStatus(voice="none", device="")

    def say(
        self,
        *,
        speech: str,
        level: Level,
        alert_id: str | None,
        time_s: float,
        expires_s: float | None = None,
        louder: int = 0,
    ) -> None:
        """Say a sentence as soon as its level allows; not at all once its alert is dropped or expires_s is past.

        louder: how many times it has been said in vain, for a warning that must be heard at last.
        """

    def drop(self, *, alert_id: str, time_s: float) -> None:
        """Take back a cleared alert: none of its sentences begins any more, and the one being said ends."""

    def mute(self, *, on: bool, time_s: float) -> None:
        """Quieten at once and until told otherwise, or give the voice back."""

    def adjust(self, change: "Adjust") -> None:
        """Change volume, ear, device or rate while running."""

    def time_is(self, *, time_s: float) -> None:
        """Be told how late it is: a file keeps up with the flight, a device has a clock of its own."""

    def close(self) -> None:
        """End; a file is written to its end first."""


@dataclass(frozen=True, slots=True)
class Say:
    """Order: say this."""

    speech: str
    level: Level
    alert_id: str | None
    time_s: float
    expires_s: float | None
    louder: int = 0


@dataclass(frozen=True, slots=True)
class Drop:
    """Order: this alert cleared."""

    alert_id: str
    time_s: float


@dataclass(frozen=True, slots=True)
class Mute:
    """Order: quiet, or not."""

    on: bool
    time_s: float


@dataclass(frozen=True, slots=True)
class Adjust:
    """Order: what is not None changes."""

    volume: float | None = None
    """0 to 1."""
    ear: Ear | None = None
    device: str | None = None
    """The start of a device's name; "" for the default one."""
    words_per_minute: int | None = None


@dataclass(frozen=True, slots=True)
class Time:
    """Order: it is so late now."""

    time_s: float


@dataclass(frozen=True, slots=True)
class Done:
    """The device came to the end of what it was given."""

    turn: int


Order = Say | Drop | Mute | Adjust | Time | Done


class MailboxSpeaker(Speaker, ABC):
    """The mailbox, its thread and its queue; a subclass says what to do with each order."""

    def __init__(self, *, name: str, status: SpeakerStatus) -> None:
        self._queue = SpeechQueue()
        self._status = status
        self._mailbox: SimpleQueue[Order | None] = SimpleQueue()
        self._closed = False
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    @property
    def status(self) -> SpeakerStatus:
        """Return how it is doing now."""
        return replace(
            self._status,
            muted=self._queue.muted,
            waiting=len(self._queue),
            given_up=self._queue.given_up,
            quiet=self._queue.quiet,
        )

    def _wants_the_word(self, order: Say, *, now_s: float) -> bool:
        """Put a sentence into the queue, by a clock of one's own; say whether it cuts in on the one being said."""
        expires_s = None if order.expires_s is None else now_s + order.expires_s - order.time_s
        utterance = Utterance(
            speech=order.speech,
            level=order.level,
            louder=order.louder,
            alert_id=order.alert_id,
            start_by_s=start_by_s(level=order.level, alert_id=order.alert_id, now_s=now_s, expires_s=expires_s),
        )
        cuts_in = self._queue.add(utterance)
        if cuts_in:
            self._queue.cut()
        return cuts_in

    @abstractmethod
    def _obey(self, order: Order) -> None:
        """Carry out one order; in the thread."""

    def _settle(self) -> float | None:
        """Do what has become due; in the thread. Return when to look again in seconds, None for at the next order."""
        return None

    @abstractmethod
    def _end(self) -> None:
        """Finish and give everything back; in the thread."""

    def say(
        self,
        *,
        speech: str,
        level: Level,
        alert_id: str | None,
        time_s: float,
        expires_s: float | None = None,
        louder: int = 0,
    ) -> None:
        """Put the sentence into the mailbox."""
        self._mailbox.put(
            Say(speech=speech, level=level, alert_id=alert_id, time_s=time_s, expires_s=expires_s, louder=louder)
        )

    def drop(self, *, alert_id: str, time_s: float) -> None:
        """Put the order into the mailbox."""
        self._mailbox.put(Drop(alert_id=alert_id, time_s=time_s))

    def mute(self, *, on: bool, time_s: float) -> None:
        """Put the order into the mailbox."""
        self._mailbox.put(Mute(on=on, time_s=time_s))

    def adjust(self, change: Adjust) -> None:
        """Put the order into the mailbox."""
        self._mailbox.put(change)

    def close(self) -> None:
        """End the thread; again is harmless."""
        if not self._closed:
            self._closed = True
            self._mailbox.put(None)
            self._thread.join(STOP_S)

    def _run(self) -> None:
        timeout_s: float | None = 0.0  # there may be things to make ahead
        while self._obey_all(timeout_s=timeout_s):
            timeout_s = self._settle_guarded()
        try:
            self._end()
        except Exception:  # the daemon ends all the same
            log.exception("voice failed", while_="ending")

    def _obey_all(self, *, timeout_s: float | None) -> bool:
        """Carry out every order that waits; return whether to go on."""
        with contextlib.suppress(Empty):
            order = self._mailbox.get(timeout=timeout_s)
            while order is not None:
                self._obey_guarded(order)
                order = self._mailbox.get_nowait()
            return False
        return True

    def _obey_waiting(self) -> None:
        """Carry out the orders that came meanwhile; an order to close is left for later."""
        with contextlib.suppress(Empty):
            while True:
                order = self._mailbox.get_nowait()
                if order is None:
                    self._mailbox.put(None)
                    return
                self._obey_guarded(order)

    def _obey_guarded(self, order: Order) -> None:
        try:
            self._obey(order)
        except Exception:  # one order fails, the next may not
            log.exception("voice failed", order=order)

    def _settle_guarded(self) -> float | None:
        try:
            return self._settle()
        except Exception:  # likewise
            log.exception("voice failed", while_="settling")
            return RETRY_S


class SilentSpeaker(Speaker):
    """Says why nothing is said, in its status."""

    def __init__(self, *, note: str = "") -> None:
        self._note = note
        self._muted = False

    @property
    def status(self) -> SpeakerStatus:
        """Return how it is doing now."""
        return SpeakerStatus(voice="none", device="", muted=self._muted, note=self._note)

    def mute(self, *, on: bool, time_s: float) -> None:  # noqa: ARG002 - the contract's parameter
        """Remember it, for the status."""
        self._muted = on
