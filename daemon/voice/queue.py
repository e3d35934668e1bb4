"""What is said next: one voice at a time, the most serious first, nothing that is no longer true.

Order      warning, caution, advice, call; within a level, first come first said
Interrupt  a warning cuts anything below it; a cut caution comes again if it still stands, advice and calls do not
Newest     an alert has one sentence waiting: a newer one takes the place of the older
Expiry     a sentence that may no longer start (start_by_s) is dropped; so is every one of an alert that cleared
Bound      at most 16 wait; the least serious, then the oldest, gives way
Time       any clock, as long as it is one: state time for a file, the monotonic clock for a device
"""

from dataclasses import dataclass, field

from otherseat.advisories.levels import Level

ROOM = 16
PATIENCE_S = {Level.CALL: 3.0, Level.ADVICE: 8.0}
"""How long a sentence may wait when its call does not say; cautions and warnings wait while they stand."""
LONE_PATIENCE_S = 10.0
"""The same for a caution or warning that belongs to no alert, so that nobody can take it back."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """One sentence that wants to be said."""

    speech: str
    level: Level
    alert_id: str | None
    start_by_s: float | None
    louder: int = 0
    """How many times the same warning has been said in vain."""


def start_by_s(*, level: Level, alert_id: str | None, now_s: float, expires_s: float | None) -> float | None:
    """Return the latest moment at which a sentence may start; None while its alert stands."""
    if expires_s is not None:
        return expires_s
    patience_s = PATIENCE_S.get(level, None if alert_id is not None else LONE_PATIENCE_S)
    return None if patience_s is None else now_s + patience_s


@dataclass(slots=True)
class SpeechQueue:
    """Who is speaking and who waits. Used from one thread."""

    current: Utterance | None = None
    muted: bool = False
    given_up: int = 0
    """Sentences that were never begun: expired, cleared, crowded out, or muted."""
    _waiting: list[Utterance] = field(default_factory=list)

    def __len__(self) -> int:
        """Return how many wait."""
        return len(self._waiting)

    @property
    def quiet(self) -> bool:
        """Say whether nothing is being said and nothing waits."""
        return self.current is None and not self._waiting

    def add(self, utterance: Utterance) -> bool:
        """Take a sentence in; return whether it cuts the one that is being said."""
        if self.muted:
            self.given_up += 1
            return False
        if utterance.alert_id is not None:
            self._forget(utterance.alert_id)
        self._waiting.append(utterance)
        if len(self._waiting) > ROOM:
            least = min(self._waiting, key=lambda waiting: waiting.level)
            self._waiting.remove(least)
            self.given_up += 1
        return self._cuts(utterance)

    def _cuts(self, utterance: Utterance) -> bool:
        return self.current is not None and utterance.level is Level.WARNING and self.current.level < Level.WARNING

    def cut(self) -> None:
        """End the current sentence for a warning: a caution waits to come again."""
        cut, self.current = self.current, None
        if cut is not None and cut.level is Level.CAUTION and all(w.alert_id != cut.alert_id for w in self._waiting):
            self._waiting.insert(0, cut)

    def again(self) -> None:
        """Put the current sentence back to the front: its device was lost."""
        if self.current is not None:
            self._waiting.insert(0, self.current)
        self.current = None

    def drop(self, alert_id: str) -> bool:
        """Take back an alert's sentences; return whether one of them was being said."""
        self._forget(alert_id)
        if self.current is None or self.current.alert_id != alert_id:
            return False
        self.current = None
        return True

    def _forget(self, alert_id: str) -> None:
        before = len(self._waiting)
        self._waiting = [w for w in self._waiting if w.alert_id != alert_id]
        self.given_up += before - len(self._waiting)

    def mute(self, *, on: bool) -> bool:
        """Quieten or give the voice back; return whether a sentence was cut."""
        self.muted = on
        if not on:
            return False
        self.given_up += len(self._waiting)
        self._waiting.clear()
        cut, self.current = self.current is not None, None
        return cut

    def next(self, *, now_s: float) -> Utterance | None:
        """Give the word to the next sentence that may still start, or to nobody."""
        fresh = [w for w in self._waiting if w.start_by_s is None or now_s <= w.start_by_s]
        self.given_up += len(self._waiting) - len(fresh)
        self.current = max(fresh, key=lambda waiting: waiting.level, default=None)
        if self.current is not None:
            fresh.remove(self.current)
        self._waiting = fresh
        return self.current

    def done(self) -> None:
        """Take the word back at a sentence's end."""
        self.current = None
