"""Seat: one aircraft at work in the daemon. Puts words to what the engine finds, and hands it to bus and voice."""

import math
from dataclasses import dataclass
from typing import Protocol

import structlog

from otherseat.advisories.engine import Engine, Fault, Outcome
from otherseat.advisories.levels import Alert, Call, Change, Level, Values
from otherseat.advisories.picture import Picture
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.speaking import Verbosity
from otherseat.advisories.state import State
from otherseat.daemon.answers import answer_of, why_not
from otherseat.daemon.feed import Feed
from otherseat.daemon.hook import Hook
from otherseat.daemon.logbook import Logbook
from otherseat.daemon.messages import AlertMessage, Kind, PlanMessage, StandingMessage, alert_message, call_message
from otherseat.daemon.muddle import Muddle
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.teaching import rule_values
from otherseat.daemon.voice.speaker import Speaker

log = structlog.get_logger(__name__)

SAFETY = "safety"
PLAN_RESTORED = "plan-restored"
TWO_UNDER_ONE_NAME = "two-under-one-name"


class Listener(Protocol):
    """Whoever wants to know what was said, such as the lines that `fly` prints."""

    def said(self, call: Call, text: str) -> None:
        """Take one call with its text."""
        ...


@dataclass(frozen=True, slots=True)
class Outlets:
    """Where a seat's words go. speaker is None for an aircraft that has no voice."""

    feed: Feed
    phrasebook: Phrasebook
    speaker: Speaker | None
    listener: Listener | None = None
    logbook: Logbook | None = None
    hook: Hook | None = None
    teach: bool = False
    """Give the rule of thumb with the calls that have one."""


class Seat:
    """One aircraft: its engine, and when it was last heard."""

    def __init__(self, *, engine: Engine, outlets: Outlets, pictures_per_s: float, plan_restored: bool = False) -> None:
        """plan_restored: nobody gave the engine's plan today; it was remembered, and the pilot is told so."""
        self.engine = engine
        self.received_s = 0.0
        self.told_s = -math.inf
        """When its standing was last told, by the clock of `received_s`."""
        self.silent = False
        self.faults = 0
        """States on which the engine itself failed."""
        self.time_s = 0.0
        self._outlets = outlets
        self._picture_every_s = 1.0 / pictures_per_s
        self._picture_s: float | None = None
        self._picture: Picture | None = None
        self._greeted = False
        self._plan_restored = plan_restored
        self._faulty: set[str] = set()
        self._muddle = Muddle()

    @property
    def aircraft(self) -> str:
        """The aircraft's id."""
        return self.engine.aircraft

    def step(self, state: State, *, received_s: float) -> Outcome | None:
        """Take in one state and publish what comes of it, what is urgent first; None when the engine failed on it."""
        self.time_s = state.time_s
        if not self._greeted:
            self._greet(state.time_s)
        try:
            outcome = self.engine.step(state)
        except Exception as error:  # noqa: BLE001 - one state too odd must not cost the next; see `faults`
            self._pass_on(state)
            self._fail(error, state)
            self.received_s = self.received_s or received_s
            return None
        self.received_s, self.silent = received_s, False
        self._picture = outcome.picture
        if not outcome.thought:
            self._pass_on(state)
            return outcome
        self._tell(outcome.alerts, outcome.calls)
        self._pass_on(state)
        self._show(outcome)
        for fault in outcome.faults:
            self._note_fault(fault)
        if outcome.jumped:
            log.info("jumped", aircraft=self.aircraft, time_s=state.time_s)
        return outcome

    def _pass_on(self, state: State) -> None:
        """Publish and record a state, and look whether it is one aircraft's."""
        self._outlets.feed.publish(Kind.STATE, state.aircraft, state.time_s, state)
        if self._outlets.logbook is not None:
            self._outlets.logbook.state(state)
        if self._muddle.noticed(state):
            log.warning("two_under_one_name", aircraft=self.aircraft)
            self._remark(TWO_UNDER_ONE_NAME, level=Level.ADVICE, time_s=state.time_s)

    def _note_fault(self, fault: Fault) -> None:
        """Log an advisory's first fault, and its last; what fails at every other state must not fill a disk."""
        if fault.benched or fault.advisory not in self._faulty:
            log.error("advisory_failed", advisory=fault.advisory, benched=fault.benched, exc_info=fault.error)
        self._faulty.add(fault.advisory)

    def _fail(self, error: Exception, state: State) -> None:
        """Count a state that the engine could not take. It was not heard: when that goes on, the pilot is told."""
        if not self.faults:
            log.error("engine_failed", aircraft=self.aircraft, time_s=state.time_s, exc_info=error)
        self.faults += 1

    def blind(self, *, silent_s: float, unreadable: bool) -> None:
        """Say that nothing usable has come for so long; unreadable: something comes, and can't be used."""
        if not self.silent:
            log.warning("silent", aircraft=self.aircraft, silent_s=round(silent_s, 1), unreadable=unreadable)
        self.silent = True
        time_s = self.time_s + silent_s
        self._note("blind", time_s=time_s, silent_s=silent_s, unreadable=unreadable)
        said = self.engine.blind(time_s=time_s, silent_s=silent_s, unreadable=unreadable)
        self._tell(said.alerts, said.calls)

    def tell_time(self, *, silent_s: float) -> None:
        """Tell the voice how late it is: the newest state's time, and how long it has been silent since."""
        if self._outlets.speaker is not None:
            self._outlets.speaker.time_is(time_s=self.time_s + silent_s)

    def set_plan(self, plan: ResolvedPlan) -> PlanMessage:
        """Take over a plan and tell the bus."""
        self.engine.set_plan(plan)
        return self.publish_plan()

    def publish_plan(self) -> PlanMessage:
        """Tell the bus which plan is in force."""
        message = PlanMessage.of(aircraft=self.aircraft, resolved=self.engine.plan)
        self._outlets.feed.publish(Kind.PLAN, self.aircraft, self.time_s, message)
        if self._outlets.logbook is not None:
            self._outlets.logbook.plan(message)
        return message

    def set_verbosity(self, verbosity: Verbosity) -> None:
        """Change how much is said."""
        self.told_s = -math.inf  # who looks right after the order sees it carried out
        self.engine.attention.speaking.verbosity = verbosity
        self._note("verbosity", verbosity=verbosity.value)

    def switch(self, advisory: str, *, on: bool) -> bool:
        """Switch a check on or off; False when there is none of that name."""
        self.told_s = -math.inf
        self._note("switch", advisory=advisory, on=on)
        return self.engine.switch(advisory, on=on)

    def standing(self, *, now_s: float) -> StandingMessage:
        """Return how things stand, with the numbers of now in every alert; now_s is the clock of `received_s`."""
        return StandingMessage(
            aircraft=self.aircraft,
            alerts=tuple(self._in_words(alert) for alert in self.engine.attention.standing),
            live=self.engine.live(),
            silent=self.silent,
            age_s=max(now_s - self.received_s, 0.0),
            verbosity=self.engine.attention.speaking.verbosity,
        )

    def set_pace(self, think_every_s: float) -> None:
        """Think so often, in the states' own time."""
        if think_every_s != self.engine.think_every_s:
            self.engine.think_every_s = think_every_s
            self._note("pace", think_every_s=think_every_s)

    def retire(self) -> None:
        """Tell the bus that the aircraft is gone."""
        self._outlets.feed.retire(self.aircraft, self.time_s)

    def acknowledge(self, alert_id: str | None) -> tuple[str, ...]:
        """Quieten one alert, or all that stand; return their ids."""
        ids = [alert.id for alert in self.engine.attention.standing if alert_id in (None, alert.id)]
        done = [self.engine.attention.acknowledge(alert_id=one, time_s=self.time_s) for one in ids]
        for one in ids:
            self._note("acknowledge", alert_id=one, time_s=self.time_s)
        acknowledged = tuple(alert for alert in done if alert is not None)
        self._tell(acknowledged, ())
        return tuple(alert.id for alert in acknowledged)

    def mute(self, *, muted: bool) -> None:
        """Quieten the voice, or give it back."""
        self.engine.attention.muted = muted
        self._note("mute", muted=muted)
        if self._outlets.speaker is not None:
            self._outlets.speaker.mute(on=muted, time_s=self.time_s)

    def answer(self, about: str) -> str | None:
        """Say a number that was asked for, and return it in words; None when there is none, see `no_answer`."""
        phrase, values = answer_of(about, None if self.silent else self._picture)
        if phrase is None:
            return None
        call = Call(time_s=self.time_s, aircraft=self.aircraft, level=Level.CALL, phrase=phrase, values=values)
        sentence = self._outlets.phrasebook.compose(phrase=phrase, values=values)
        self._utter(call, text=sentence.text, speech=sentence.speech)
        return sentence.text

    def no_answer(self, about: str) -> str:
        """Return why there is no such number now."""
        return "nothing that can be used comes from the simulator now" if self.silent else why_not(about, self._picture)

    def say(self, text: str) -> None:
        """Say somebody's own words."""
        call = Call(time_s=self.time_s, aircraft=self.aircraft, level=Level.CALL, phrase="say", values={})
        self._utter(call, text=text, speech=text)

    def _greet(self, time_s: float) -> None:
        """Begin every session with the caution about what this is for."""
        self._greeted = True
        if self._outlets.logbook is not None:
            self._outlets.logbook.begin()
        self.publish_plan()
        self._remark(SAFETY, level=Level.CALL, time_s=time_s)
        if self._plan_restored:
            self._remark(PLAN_RESTORED, level=Level.CALL, time_s=time_s, values=_places(self.engine.plan))

    def _remark(self, phrase: str, *, level: Level, time_s: float, values: Values | None = None) -> None:
        """Say something that no advisory found."""
        self._tell((), (Call(time_s=time_s, aircraft=self.aircraft, level=level, phrase=phrase, values=values or {}),))

    def _show(self, outcome: Outcome) -> None:
        """Publish the picture: so many a second, and whenever something was told."""
        time_s, last_s = outcome.picture.time_s, self._picture_s
        soon = last_s is not None and 0.0 <= time_s - last_s < self._picture_every_s - 1e-6
        if not soon or outcome.alerts or outcome.calls:
            self._picture_s = time_s
            self._outlets.feed.publish(Kind.PICTURE, self.aircraft, time_s, outcome.picture)

    def _tell(self, alerts: tuple[Alert, ...], calls: tuple[Call, ...]) -> None:
        for alert in alerts:
            message = self._in_words(alert)
            self._outlets.feed.publish(Kind.ALERT, alert.aircraft, alert.time_s, message)
            if self._outlets.logbook is not None:
                self._outlets.logbook.alert(message)
            if self._outlets.hook is not None:
                self._outlets.hook.look(message)
            log.info("alert", id=alert.id, change=alert.change.value, level=alert.level.word, text=message.text)
            if alert.change in (Change.CLEARED, Change.ACKNOWLEDGED) and self._outlets.speaker is not None:
                self._outlets.speaker.drop(alert_id=alert.id, time_s=alert.time_s)
        for call in calls:
            parts = [(call.phrase, call.values), *((part.phrase, part.values) for part in call.also)]
            parts += self._rules(call)
            sentences = [self._outlets.phrasebook.compose(phrase=key, values=values) for key, values in parts]
            self._utter(
                call,
                text=" ".join(sentence.text for sentence in sentences),
                speech=" ".join(sentence.speech for sentence in sentences),
            )

    def _in_words(self, alert: Alert) -> AlertMessage:
        sentence = self._outlets.phrasebook.compose(phrase=alert.phrase, values=alert.values)
        return alert_message(alert, text=sentence.text, speech=sentence.speech)

    def _rules(self, call: Call) -> list[tuple[str, Values]]:
        """Return the rule of thumb that goes with a call, in teach mode."""
        rule = f"{call.phrase}.rule"
        if not self._outlets.teach or self._picture is None or rule not in self._outlets.phrasebook.keys:
            return []
        return [(rule, rule_values(picture=self._picture, values=call.values))]

    def _utter(self, call: Call, *, text: str, speech: str) -> None:
        message = call_message(call, text=text, speech=speech)
        self._outlets.feed.publish(Kind.CALL, call.aircraft, call.time_s, message)
        if self._outlets.logbook is not None:
            self._outlets.logbook.call(message)
        if self._outlets.listener is not None:
            self._outlets.listener.said(call, text)
        if self._outlets.speaker is not None:
            self._outlets.speaker.say(
                speech=speech,
                level=call.level,
                alert_id=call.alert_id,
                time_s=call.time_s,
                expires_s=call.expires_s,
                louder=call.repeat if call.level is Level.WARNING else 0,
            )

    def _note(self, verb: str, **values: float | str | bool | None) -> None:
        """Keep what reached the engine from outside the stream, so that the flight can be flown again."""
        if self._outlets.logbook is not None:
            self._outlets.logbook.order(verb, aircraft=self.aircraft, **values)


def _places(resolved: ResolvedPlan) -> Values:
    """Return where a plan leads, as far as it says."""
    places = {
        "destination": None if resolved.destination is None else resolved.destination.ident,
        "arrival_runway": None if resolved.arrival is None else resolved.arrival.name,
    }
    return {name: place for name, place in places.items() if place is not None}
