"""Refly: a recorded flight through the engine again, and how its alerts differ from those recorded.

The same states, plan, settings and orders give the same alerts: a difference means other settings or another version.
"""

import difflib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from otherseat.advisories.advisory import Advisory
from otherseat.advisories.engine import THINK_EVERY_S, Engine, Outcome
from otherseat.advisories.levels import Alert, Call, Values
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.speaking import Verbosity
from otherseat.advisories.state import OWN, State
from otherseat.config.settings import Settings
from otherseat.daemon.flight_file import Decode, FlightFile, Order
from otherseat.daemon.messages import AlertMessage, CallMessage, PlanMessage

SIGNIFICANT = 6
"""Digits of a value that must agree: another processor may differ in the last ones."""


@dataclass(slots=True)
class Crew:
    """An engine for every aircraft of a flight, made as the daemon makes them."""

    runways: RunwayTable
    settings: Settings
    advisories: Sequence[Advisory]
    engines: dict[str, Engine] = field(default_factory=dict)
    plans: dict[str, ResolvedPlan] = field(default_factory=dict)

    def step(self, state: State) -> Outcome:
        """Step the engine of the state's aircraft."""
        return self._engine(state.aircraft).step(state)

    def set_plan(self, message: PlanMessage) -> None:
        """Hand over a plan, also before the aircraft's first state."""
        plan = message.resolved()
        self.plans[message.aircraft] = plan
        if message.aircraft in self.engines:
            self.engines[message.aircraft].set_plan(plan)

    def obey(self, order: Order) -> tuple[Alert, ...]:
        """Carry out an order and return what changed; what is not known here changes nothing."""
        values = order.values
        engine = self._engine(str(values.get("aircraft", OWN)))
        if order.verb == "acknowledge":
            done = engine.attention.acknowledge(alert_id=str(values.get("alert_id")), time_s=_time_s(order))
            return () if done is None else (done,)
        if order.verb == "blind":
            silent_s, unreadable = float(values.get("silent_s", 0.0)), bool(values.get("unreadable"))
            return engine.blind(time_s=_time_s(order), silent_s=silent_s, unreadable=unreadable).alerts
        if order.verb == "mute":
            engine.attention.muted = bool(values.get("muted"))
        elif order.verb == "pace":
            engine.think_every_s = float(values.get("think_every_s", THINK_EVERY_S))
        elif order.verb == "switch":
            engine.switch(str(values.get("advisory")), on=bool(values.get("on")))
        elif order.verb == "verbosity" and values.get("verbosity") in set(Verbosity):
            engine.attention.speaking.verbosity = Verbosity(values["verbosity"])
        return ()

    def _engine(self, aircraft: str) -> Engine:
        engine = self.engines.get(aircraft)
        if engine is None:
            engine = self.engines[aircraft] = Engine(
                aircraft=aircraft,
                runways=self.runways,
                plan=self.plans.get(aircraft, ResolvedPlan(plan=Plan())),
                advisories=self.advisories,
                params=self.settings.advisories,
                attention=self.settings.attention,
            )
        return engine


def _time_s(order: Order) -> float:
    return float(order.values.get("time_s", 0.0))


@dataclass(slots=True)
class Reflown:
    """The alerts of a flight: as recorded, and as they come out now."""

    recorded: list[Alert] = field(default_factory=list)
    now: list[Alert] = field(default_factory=list)
    texts: dict[tuple[str, str], str] = field(default_factory=dict)
    """What an alert was shown as, by aircraft and id."""
    calls: list[Call] = field(default_factory=list)
    """As they come out now."""
    states: int = 0

    def differences(self) -> list[str]:
        """Return the difference as lines, - for what was recorded and + for what comes now; none when alike."""
        before = [line_of(alert) for alert in self.recorded]
        after = [line_of(alert) for alert in self.now]
        lines = difflib.unified_diff(before, after, fromfile="recorded", tofile="now", n=1, lineterm="")
        return [line for line in lines if not line.startswith("@@")]


def refly(
    flight: FlightFile,
    *,
    advisories: Sequence[Advisory],
    settings: Settings | None = None,
    decode: Decode | None = None,
) -> Reflown:
    """Fly the recording through the engine, with its own settings or others."""
    crew = Crew(runways=flight.runways, settings=settings or flight.settings, advisories=advisories)
    flown = Reflown()
    for event in flight.events(decode):
        if isinstance(event, State):
            outcome = crew.step(event)
            flown.states += 1
            flown.now += outcome.alerts
            flown.calls += outcome.calls
        elif isinstance(event, PlanMessage):
            crew.set_plan(event)
        elif isinstance(event, Order):
            flown.now += crew.obey(event)
        elif isinstance(event, AlertMessage):
            flown.recorded.append(event)
            flown.texts[event.aircraft, event.id] = event.text
        elif isinstance(event, CallMessage):
            continue
    return flown


def line_of(alert: Alert) -> str:
    """Return everything that must agree about an alert, as one line that a person can read."""
    words = " ".join(_words(alert.values))
    marks = " acknowledged" * alert.acknowledged
    aircraft = "" if alert.aircraft == "own" else f"{alert.aircraft} "
    return (
        f"{clock(alert.time_s)}  {aircraft}{alert.change.value} {alert.level.word} {alert.id} {words}{marks}".rstrip()
    )


def clock(time_s: float) -> str:
    """Return a time as minutes, seconds and hundredths."""
    sign = "-" if time_s < 0.0 else ""
    hundredths = round(abs(time_s) * 100.0)
    return f"{sign}{hundredths // 6_000:d}:{hundredths // 100 % 60:02d}.{hundredths % 100:02d}"


def _words(values: Values) -> Iterator[str]:
    for name, value in sorted(values.items()):
        yield f"{name}={value}" if isinstance(value, str) else f"{name}={value + 0.0:.{SIGNIFICANT}g}"
