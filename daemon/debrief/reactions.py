"""Reactions: how long after each alert the pilot began to mend it, and how and when it ended.

Begins to mend   glidepath high: sinks SINK_CHANGE_FPM faster than when it was raised; low: that much slower
                 runway, airfield or destination in the air: the track has changed by TURN_DEG
                 before take-off: was rolling, and stands or has lost a tenth of the speed
                 anything else has no such sign: only acknowledged and ended are told
Mends already    glidepath: sinks that much faster, or slower, than holds the path when it is raised: began at 0 s
Ended            the alert cleared: mended, or out of sight, as by turning away, by landing, by a jump
Mended           it was told then that all is right again, which is not said of what is out of sight. Whatever nobody
                 told, such as to a pilot who had muted it, has ended and no more
Left out         the silence with which the recording ends: the simulator was ended, and there was nothing to mend
These signs are common practice, no source; the flight's own numbers are beside them on the page.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from otherseat.advisories.engine import SILENCE
from otherseat.advisories.levels import Change
from otherseat.daemon.debrief.track import Track
from otherseat.daemon.messages import AlertMessage, CallMessage

SINK_CHANGE_FPM = 150.0
TURN_DEG = 8.0
STOPPED_KT = 1.0
SLOWER = 0.9
TOLD_WITHIN_S = 10.0
"""Longer than a call may wait for its turn (config/attention.toml: advice_expires_s)."""

Sign = Callable[[Track, int, int], bool]
"""Whether the pilot has begun to mend at a row, given the row at which the alert was raised."""


@dataclass(frozen=True, slots=True)
class Reaction:
    """One alert from raised to ended. Times after it was raised; None when it never happened."""

    id: str
    alert: str
    level: str
    """The most serious that it rose to."""
    first_level: str
    """As it was raised."""
    text: str
    """As it was raised."""
    last_text: str
    """As it was in the end, if by then other words stood there, and not only other numbers; else nothing."""
    raised_s: float
    began_s: float | None
    acknowledged_s: float | None
    ended_s: float | None
    mended: bool
    """Whether it was seen to be right again as it ended."""
    has_sign: bool


def reactions(*, alerts: Iterable[AlertMessage], track: Track, calls: Iterable[CallMessage] = ()) -> list[Reaction]:
    """Return the reaction to every alert that was raised, in order."""
    by_id: dict[tuple[str, float], list[AlertMessage]] = {}
    for alert in alerts:
        by_id.setdefault((alert.id, alert.raised_s), []).append(alert)
    told = Told(by_id.values(), calls=calls)
    return [
        _reaction(changes, track=track, mended=told.mended(changes))
        for changes in by_id.values()
        if not _ends_with(changes, track=track)
    ]


class Told:
    """When it was told of an alert that all is right again."""

    def __init__(self, alerts: Iterable[list[AlertMessage]], *, calls: Iterable[CallMessage]) -> None:
        self._raised = [(changes[0].alert, changes[0].raised_s) for changes in alerts]
        self._told = [(phrase, call.time_s) for call in calls for phrase in _phrases(call)]

    def mended(self, changes: list[AlertMessage]) -> bool:
        """Say whether it was told between the end of an alert and the next of its name."""
        ended = next((change for change in changes if change.change is Change.CLEARED), None)
        if ended is None:
            return False
        next_s = [raised_s for name, raised_s in self._raised if name == ended.alert and raised_s > ended.time_s]
        until_s = min([ended.time_s + TOLD_WITHIN_S, *next_s])
        told = f"{ended.alert}.cleared"
        return any(phrase == told and ended.time_s <= time_s < until_s for phrase, time_s in self._told)


def _phrases(call: CallMessage) -> tuple[str, ...]:
    return call.phrase, *(part.phrase for part in call.also)


def last_silence_s(*, alerts: Iterable[AlertMessage], track: Track) -> float | None:
    """Return when the silence was told with which the recording ends, or None when it ends otherwise."""
    silences = [alert for alert in alerts if alert.alert == SILENCE]
    last = [alert for alert in silences if alert.raised_s == silences[-1].raised_s]
    return last[0].raised_s if last and _ends_with(last, track=track) else None


def _ends_with(changes: list[AlertMessage], *, track: Track) -> bool:
    """Say whether this is a silence after which nothing came any more."""
    raised = changes[0]
    heard_again = _after(changes, Change.CLEARED) is not None
    return raised.alert == SILENCE and not heard_again and raised.raised_s > float(track["time_s"][-1])


def _reaction(changes: list[AlertMessage], *, track: Track, mended: bool) -> Reaction:
    raised, last = changes[0], changes[-1]
    cleared_s = _after(changes, Change.CLEARED)
    worst = max(changes, key=lambda change: change.level)
    sign = SIGNS.get(raised.alert)
    began_s = None if sign is None else _began_s(track, raised.raised_s, until_s=cleared_s, sign=sign)
    return Reaction(
        id=raised.id,
        alert=raised.alert,
        level=worst.level.word,
        first_level=raised.level.word,
        text=raised.text or raised.phrase,
        last_text="" if last.phrase == raised.phrase else last.text or last.phrase,
        raised_s=raised.raised_s,
        began_s=0.0 if _mends_already(raised, track=track) else began_s,
        acknowledged_s=_after(changes, Change.ACKNOWLEDGED),
        ended_s=cleared_s,
        mended=mended,
        has_sign=sign is not None,
    )


def _mends_already(raised: AlertMessage, *, track: Track) -> bool:
    hold_fpm = raised.values.get("sink_to_hold_fpm")
    row = int(np.searchsorted(track["time_s"], raised.raised_s))
    if not isinstance(hold_fpm, float) or row >= len(track):
        return False
    faster_fpm = -float(track["vertical_speed_fpm"][row]) - hold_fpm
    if raised.alert == "glidepath-high":
        return faster_fpm >= SINK_CHANGE_FPM
    return raised.alert == "glidepath-low" and faster_fpm <= -SINK_CHANGE_FPM


def _after(changes: list[AlertMessage], change: Change) -> float | None:
    return next((one.time_s - one.raised_s for one in changes if one.change is change), None)


def _began_s(track: Track, raised_s: float, *, until_s: float | None, sign: Sign) -> float | None:
    time_s = track["time_s"]
    end_s = time_s[-1] if until_s is None else raised_s + until_s
    rows = np.flatnonzero((time_s >= raised_s) & (time_s <= end_s))
    for row in rows[1:]:
        if sign(track, int(rows[0]), int(row)):
            return float(time_s[row] - raised_s)
    return None


def _sinks_faster(track: Track, raised: int, row: int) -> bool:
    return bool(track["vertical_speed_fpm"][row] <= track["vertical_speed_fpm"][raised] - SINK_CHANGE_FPM)


def _sinks_slower(track: Track, raised: int, row: int) -> bool:
    return bool(track["vertical_speed_fpm"][row] >= track["vertical_speed_fpm"][raised] + SINK_CHANGE_FPM)


def _turns(track: Track, raised: int, row: int) -> bool:
    changed = (track["track_true_deg"][row] - track["track_true_deg"][raised] + 180.0) % 360.0 - 180.0
    return bool(abs(changed) >= TURN_DEG)


def _slows(track: Track, raised: int, row: int) -> bool:
    before_kt, now_kt = track["groundspeed_kt"][raised], track["groundspeed_kt"][row]
    return bool(before_kt >= STOPPED_KT and now_kt <= max(SLOWER * before_kt, STOPPED_KT))


SIGNS: dict[str, Sign] = {
    "glidepath-high": _sinks_faster,
    "glidepath-low": _sinks_slower,
    "wrong-runway-arrival": _turns,
    "wrong-airfield": _turns,
    "destination-passed": _turns,
    "fix-passed": _turns,
    "wrong-runway-departure": _slows,
    "wrong-end-departure": _slows,
    "not-a-runway": _slows,
}
