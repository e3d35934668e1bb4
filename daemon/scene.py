"""Scene: everything that a screen knows, gathered from the bus alone. Nothing is drawn in here.

A screen says how old its data is, by its own clock: when a daemon was heard, and of each aircraft how old its
numbers are.
"""

from collections import deque
from dataclasses import dataclass, field

from otherseat.advisories.levels import Change, Level
from otherseat.advisories.picture import Picture
from otherseat.daemon.age import Age
from otherseat.daemon.final_approach import without_far_runway
from otherseat.daemon.messages import (
    AlertMessage,
    CallMessage,
    HealthMessage,
    Kind,
    Message,
    PlanMessage,
    StandingMessage,
)

OLD_S = 1.0
"""Older data is marked with its age: nobody should fly by it."""
MISSING_S = 3.0
"""A daemon that was not heard for so long is missing: it has a heartbeat every second."""
FORGET_S = 600.0
"""A missing daemon is kept on the board so long."""
CALLS = 5

KINDS = (Kind.PICTURE, Kind.ALERT, Kind.CALL, Kind.PLAN, Kind.STANDING, Kind.HEALTH)
"""What a screen subscribes to."""


@dataclass(slots=True)
class Seat:
    """One aircraft as its daemon tells of it."""

    session: str
    aircraft: str
    heard_s: float
    picture: Picture | None = None
    age: Age = field(default_factory=Age)
    """Of the picture; not of what was heard last, which may say that nothing comes any more."""
    plan: PlanMessage | None = None
    standing: StandingMessage | None = None
    alerts: dict[str, AlertMessage] = field(default_factory=dict)
    calls: deque[CallMessage] = field(default_factory=lambda: deque(maxlen=CALLS))

    @property
    def ranked(self) -> list[AlertMessage]:
        """The alerts that stand, the most serious first, then the newest."""
        return sorted(self.alerts.values(), key=lambda alert: (-alert.level, alert.acknowledged, -alert.raised_s))

    @property
    def silent(self) -> bool:
        """Whether the daemon hears nothing of this aircraft."""
        return self.standing is not None and self.standing.silent


@dataclass(slots=True)
class Daemon:
    """One daemon and when it was heard."""

    health: HealthMessage
    heard_s: float


class Scene:
    """All seats and daemons that were heard."""

    def __init__(self, *, past: bool = True) -> None:
        self.past = past
        """Whether it is told what was said before it was there."""
        self.seats: dict[tuple[str, str], Seat] = {}
        self.daemons: dict[str, Daemon] = {}

    def take(self, message: Message, *, now_s: float) -> None:
        """Take in one message, heard now."""
        if message.kind is Kind.HEALTH:
            self._take_health(message, now_s)
        elif message.aircraft is not None:
            self._take_seat(message, message.aircraft, now_s)

    def is_missing(self, session: str, *, now_s: float) -> bool:
        """Say whether a daemon that was there is not heard any more."""
        daemon = self.daemons.get(session)
        return daemon is not None and now_s - daemon.heard_s > MISSING_S

    def name_of(self, session: str) -> str:
        """Return a daemon's own name, or its session while it has not told."""
        daemon = self.daemons.get(session)
        return session if daemon is None else daemon.health.seat

    def forget(self, *, now_s: float) -> None:
        """Let go of daemons that have been missing for long."""
        for session, daemon in list(self.daemons.items()):
            if now_s - daemon.heard_s > FORGET_S:
                self._drop(session)

    def _take_health(self, message: Message, now_s: float) -> None:
        health: HealthMessage = message.body
        if message.session not in self.daemons:
            # A daemon of the same name that is not heard any more was this one, before it was started again.
            for session, other in list(self.daemons.items()):
                if other.health.seat == health.seat and now_s - other.heard_s > 2 * OLD_S:
                    self._drop(session)
        self.daemons[message.session] = Daemon(health, now_s)

    def _drop(self, session: str) -> None:
        del self.daemons[session]
        for key in [key for key in self.seats if key[0] == session]:
            del self.seats[key]

    def _take_seat(self, message: Message, aircraft: str, now_s: float) -> None:
        key = (message.session, aircraft)
        if message.kind is Kind.STANDING and message.body.retired:
            self.seats.pop(key, None)
            return
        seat = self.seats.setdefault(key, Seat(message.session, aircraft, now_s))
        seat.heard_s = now_s
        seat.age.take(message, now_s=now_s)
        if message.kind is Kind.PICTURE:
            seat.picture = without_far_runway(message.body)
        elif message.kind is Kind.PLAN:
            seat.plan = message.body
        elif message.kind is Kind.STANDING:
            seat.standing = message.body
            seat.alerts.update((alert.id, alert) for alert in message.body.alerts if alert.id in seat.alerts)
        elif message.kind is Kind.CALL:
            seat.calls.append(message.body)
        elif message.kind is Kind.ALERT:
            _take_alert(seat, message.body)


def _take_alert(seat: Seat, alert: AlertMessage) -> None:
    if alert.change is Change.CLEARED:
        seat.alerts.pop(alert.id, None)
    else:
        seat.alerts[alert.id] = alert


def seriousness(scene: Scene, seat: Seat, *, now_s: float) -> tuple[float, int]:
    """Return how much a seat needs looking at: warnings, then blindness, then cautions, then the rest."""
    open_levels = [alert.level for alert in seat.alerts.values() if not alert.acknowledged]
    worst = float(max(open_levels, default=Level.CALL))
    if worst < Level.WARNING and (seat.silent or scene.is_missing(seat.session, now_s=now_s)):
        worst = Level.CAUTION + 0.5
    return worst, len(open_levels)
