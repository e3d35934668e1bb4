"""Flown: everything a debrief is made from: track, plan, runways, alerts, calls, and where it all comes from."""

from dataclasses import dataclass
from pathlib import Path

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import OWN
from otherseat.daemon import recording_bodies as bodies
from otherseat.daemon.debrief.track import Track, TrackMaker
from otherseat.daemon.flight_file import FlightFile
from otherseat.daemon.messages import AlertMessage, CallMessage
from otherseat.daemon.recording import Channel


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
    settings_known: bool = True
    started_s: float | None = None
    """Wall clock at the first state, seconds since 1970."""

    @property
    def told(self) -> bool:
        """Whether anybody said anything: an imported track has no alerts of its own."""
        return bool(self.alerts or self.calls)


def read_flown(path: Path, *, aircraft: str | None = None) -> Flown:
    """Return the flight in a recording: of the aircraft named, or the own one, or the one with most states.

    Raises RecordingError for a file that is no recording, NothingFlownError for one without a flight.
    """
    flight = FlightFile.open(path)
    maker = TrackMaker()
    plans: dict[str, ResolvedPlan] = {}
    alerts: list[AlertMessage] = []
    calls: list[CallMessage] = []
    pilot = ""
    started_s: float | None = None
    wanted = [Channel.STATE, Channel.PLAN, Channel.ALERT, Channel.CALL, Channel.NOTE]
    for entry in flight.recording.entries(wanted):
        if entry.channel is Channel.STATE:
            maker.add(entry.body)
            started_s = entry.logged_s if started_s is None else started_s
        elif entry.channel is Channel.ALERT:
            alerts.append(bodies.alert_of(entry.body))
        elif entry.channel is Channel.CALL:
            calls.append(bodies.call_of(entry.body))
        elif entry.channel is Channel.PLAN:
            message = bodies.plan_of(entry.body)
            plans[message.aircraft] = message.resolved()
        else:
            pilot = str(entry.body.get("pilot", pilot))
    tracks = maker.tracks()
    chosen = choose(tracks, aircraft=aircraft, file=path)
    return Flown(
        name=path.stem,
        aircraft=chosen,
        track=tracks[chosen],
        runways=flight.runways,
        plan=plans.get(chosen, ResolvedPlan(plan=Plan())),
        alerts=tuple(alert for alert in alerts if alert.aircraft == chosen),
        calls=tuple(call for call in calls if call.aircraft == chosen),
        pilot=pilot,
        damage=flight.recording.damage,
        settings_known=flight.settings_known,
        started_s=started_s,
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
