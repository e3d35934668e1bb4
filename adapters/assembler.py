"""The assembler: partial messages into whole States, one aircraft at a time.

Age      every field carries the time at which it came; one older than stale_s is None in the next State.
Tick     a State leaves on every message that brings a latitude; while an aircraft has no fresh position it leaves
         on every message, so that a stream without positions still says what it knows. A time alone makes none.
Time     the simulator's own while it sends one, else the time of receipt (adapters/clock.py). A message that comes
         late is dropped and counted; after a jump all that was remembered is forgotten.
Bounds   through State.accept's own check; a refused field leaves the others alone and is counted by its name, but for
         NaN: that is how a float says that nothing is told.
Derived  vertical speed, groundspeed and track from the positions, when the source sends none; `computed` names them.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from otherseat.adapters.clock import JUMP, LATE, SourceClock
from otherseat.adapters.derive import Derived
from otherseat.advisories.state import BOUNDS, DIRECTION_DEG, OWN, Fields, State, Value, within_bounds

STALE_S = 2.0
MAX_AIRCRAFT = 1_000
"""A stream that names a new aircraft in every datagram must not fill the memory, nor push the others out of it."""
FORGET_S = 60.0
"""Where there are that many, one that was not heard for so long makes room for a new one."""

LATEST_S = BOUNDS["time_s"][1]
DIRECTIONS = tuple(name for name, bounds in BOUNDS.items() if bounds == DIRECTION_DEG)


class Track:
    """What is remembered of one aircraft."""

    def __init__(self, *, aircraft: str, stale_s: float) -> None:
        self.aircraft = aircraft
        self.received_s = 0.0
        self._stale_s = stale_s
        self.clock = SourceClock(stale_s=stale_s)
        self.derived = Derived()
        self._values: Fields = {}
        self._came_s: dict[str, float] = {}
        self.computed: frozenset[str] = frozenset()

    def forget(self) -> None:
        """Forget everything but the clock."""
        self._values.clear()
        self._came_s.clear()
        self.derived = Derived()

    def remember(self, values: Mapping[str, Value], now_s: float) -> None:
        """Keep the values of one message with the time at which they came."""
        self._values.update(values)
        self._came_s.update(dict.fromkeys(values, now_s))

    def fresh(self, now_s: float) -> Fields:
        """Return the values that are not too old, and forget the others."""
        if self._came_s and now_s - min(self._came_s.values()) > self._stale_s:
            for name in [name for name, came_s in self._came_s.items() if now_s - came_s > self._stale_s]:
                del self._values[name], self._came_s[name]
        return self._values.copy()


class Assembler:
    """Partial messages in, whole States out. Takes times as data and keeps no other memory than the last values."""

    def __init__(self, *, stale_s: float = STALE_S, aircraft: str = OWN) -> None:
        self._stale_s = stale_s
        self._aircraft = aircraft
        self._tracks: dict[str, Track] = {}
        self.refused_fields: Counter[str] = Counter()
        self.late = 0
        self.jumps = 0
        self.too_many_aircraft = 0
        """How often a new aircraft found no room."""

    def computed(self, aircraft: str = OWN) -> frozenset[str]:
        """Return the fields of the aircraft's newest State that were worked out here and not sent."""
        track = self._tracks.get(aircraft)
        return track.computed if track else frozenset()

    def take(self, messages: Sequence[Fields], *, received_s: float) -> list[State]:
        """Return the States that these messages complete; received_s is the time of receipt, in seconds."""
        return [state for message in messages if (state := self._one(message, received_s)) is not None]

    def _one(self, message: Fields, received_s: float) -> State | None:
        """Take one message; return a State when it calls for one."""
        values, refused = within_bounds(message)
        if refused:
            self.refused_fields.update(name for name in refused if message[name] == message[name])  # NaN is not itself
        track = self._track(str(values.pop("aircraft", self._aircraft)), received_s)
        sent_s = values.pop("time_s", None)
        if track is None or not (values or sent_s is not None):
            return None
        step = track.clock.step(sent_s=None if sent_s is None else float(sent_s), received_s=received_s)
        if step is LATE:
            self.late += 1
            return None
        if step is JUMP:
            self.jumps += 1
            track.forget()
        return self._merge(track, normal(values))

    def _merge(self, track: Track, values: Fields) -> State | None:
        """Remember the values and return a State when the tick rule says so."""
        now_s = track.clock.now_s
        if now_s is None:
            return None
        if abs(now_s) > LATEST_S:  # with all the turns of its counter added up
            self.refused_fields["time_s"] += 1
            return None
        track.remember(values, now_s)
        fresh = track.fresh(now_s)
        if not fresh or ("latitude_deg" not in values and "latitude_deg" in fresh):
            return None
        extra = track.derived.step(time_s=now_s, fresh=fresh)
        track.computed = frozenset(extra)
        fresh["aircraft"], fresh["time_s"] = track.aircraft, now_s
        if not extra:
            return State.of_checked(fresh)
        worked_out, refused = within_bounds(extra)
        self.refused_fields.update(refused)
        return State.of_checked({**fresh, **worked_out}, computed=tuple(sorted(extra)))

    def _track(self, aircraft: str, received_s: float) -> Track | None:
        """Return the aircraft's memory, None when there are too many; they stand in the order last heard."""
        track = self._tracks.pop(aircraft, None)
        if track is None:
            if len(self._tracks) >= MAX_AIRCRAFT and not self._make_room(received_s):
                self.too_many_aircraft += 1
                return None
            track = Track(aircraft=aircraft, stale_s=self._stale_s)
        track.received_s = received_s
        self._tracks[aircraft] = track
        return track

    def _make_room(self, received_s: float) -> bool:
        """Forget the aircraft longest unheard, if that is long enough, and say whether there is room."""
        oldest = next(iter(self._tracks.values()))
        if received_s - oldest.received_s < FORGET_S:
            return False
        del self._tracks[oldest.aircraft]
        return True


def normal(values: Fields) -> Fields:
    """Return the values with directions in [0, 360) and longitude in [-180, 180)."""
    for name in DIRECTIONS:
        if name in values:
            values[name] = float(values[name]) % 360.0
    if "longitude_deg" in values:
        values["longitude_deg"] = (float(values["longitude_deg"]) + 180.0) % 360.0 - 180.0
    return values
