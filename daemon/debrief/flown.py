"""Flown: everything a debrief is made from: track, plan, runways, alerts, calls, and where it all comes from."""

from dataclasses import dataclass, field
from pathlib import Path

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import Airfield, RunwayTable
from otherseat.advisories.state import OWN
from otherseat.daemon import recording_bodies as bodies
from otherseat.daemon.debrief.track import Track, TrackMaker
from otherseat.daemon.flight_file import add_airfields
from otherseat.daemon.messages import AlertMessage, CallMessage
from otherseat.daemon.recording import Channel, Entry, Recording


class NothingFlownError(ValueError):
    """They erred: there is no flight in this file."""


@dataclass(frozen=True, slots=True)
class Flown:
    """One aircraft's flight."""

    name: str
    aircraft: str
    track: Track
    runways: RunwayTable
    plan: ResolvedPlan
    alerts: tuple[AlertMessage, ...] = ()
    """Every change, in order."""
    calls: tuple[CallMessage, ...] = ()
    pilot: str = ""
    damage: str | None = None
    started_s: float | None = None
    """Wall clock at the first state, seconds since 1970."""

    @property
    def told(self) -> bool:
        """Whether anybody said anything: an imported track has no alerts of its own."""
        return bool(self.alerts or self.calls)


@dataclass(slots=True)
class _Gathered:
    """A recording as it is read, in one pass."""

    maker: TrackMaker = field(default_factory=TrackMaker)
    airfields: dict[str, Airfield] = field(default_factory=dict)
    plans: dict[str, ResolvedPlan] = field(default_factory=dict)
    alerts: list[AlertMessage] = field(default_factory=list)
    calls: list[CallMessage] = field(default_factory=list)
    pilot: str = ""
    started_s: float | None = None

    def take(self, entry: Entry) -> None:
        """Take in one message."""
        if entry.channel is Channel.STATE:
            self.maker.add(entry.body)
            self.started_s = entry.logged_s if self.started_s is None else self.started_s
        elif entry.channel is Channel.ALERT:
            self.alerts.append(bodies.alert_of(entry.body))
        elif entry.channel is Channel.CALL:
            self.calls.append(bodies.call_of(entry.body))
        elif entry.channel is Channel.NOTE:
            self.pilot = str(entry.body.get("pilot", self.pilot))
        else:
            add_airfields(entry, self.airfields)
            if entry.channel is Channel.PLAN:
                message = bodies.plan_of(entry.body)
                self.plans[message.aircraft] = message.resolved()
                self.maker.set_plan(message.aircraft, self.plans[message.aircraft])


WANTED = (Channel.STATE, Channel.PLAN, Channel.AIRFIELD, Channel.ALERT, Channel.CALL, Channel.NOTE)


def read_flown(path: Path, *, aircraft: str | None = None) -> Flown:
    """Return the flight in a recording: of the aircraft named, or the own one, or the one with most states.

    Raises RecordingError for a file that is no recording, NothingFlownError for one without a flight.
    """
    recording, found = Recording.open(path), _Gathered()
    for entry in recording.entries(WANTED):
        found.take(entry)
    runways = RunwayTable(found.airfields.values())
    tracks = found.maker.tracks(runways=runways)
    chosen = choose(tracks, aircraft=aircraft, file=path)
    return Flown(
        name=path.stem,
        aircraft=chosen,
        track=tracks[chosen],
        runways=runways,
        plan=found.plans.get(chosen, ResolvedPlan(plan=Plan())),
        alerts=tuple(alert for alert in found.alerts if alert.aircraft == chosen),
        calls=tuple(call for call in found.calls if call.aircraft == chosen),
        pilot=found.pilot,
        damage=recording.damage,
        started_s=found.started_s,
    )


def choose(tracks: dict[str, Track], *, aircraft: str | None, file: Path) -> str:
    """Return the aircraft to debrief, or raise NothingFlownError."""
    if not tracks:
        raise NothingFlownError(f"{file}: no flight in it: no two states with a position")
    if aircraft is None:
        return OWN if OWN in tracks else max(tracks, key=lambda name: len(tracks[name]))
    if aircraft not in tracks:
        raise NothingFlownError(f"{file}: no aircraft is called {aircraft}; there are: {', '.join(sorted(tracks))}")
    return aircraft
