"""Log: the calls of a flight, one line each, the newest last."""

from collections import OrderedDict
from dataclasses import dataclass
from typing import Any

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.messages import AlertMessage, CallMessage

LINES = 120

Key = tuple[str, str, str]
"""Session of the daemon, alert or call, level."""


@dataclass(slots=True)
class Line:
    """One thing that was said, or stood."""

    time_s: float
    level: Level
    text: str
    said: int = 0
    over_s: float | None = None
    acknowledged: bool = False


class Log:
    """The latest lines. An alert has a new line for every level that it reaches."""

    def __init__(self) -> None:
        self._lines: OrderedDict[Key, Line] = OrderedDict()

    def note(self, alert: AlertMessage, *, session: str) -> None:
        """Take in a change of an alert of one run of the daemon."""
        key = (session, alert.id, alert.level.word)
        line = self._lines.get(key)
        if line is not None and alert.change is not Change.CLEARED:
            line.acknowledged = alert.acknowledged
            return
        self._close(session=session, alert_id=alert.id, time_s=alert.time_s)
        if alert.change is not Change.CLEARED:
            self._add(key, Line(time_s=alert.time_s, level=alert.level, text=alert.text))

    def hear(self, call: CallMessage, *, session: str) -> None:
        """Take in something that is being said; a routine call has a line of its own."""
        key = (session, call.alert_id or f"{call.time_s} {call.text}", call.level.word)
        line = self._lines.get(key)
        if line is None:
            line = Line(time_s=call.time_s, level=call.level, text=call.text)
            self._add(key, line)
        line.said += 1

    def entries(self) -> list[dict[str, Any]]:
        """Return the lines as the page gets them."""
        return [
            {
                "time_s": line.time_s,
                "level": line.level.word,
                "text": line.text,
                "said": line.said,
                "over_s": line.over_s,
                "acknowledged": line.acknowledged,
            }
            for line in self._lines.values()
        ]

    def _close(self, *, session: str, alert_id: str, time_s: float) -> None:
        for key, line in self._lines.items():
            if key[:2] == (session, alert_id) and line.over_s is None:
                line.over_s = time_s

    def _add(self, key: Key, line: Line) -> None:
        self._lines[key] = line
        if len(self._lines) > LINES:
            self._lines.popitem(last=False)
