"""Follow: what one subscriber makes of the frames that reach it. No socket and no clock in here.

Doubles    a frame whose seq is not above the last of its session and topic is dropped
Gaps       counted in `lost`; where the newest frame alone does not make up for it, `behind` asks for a snapshot
Alerts     are put right from the standing messages: one that was missed is made up, one that no longer stands is
           cleared; such messages have seq 0
Past       who wants it is told of the last calls from before it came, marked so; for who does not, nothing happened
Sessions   daemons behind one relay, or one after the other, are told apart by the session in every frame
"""

from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import replace

from otherseat.daemon.messages import (
    AlertMessage,
    Kind,
    Message,
    MessageError,
    StandingMessage,
    cleared,
    decode,
    topic_of,
)

EVENTS = frozenset({Kind.ALERT, Kind.CALL})
"""What happened, as against how things are: a snapshot tells of these only how far their sequence has come."""
REPLACED = frozenset({Kind.STATE, Kind.PICTURE, Kind.STANDING, Kind.HEALTH})
"""Kinds whose next message makes up for a lost one."""
SESSIONS = 20_000
"""Sessions remembered: the seats of a large event."""


class Follower:
    """The memory of one subscription."""

    def __init__(self, kinds: Iterable[Kind | str] = (), *, aircraft: str | None = None, past: bool = False) -> None:
        self.wanted = frozenset(Kind(kind) for kind in kinds) or frozenset(Kind)
        self.aircraft = aircraft
        self.past = past and Kind.CALL in self.wanted
        self._seqs: OrderedDict[str, dict[str, int]] = OrderedDict()
        self._alerts: dict[tuple[str, str], dict[str, AlertMessage]] = {}
        self.behind = True
        """A snapshot would help."""
        self.lost = 0
        """Messages that never came."""
        self.unread = 0
        """Frames that are no message of ours."""

    @property
    def topics(self) -> tuple[bytes, ...]:
        """What to subscribe to: prefixes, as ZeroMQ compares them. Health always, as the heartbeat."""
        kinds = self.wanted | {Kind.HEALTH} | ({Kind.STANDING} if Kind.ALERT in self.wanted else set())
        return tuple(
            topic_of(kind, None if kind is Kind.HEALTH else self.aircraft or "") for kind in Kind if kind in kinds
        )

    def take(self, topic: bytes, packed: bytes) -> list[Message]:
        """Return what a display should be told after one frame of the feed."""
        message = self._read(topic, packed)
        if message is None or not self._advance(message):
            return []
        return self._put_right(message)

    def take_snapshot(
        self, *, session: str, frames: Iterable[tuple[str, bytes]], said: Iterable[tuple[str, bytes]] = ()
    ) -> list[Message]:
        """Return what a display should be told after the snapshot of the one daemon that it listens to."""
        told = self._clear_others(session)
        for topic, packed in said if self.past else ():
            call = self._read(topic.encode(), packed)
            if call is not None and self._advance(call):
                told.append(replace(call, past=True))
        for topic, packed in frames:
            message = self._read(topic.encode(), packed)
            if message is not None and self._advance(message) and message.kind not in EVENTS:
                told += self._put_right(message)
        self.behind = False
        return told

    def _read(self, topic: bytes, packed: bytes) -> Message | None:
        try:
            message = decode(topic, packed)
        except MessageError:
            self.unread += 1
            return None
        meant = message.kind is Kind.HEALTH or self.aircraft in {None, message.aircraft}
        return message if meant else None

    def _advance(self, message: Message) -> bool:
        """Note the message's place in its sequence, and say whether it is a new one."""
        seqs = self._session(message.session)
        last = seqs.get(message.topic)
        if last is not None and message.seq <= last:
            return False
        if last is not None and message.seq > last + 1:
            self.lost += message.seq - last - 1
            self.behind = self.behind or message.kind not in REPLACED
        seqs[message.topic] = message.seq
        return True

    def _session(self, session: str) -> dict[str, int]:
        if session not in self._seqs:
            self.behind = True
            self._seqs[session] = {}
            if len(self._seqs) > SESSIONS:
                self._seqs.popitem(last=False)
        self._seqs.move_to_end(session)
        return self._seqs[session]

    def _put_right(self, message: Message) -> list[Message]:
        if message.kind is Kind.ALERT:
            self._note(message, message.body)
        told = self._reconcile(message, message.body) if message.kind is Kind.STANDING else []
        if message.kind is Kind.STANDING and message.body.retired:
            self._forget(message)
        return [*told, message] if message.kind in self.wanted else told

    def _note(self, message: Message, alert: AlertMessage) -> None:
        known = self._alerts.setdefault((message.session, alert.aircraft), {})
        if alert.change is alert.change.CLEARED:
            known.pop(alert.id, None)
        else:
            known[alert.id] = alert

    def _reconcile(self, message: Message, standing: StandingMessage) -> list[Message]:
        """Return the alert messages that lead from what was known to what stands."""
        if Kind.ALERT not in self.wanted:
            return []
        key = (message.session, standing.aircraft)
        known = self._alerts.pop(key, {})
        stand = {alert.id: alert for alert in standing.alerts}
        if stand:
            self._alerts[key] = stand
        gone = [cleared(alert, time_s=message.time_s) for name, alert in known.items() if name not in stand]
        news = [alert for name, alert in stand.items() if name not in known or _changed(known[name]) != _changed(alert)]
        return [_made_up(message, alert) for alert in gone + news]

    def _forget(self, message: Message) -> None:
        """Forget where the sequences of an aircraft were that its daemon has let go: they go on somewhere higher."""
        for kind in Kind:
            self._seqs[message.session].pop(topic_of(kind, message.aircraft).decode(), None)

    def _clear_others(self, session: str) -> list[Message]:
        """Return the clearing of every alert of daemons that are no more."""
        told: list[Message] = []
        for key in [key for key in self._alerts if key[0] != session]:
            for alert in self._alerts.pop(key).values():
                gone = Message(Kind.ALERT, alert.aircraft, key[0], 0, alert.time_s, alert)
                told.append(_made_up(gone, cleared(alert, time_s=alert.time_s)))
        return told


def _changed(alert: AlertMessage) -> tuple[object, ...]:
    """Return what tells one change of an alert from the next; its numbers go on between changes."""
    return alert.change, alert.level, alert.acknowledged, alert.escalation, alert.time_s


def _made_up(message: Message, alert: AlertMessage) -> Message:
    return replace(message, kind=Kind.ALERT, aircraft=alert.aircraft, seq=0, body=alert)


def newest_of(messages: Iterable[Message]) -> list[Message]:
    """Return the newest state and picture of each topic, and everything of the other kinds, in order."""
    kept: dict[object, Message] = {}
    for number, message in enumerate(messages):
        fleeting = message.kind in {Kind.STATE, Kind.PICTURE}
        key: object = (message.session, message.topic) if fleeting else number
        kept.pop(key, None)
        kept[key] = message
    return list(kept.values())
