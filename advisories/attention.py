"""Attention: who may speak. Advisories say what is true; this decides what stands and what is said.

Raised        the finding's amount stays at 1 or more for hold_s, in a phase in which the alert may be raised
Level         rises when the finding's level has been higher for the alert's rise_s, falls after clear_s
Cleared       the amount stays under 1 - margin for clear_s, or the phase no longer allows the alert
Wanted        to be said when raised, when the level rises, and again every repeat_s of its level while it stands and
              does not get better: whoever is mending it is left in peace. speaking.py decides what is said when
Routine call  a finding of level `call` is no alert: it is said once each time that it is raised, and never stands
Acknowledged  not said again, unless its level rises
Muted         nothing is said; alerts are still raised and cleared, so every screen shows them

All of it is data: `AttentionSettings`, filled from config/attention.toml. Time comes with the state.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from pydantic import BaseModel, ConfigDict, Field

from otherseat.advisories.latch import Latch
from otherseat.advisories.levels import Alert, Call, Change, Finding, Level, Values
from otherseat.advisories.picture import Phase
from otherseat.advisories.speaking import BY_LEVEL, Situation, Speaking, SpeakingSettings, Verbosity, Wish

BETTER = 0.9
"""An amount that has fallen to this part of what it was when last said is getting better."""


class Policy(BaseModel):
    """How one alert is treated."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    hold_s: float = Field(default=2.0, ge=0, le=120)
    rise_s: float | None = Field(default=None, ge=0, le=120)
    """For so long the level must be higher until an alert that stands rises to it; None for hold_s."""
    clear_s: float = Field(default=2.0, ge=0, le=120)
    margin: float = Field(default=0.2, ge=0, lt=1)
    phases: frozenset[Phase] | None = None
    """Phases in which the alert may stand; None for all."""
    say_cleared: bool = False
    """Say the phrase `ALERT.cleared` when an alert that was spoken is mended."""
    repeat: bool = True
    """False: said once a level, never again."""
    group: str | None = None
    """Alerts of one group that come together are said in one sentence."""
    verbosity: Verbosity | None = None
    """From which setting on it is heard; None for its level's."""


class Repeats(BaseModel):
    """Seconds between repeats, by level; None for never."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    warning_s: float | None = Field(default=5.0, gt=0)
    caution_s: float | None = Field(default=20.0, gt=0)
    advice_s: float | None = Field(default=None, gt=0)

    def after_s(self, level: Level) -> float | None:
        """Return the time until an alert of this level is said again."""
        return {Level.WARNING: self.warning_s, Level.CAUTION: self.caution_s}.get(level, self.advice_s)


class AttentionSettings(BaseModel):
    """The whole policy."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    repeats: Repeats = Repeats()
    advice_expires_s: float = Field(default=8.0, gt=0)
    """Advice that could not be said for so long is stale."""
    speaking: SpeakingSettings = SpeakingSettings()
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
    speaking: Speaking = field(init=False)
    _watches: dict[str, _Watch] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the second half."""
        self.speaking = Speaking(self.settings.speaking)

    def step(
        self, *, time_s: float, situation: Situation, findings: Iterable[Finding], watched: Collection[str]
    ) -> Said:
        """Judge the findings of every alert in `watched`; one without a finding is not true now."""
        phase = situation.phase
        found = {finding.alert: finding for finding in findings}
        changes: list[Alert] = []
        wishes: list[Wish] = []
        for name in watched:
            watch = self._watches.get(name)
            if watch is None:
                if name not in found:
                    continue
                watch = self._watches[name] = self._new_watch(name)
            self._judge(watch, found.get(name), time_s=time_s, phase=phase, changes=changes, wishes=wishes)
        if self.muted:
            self.speaking.forget()
            return Said(alerts=tuple(changes))
        calls = self.speaking.step(time_s=time_s, situation=situation, wishes=wishes, stands=self._stands)
        return Said(alerts=tuple(changes), calls=calls)

    def _stands(self, alert_id: str) -> bool:
        watch = self._watches.get(alert_id.rpartition(".")[0])
        return watch is not None and watch.standing is not None and watch.standing.id == alert_id

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
        self.speaking.forget()
        return tuple(cleared)

    def _new_watch(self, name: str) -> _Watch:
        policy = self.settings.policy(name)
        rise_s = policy.hold_s if policy.rise_s is None else policy.rise_s
        return _Watch(
            policy=policy,
            latch=Latch(hold_s=policy.hold_s, clear_s=policy.clear_s, margin=policy.margin),
            rise=Latch(hold_s=rise_s, clear_s=0.0, margin=0.0),
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
        wishes: list[Wish],
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
            self._clear(watch, time_s=time_s, mended=mended, changes=changes, wishes=wishes)
        elif watch.finding is not None and watch.finding.level is Level.CALL:
            self._announce(watch, watch.finding, time_s=time_s, wishes=wishes)
        elif watch.standing is None:
            self._raise(watch, time_s=time_s, changes=changes, wishes=wishes)
        else:
            self._follow(watch, watch.standing, time_s=time_s, changes=changes, wishes=wishes)

    def _announce(self, watch: _Watch, finding: Finding, *, time_s: float, wishes: list[Wish]) -> None:
        """Say a routine call once; it may come again after it has been gone."""
        if watch.said_s is None:
            watch.said_s = time_s
            wishes.append(
                self._wish(watch, name=finding.alert, call=self._routine(finding.phrase, finding.values, time_s))
            )

    def _routine(self, phrase: str, values: Values, time_s: float) -> Call:
        return Call(
            time_s=time_s,
            aircraft=self.aircraft,
            level=Level.CALL,
            phrase=phrase,
            values=values,
            expires_s=time_s + self.settings.advice_expires_s,
        )

    def _wish(self, watch: _Watch, *, name: str, call: Call) -> Wish:
        policy = watch.policy
        return Wish(call=call, name=name, group=policy.group, verbosity=policy.verbosity or BY_LEVEL[call.level])

    def _raise(self, watch: _Watch, *, time_s: float, changes: list[Alert], wishes: list[Wish]) -> None:
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
        self._say(watch, watch.standing, time_s=time_s, wishes=wishes)

    def _follow(self, watch: _Watch, alert: Alert, *, time_s: float, changes: list[Alert], wishes: list[Wish]) -> None:
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
            self._repeat(watch, watch.standing, time_s=time_s, wishes=wishes)
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
            self._say(watch, watch.standing, time_s=time_s, wishes=wishes)

    def _repeat(self, watch: _Watch, alert: Alert, *, time_s: float, wishes: list[Wish]) -> None:
        after_s = self.settings.repeats.after_s(alert.level)
        if after_s is None or alert.acknowledged or not watch.policy.repeat or watch.said_s is None:
            return
        if time_s - watch.said_s < after_s:
            return
        if watch.finding is not None and watch.finding.amount < BETTER * watch.said_amount:
            watch.said_s, watch.said_amount = time_s, watch.finding.amount
            return
        watch.repeats += 1
        self._say(watch, alert, time_s=time_s, wishes=wishes)

    def _say(self, watch: _Watch, alert: Alert, *, time_s: float, wishes: list[Wish]) -> None:
        watch.said_s = time_s
        watch.said_amount = 0.0 if watch.finding is None else watch.finding.amount
        expires_s = time_s + self.settings.advice_expires_s if alert.level <= Level.ADVICE else None
        call = Call(
            time_s=time_s,
            aircraft=self.aircraft,
            level=alert.level,
            phrase=alert.phrase,
            values=alert.values,
            alert_id=alert.id,
            repeat=watch.repeats,
            expires_s=expires_s,
        )
        wishes.append(self._wish(watch, name=alert.alert, call=call))

    def _clear(self, watch: _Watch, *, time_s: float, mended: bool, changes: list[Alert], wishes: list[Wish]) -> None:
        alert = watch.standing
        if alert is None:
            watch.said_s = watch.finding = None
            return
        changes.append(replace(alert, change=Change.CLEARED, time_s=time_s))
        if mended and watch.policy.say_cleared:
            call = self._routine(f"{alert.alert}.cleared", alert.values, time_s)
            wishes.append(self._wish(watch, name=call.phrase, call=call))
        self._lower(watch)

    def _lower(self, watch: _Watch) -> None:
        watch.standing = watch.finding = watch.said_s = None
        watch.repeats = 0
        watch.rise.reset()
        watch.fall.reset()
