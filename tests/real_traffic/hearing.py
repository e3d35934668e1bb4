"""Hearing: the engine over a real flight, with nothing between them, and what it would have said.

Plans    `end` names the true runway end, `airfield` the true airfield alone, `none` nothing, `wrong` another end
States   as a receiver has them: position, altitude levelled by landings.py, groundspeed, track, rate. No heading, no
         airspeed, no bank: what needs those stays silent here. On the ground the speed and track of a recording are
         often the last ones from the air, so they are worked out from the positions, and the track is the heading
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from otherseat.advisories.advisory import Advisory
from otherseat.advisories.engine import Engine
from otherseat.advisories.levels import Alert, Call, Level
from otherseat.advisories.plan import Plan, ResolvedPlan, resolve
from otherseat.advisories.runway import RunwayEnd, RunwayTable
from otherseat.advisories.state import State
from otherseat.config.profiles import read_profile
from otherseat.config.settings import Settings
from tests.real_traffic.landings import Landing, flat_nm
from tests.real_traffic.samples import Report

FROM_NM = 120.0
ROLLING_KT, FLYING_KT = 60.0, 180.0
ON_NM = 0.015
"""Half a runway's width: about 90 ft."""
FOR_S = 2_400.0
"""So long before the runway the engine begins to listen, and not farther out than FROM_NM."""
AFTER_S = 90.0
"""And so long after it."""
GROUND_S = 8.0
"""Positions so far apart give a speed on the ground."""
JET_FROM_KT = 105.0
MARKS_NM = (8.0, 5.0, 3.0, 2.0, 1.0)
"""Distances before the threshold at which the named runway is looked at."""
Said = tuple[str, Level]
MODES = ("end", "airfield", "none", "wrong")


@dataclass(frozen=True)
class Crew:
    """What every flight is heard with."""

    runways: RunwayTable
    advisories: Sequence[Advisory]
    settings: Settings


@dataclass
class Heard:
    """What the engine made of one flight."""

    name: str
    alerts: list[Alert] = field(default_factory=list)
    calls: list[Call] = field(default_factory=list)
    named: dict[float, str | None] = field(default_factory=dict)
    """At each mark, the end that the track leads to; None: can't tell."""
    surface: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    @property
    def worst(self) -> Counter[Said]:
        """The highest level of each alert that was raised."""
        worst: dict[str, Alert] = {}
        for alert in self.alerts:
            if alert.id not in worst or alert.level > worst[alert.id].level:
                worst[alert.id] = alert
        return Counter((alert.alert, alert.level) for alert in worst.values())

    @property
    def spoken(self) -> Counter[Said]:
        """Every phrase that was said, repeats and fellow parts too."""
        said: Counter[Said] = Counter()
        for call in self.calls:
            said[call.phrase, call.level] += 1
            said.update((part.phrase, call.level) for part in call.also)
        return said


def hear_landing(landing: Landing, *, mode: str, crew: Crew) -> Heard:
    """Fly a landing past the engine."""
    heard = Heard(name=f"{landing.recording.sample} {landing.recording.aircraft} {landing.end.name}")
    states = _arriving(landing)
    engine = _engine(plan=_arrival_plan(landing, mode=mode, crew=crew), crew=crew)
    for report, state in states:
        outcome = engine.step(state)
        heard.alerts += outcome.alerts
        heard.calls += outcome.calls
        heard.faults += [repr(fault.error) for fault in outcome.faults]
        to_go_nm = -flat_nm(landing.end, report)[0]
        for mark_nm in MARKS_NM:
            if mark_nm not in heard.named and mark_nm - 0.2 < to_go_nm <= mark_nm and _is_lined_up(landing.end, report):
                heard.named[mark_nm] = outcome.picture.tracked_runway
    return heard


def hear_surface(
    reports: Sequence[Report], *, name: str, departure: str | None, pressure_ft: float, crew: Crew
) -> Heard:
    """Let the engine hear a movement on the ground."""
    heard = Heard(name=name)
    engine = _engine(plan=_resolved(Plan(departure=departure, aircraft="airliner"), crew=crew, jet=True), crew=crew)
    for report, state in zip(reports, _states(reports, pressure_ft=pressure_ft), strict=True):
        outcome = engine.step(state)
        heard.alerts += outcome.alerts
        heard.calls += outcome.calls
        heard.faults += [repr(fault.error) for fault in outcome.faults]
        speed_kt, course_deg = state.groundspeed_kt or 0.0, state.track_true_deg
        if state.on_ground and ROLLING_KT <= speed_kt <= FLYING_KT and course_deg is not None:
            truth = rolled_on(report, course_deg=course_deg, runways=crew.runways)
            if truth is not None:
                heard.surface["right" if outcome.picture.surface_runway == truth.name else "wrong"] += 1
    return heard


def rolled_on(report: Report, *, course_deg: float, runways: RunwayTable) -> RunwayEnd | None:
    """Return the end whose centreline is nearest on a flat map, of those in that direction; None off every runway."""
    near = runways.near(latitude_deg=report.latitude_deg, longitude_deg=report.longitude_deg, within_nm=4.0)
    best = None
    for end in near:
        along_nm, across_nm = flat_nm(end, report)
        off_deg = abs((course_deg - end.course_true_deg + 180.0) % 360.0 - 180.0)
        if end.estimated or off_deg > 15.0 or not 0.0 <= along_nm <= end.length_ft / 6_076.1:
            continue
        if abs(across_nm) <= ON_NM and (best is None or abs(across_nm) < best[0]):
            best = (abs(across_nm), end)
    return None if best is None else best[1]


def _is_lined_up(end: RunwayEnd, report: Report) -> bool:
    """Say whether it flies along the final: on a base leg no runway can be named yet."""
    along_nm, across_nm = flat_nm(end, report)
    off_deg = ((report.track_true_deg or 0.0) - end.course_true_deg + 180.0) % 360.0 - 180.0
    return abs(across_nm) < max(-along_nm, 1.0) * 0.05 and abs(off_deg) < 10.0


def _engine(*, plan: ResolvedPlan, crew: Crew) -> Engine:
    return Engine(
        aircraft="own",
        runways=crew.runways,
        plan=plan,
        advisories=crew.advisories,
        params=crew.settings.advisories,
        attention=crew.settings.attention,
    )


def _arrival_plan(landing: Landing, *, mode: str, crew: Crew) -> ResolvedPlan:
    end = landing.end
    named = {"end": end.name, "airfield": end.airfield, "none": None, "wrong": _another(end, crew.runways)}[mode]
    return _resolved(Plan(destination=named), crew=crew, jet=landing.speed_kt >= JET_FROM_KT)


def _another(end: RunwayEnd, runways: RunwayTable) -> str:
    """Return the end of the airfield that is most easily taken for this one: the nearest in course, then in place."""
    others = [one for one in runways.airfield(end.airfield).ends if one.name != end.name and not one.estimated]

    def apart(other: RunwayEnd) -> tuple[float, float]:
        off_deg = abs((other.course_true_deg - end.course_true_deg + 180.0) % 360.0 - 180.0)
        return round(off_deg / 10.0), abs(other.latitude_deg - end.latitude_deg)

    return min(others, key=apart).name


def _resolved(plan: Plan, *, crew: Crew, jet: bool) -> ResolvedPlan:
    profile = read_profile("airliner" if jet else "light-single")
    return resolve(plan=plan, runways=crew.runways, profile=profile)


def _arriving(landing: Landing) -> Iterator[tuple[Report, State]]:
    reports = landing.recording.reports
    first = next(
        (
            index + 1
            for index in range(landing.last, -1, -1)
            if max(map(abs, flat_nm(landing.end, reports[index]))) > FROM_NM
        ),
        0,
    )
    touched_s = reports[landing.last].time_s
    chosen = [one for one in reports[first:] if -FOR_S <= one.time_s - touched_s <= AFTER_S]
    yield from zip(chosen, _states(chosen, pressure_ft=landing.pressure_ft), strict=True)


def _states(reports: Sequence[Report], *, pressure_ft: float) -> Iterator[State]:
    for index, report in enumerate(reports):
        height_ft = report.pressure_altitude_ft
        speed_kt, track_deg = _on_ground(reports, index) if report.on_ground else _in_air(report)
        yield State(
            time_s=report.time_s,
            latitude_deg=report.latitude_deg,
            longitude_deg=report.longitude_deg,
            altitude_ft=None if height_ft is None else height_ft - pressure_ft,
            pressure_altitude_ft=height_ft,
            groundspeed_kt=speed_kt,
            track_true_deg=track_deg,
            heading_true_deg=track_deg if report.on_ground else None,
            vertical_speed_fpm=report.vertical_speed_fpm,
            on_ground=report.on_ground,
        )


def _in_air(report: Report) -> tuple[float | None, float | None]:
    return report.groundspeed_kt, report.track_true_deg


def _on_ground(reports: Sequence[Report], index: int) -> tuple[float | None, float | None]:
    """Return speed and track since the last position that is old enough; the track of a standstill is not known."""
    here = reports[index]
    for before in reversed(reports[max(0, index - 20) : index]):
        elapsed_s = here.time_s - before.time_s
        if elapsed_s >= GROUND_S:
            north = (here.latitude_deg - before.latitude_deg) * 60.0
            east = (here.longitude_deg - before.longitude_deg) * 60.0 * math.cos(math.radians(here.latitude_deg))
            speed_kt = math.hypot(north, east) / elapsed_s * 3_600.0
            return speed_kt, math.degrees(math.atan2(east, north)) % 360.0 if speed_kt > 1.0 else None
    return None, None
