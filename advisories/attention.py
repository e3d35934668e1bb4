"""Attention: who may speak. Advisories say what is true; this decides what stands and what is said.

Raised        the finding's amount stays at 1 or more for hold_s, in a phase in which the alert may be raised
Level         rises at once when the finding's level has been higher for the alert's hold_s, falls after clear_s
Cleared       the amount stays under 1 - margin for clear_s, or the phase no longer allows the alert
Said          when raised, when the level rises, and again every repeat_s of its level while it stands and does not
              get better: whoever is mending it is left in peace
Acknowledged  not said again, unless its level rises
Muted         nothing is said; alerts are still raised and cleared, so every screen shows them

All of it is data: `AttentionSettings`, filled from config/attention.toml. Time comes with the state.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from pydantic import BaseModel, ConfigDict, Field

from otherseat.advisories.latch import Latch
from otherseat.advisories.levels import Alert, Call, Change, Finding, Level
from otherseat.advisories.picture import Phase

BETTER = 0.9
"""An amount that has fallen to this part of what it was when last said is getting better."""


class Policy(BaseModel):
    """How one alert is treated."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    hold_s: float = Field(default=2.0, ge=0, le=120)
    clear_s: float = Field(default=2.0, ge=0, le=120)
    margin: float = Field(default=0.2, ge=0, lt=1)
    phases: frozenset[Phase] | None = None
    """Phases in which the alert may stand; None for all."""
    say_cleared: bool = False
    """Say the phrase `ALERT.cleared` when an alert that was spoken is mended."""
    repeat: bool = True
    """False: said once a level, never again."""


class Repeats(BaseModel):
    """Seconds between repeats, by level; None for never."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    warning_s: float | None = Field(default=5.0, gt=0)
    caution_s: float | None = Field(default=20.0, gt=0)
    advice_s: float | None = Field(default=None, gt=0)

    def after_s(self, level: Level) -> float | None:
        """Return the time until an alert of this level is said again."""
        return {Level.WARNING: self.warning_s, Level.CAUTION: self.caution_s}.get(level, self.advice_s)


class AttentionSettings(BaseModel):
    """The whole policy."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    repeats: Repeats = Repeats()
    advice_expires_s: float = Field(default=8.0, gt=0)
    """Advice that could not be said for so long is stale."""
    default: Policy = Policy()
    alerts: Mapping[str, Policy] = Field(default_factory=dict)

    def policy(self, alert: str) -> Policy:
        """Return the alert's own policy, or the default one."""
        return self.alerts.get(alert, self.default)


@dataclass(slots=True)
class _Watch:
    """The memory of one alert name."""

    policy: Policy
    latch: Latch
    rise: Latch
    fall: Latch
    finding: Finding | None = None
    standing: Alert | None = None
    said_s: float | None = None
    said_amount: float = 0.0
    repeats: int = 0
    count: int = 0


@dataclass(frozen=True, slots=True)
class Said:
    """What came of one step: changes of alerts, and what to say, most serious first."""

    alerts: tuple[Alert, ...] = ()
    calls: tuple[Call, ...] = ()


@dataclass(slots=True)
class Attention:
    """One aircraft's alerts over time."""

    aircraft: str
    settings: AttentionSettings
    muted: bool = False
    _watches: dict[str, _Watch] = field(default_factory=dict)

    def step(self, *, time_s: float, phase: Phase, findings: Iterable[Finding], watched: Collection[str]) -> Said:
        """Judge the findings of every alert in `watched`; one without a finding is not true now."""
        found = {finding.alert: finding for finding in findings}
        changes: list[Alert] = []
        calls: list[Call] = []
        for name in watched:
            watch = self._watches.get(name)
            if watch is None:
                if name not in found:
                    continue
                watch = self._watches[name] = self._new_watch(name)
            self._judge(watch, found.get(name), time_s=time_s, phase=phase, changes=changes, calls=calls)
        calls.sort(key=lambda call: -call.level)
        return Said(alerts=tuple(changes), calls=() if self.muted else tuple(calls))

    @property
    def standing(self) -> tuple[Alert, ...]:
        """Every alert that stands, most serious first."""
        alerts = [watch.standing for watch in self._watches.values() if watch.standing is not None]
        return tuple(sorted(alerts, key=lambda alert: (-alert.level, alert.raised_s)))

    def acknowledge(self, *, alert_id: str, time_s: float) -> Alert | None:
        """Quieten one alert; None when none of that id stands."""
        for watch in self._watches.values():
            alert = watch.standing
            if alert is not None and alert.id == alert_id:
                watch.standing = replace(alert, change=Change.ACKNOWLEDGED, acknowledged=True, time_s=time_s)
                return watch.standing
        return None

    def forget(self, *, time_s: float) -> tuple[Alert, ...]:
        """Clear everything without a word, as after a jump in time or place."""
        cleared = []
        for watch in self._watches.values():
            if watch.standing is not None:
                cleared.append(replace(watch.standing, change=Change.CLEARED, time_s=time_s))
            self._lower(watch)
            watch.latch.reset()
        return tuple(cleared)

    def _new_watch(self, name: str) -> _Watch:
        policy = self.settings.policy(name)
        return _Watch(
            policy=policy,
            latch=Latch(hold_s=policy.hold_s, clear_s=policy.clear_s, margin=policy.margin),
            rise=Latch(hold_s=policy.hold_s, clear_s=0.0, margin=0.0),
            fall=Latch(hold_s=policy.clear_s, clear_s=0.0, margin=0.0),
        )

    def _judge(
        self,
        watch: _Watch,
        finding: Finding | None,
        *,
        time_s: float,
        phase: Phase,
        changes: list[Alert],
        calls: list[Call],
    ) -> None:
        allowed = watch.policy.phases is None or phase in watch.policy.phases
        if allowed and finding is not None:
            watch.finding = finding
        elif not allowed:
            watch.latch.reset()
        amount = finding.amount if finding is not None and allowed else 0.0
        stands = allowed and watch.latch.step(time_s=time_s, amount=amount)
        if not stands:
            mended = allowed and finding is not None
            self._clear(watch, time_s=time_s, mended=mended, changes=changes, calls=calls)
        elif watch.standing is None:
            self._raise(watch, time_s=time_s, changes=changes, calls=calls)
        else:
            self._follow(watch, watch.standing, time_s=time_s, changes=changes, calls=calls)

    def _raise(self, watch: _Watch, *, time_s: float, changes: list[Alert], calls: list[Call]) -> None:
        finding = watch.finding
        if finding is None:
            return
        watch.count += 1
        watch.standing = Alert(
            id=f"{finding.alert}.{watch.count}",
            alert=finding.alert,
            aircraft=self.aircraft,
            change=Change.RAISED,
            level=finding.level,
            phrase=finding.phrase,
            values=finding.values,
            raised_s=time_s,
            time_s=time_s,
        )
        changes.append(watch.standing)
        self._say(watch, watch.standing, time_s=time_s, calls=calls)

    def _follow(self, watch: _Watch, alert: Alert, *, time_s: float, changes: list[Alert], calls: list[Call]) -> None:
        """Keep a standing alert true to its finding: level, numbers, repeats."""
        finding = watch.finding
        if finding is None:
            return
        risen = watch.rise.step(time_s=time_s, amount=float(finding.level > alert.level))
        fallen = watch.fall.step(time_s=time_s, amount=float(finding.level < alert.level))
        level = finding.level if risen or fallen else alert.level
        if level == alert.level:
            phrase = finding.phrase if finding.level == level else alert.phrase
            watch.standing = replace(alert, phrase=phrase, values=finding.values)
            self._repeat(watch, watch.standing, time_s=time_s, calls=calls)
            return
        watch.rise.reset()
        watch.fall.reset()
        higher = level > alert.level
        watch.standing = replace(
            alert,
            change=Change.CHANGED,
            level=level,
            phrase=finding.phrase,
            values=finding.values,
            time_s=time_s,
            acknowledged=alert.acknowledged and not higher,
            escalation=alert.escalation + higher,
        )
        changes.append(watch.standing)
        if higher:
            watch.repeats = 0
            self._say(watch, watch.standing, time_s=time_s, calls=calls)

    def _repeat(self, watch: _Watch, alert: Alert, *, time_s: float, calls: list[Call]) -> None:
        after_s = self.settings.repeats.after_s(alert.level)
        if after_s is None or alert.acknowledged or not watch.policy.repeat or watch.said_s is None:
            return
        if time_s - watch.said_s < after_s:
            return
        if watch.finding is not None and watch.finding.amount < BETTER * watch.said_amount:
            watch.said_s, watch.said_amount = time_s, watch.finding.amount
            return
        watch.repeats += 1
        self._say(watch, alert, time_s=time_s, calls=calls)

    def _say(self, watch: _Watch, alert: Alert, *, time_s: float, calls: list[Call]) -> None:
        watch.said_s = time_s
        watch.said_amount = 0.0 if watch.finding is None else watch.finding.amount
        expires_s = time_s + self.settings.advice_expires_s if alert.level <= Level.ADVICE else None
        calls.append(
            Call(
                time_s=time_s,
                aircraft=self.aircraft,
                level=alert.level,
                phrase=alert.phrase,
                values=alert.values,
                alert_id=alert.id,
                repeat=watch.repeats,
                expires_s=expires_s,
            )
        )

    def _clear(self, watch: _Watch, *, time_s: float, mended: bool, changes: list[Alert], calls: list[Call]) -> None:
        alert = watch.standing
        if alert is None:
            return
        changes.append(replace(alert, change=Change.CLEARED, time_s=time_s))
        if mended and watch.policy.say_cleared:
            calls.append(
                Call(
                    time_s=time_s,
                    aircraft=self.aircraft,
                    level=Level.CALL,
                    phrase=f"{alert.alert}.cleared",
                    values=alert.values,
                    expires_s=time_s + self.settings.advice_expires_s,
                )
            )
        self._lower(watch)

    def _lower(self, watch: _Watch) -> None:
        watch.standing = watch.finding = watch.said_s = None
        watch.repeats = 0
        watch.rise.reset()
        watch.fall.reset()
