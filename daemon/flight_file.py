"""Flight file: a recording as a flight: its places, its plan, its settings, and its events in order.

A recording of ours stands alone: airfields, plan and settings are in it. A file that holds datagrams only (a capture)
is decoded by an adapter first, with airfields and settings from here.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from otherseat.advisories.runway import Airfield, RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import Settings, read_settings
from otherseat.daemon import recording_bodies as bodies
from otherseat.daemon.messages import AlertMessage, CallMessage, PlanMessage
from otherseat.daemon.recording import Channel, Entry, Recording

Decode = Callable[[bytes, float], Sequence[State]]
"""What turns a datagram and the time of its receipt into states."""


@dataclass(frozen=True, slots=True)
class Order:
    """Something besides states and plans that reached the engine."""

    verb: str
    values: dict[str, Any]


@dataclass(frozen=True, slots=True)
class FlightFile:
    """A recording, looked through once."""

    recording: Recording
    airfields: tuple[Airfield, ...]
    settings: Settings
    settings_known: bool
    """Whether the settings are those of the flight; otherwise the packaged ones."""

    @classmethod
    def open(cls, path: Path) -> "FlightFile":
        """Look through a recording; raise RecordingError when it is none."""
        recording = Recording.open(path)
        airfields: dict[str, Airfield] = {}
        for entry in recording.entries([Channel.AIRFIELD, Channel.PLAN]):
            add_airfields(entry, airfields)
        settings = recording.session.get("settings", "")
        return cls(
            recording=recording,
            airfields=tuple(airfields.values()),
            settings=Settings.model_validate_json(settings) if settings else read_settings(),
            settings_known=bool(settings),
        )

    @property
    def runways(self) -> RunwayTable:
        """The airfields of the flight as a table."""
        return RunwayTable(self.airfields)

    def events(
        self, decode: Decode | None = None
    ) -> Iterator[State | PlanMessage | Order | AlertMessage | CallMessage]:
        """Yield everything in order; with `decode` states come out of the datagrams instead of the recorded ones.

        A plan is recorded with the aircraft's first state, so after the datagram that held it: it comes first here.
        """
        state_from = Channel.STATE if decode is None else Channel.DATAGRAM
        if decode is not None:
            yield from self._plans_at_start()
        wanted = [state_from, Channel.PLAN, Channel.ORDER, Channel.ALERT, Channel.CALL]
        for entry in self.recording.entries(wanted):
            if entry.channel is Channel.DATAGRAM and decode is not None:
                yield from decode(entry.body["data"], entry.body["received_s"])
            elif entry.channel is not Channel.DATAGRAM:
                event = _EVENTS[entry.channel](entry.body)
                if event is not None:
                    yield event

    def _plans_at_start(self) -> Iterator[PlanMessage]:
        for entry in self.recording.entries([Channel.PLAN, Channel.STATE]):
            if entry.channel is Channel.STATE:
                return
            yield bodies.plan_of(entry.body)


def add_airfields(entry: Entry, airfields: dict[str, Airfield]) -> None:
    """Add what an airfield's or a plan's entry knows of airfields; the table's own word wins over the plan's."""
    if entry.channel is Channel.AIRFIELD:
        airfield = bodies.airfield_of(entry.body)
        airfields[airfield.ident] = airfield
    else:
        goal = bodies.plan_of(entry.body).destination
        if goal is not None:
            airfields.setdefault(goal.ident, goal)


def _order_of(body: dict[str, Any]) -> Order:
    return Order(verb=str(body.get("verb", "")), values={name: body[name] for name in body if name != "verb"})


_EVENTS: dict[Channel, Callable[[dict[str, Any]], State | PlanMessage | Order | AlertMessage | CallMessage | None]] = {
    Channel.STATE: bodies.state_of,
    Channel.PLAN: bodies.plan_of,
    Channel.ORDER: _order_of,
    Channel.ALERT: bodies.alert_of,
    Channel.CALL: bodies.call_of,
}
