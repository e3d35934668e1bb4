"""Made flights: approaches and landings whose every number is known beforehand, as recordings."""

import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from otherseat.advisories import geodesic
from otherseat.advisories.levels import Alert, Call, Change, Level
from otherseat.advisories.path import path_height_ft
from otherseat.advisories.runway import RunwayEnd, RunwayTable
from otherseat.advisories.units import FPM_PER_KT, FT_PER_NM
from otherseat.daemon.messages import PlanMessage, alert_message, call_message
from otherseat.daemon.recording import Channel
from otherseat.daemon.recording_bodies import PACK
from otherseat.daemon.recording_writer import RecordingWriter
from tests.scripted import make_plan, make_table, tangent

TABLE = make_table()
END = TABLE.end("ZZBB/09L")
SECOND_NS = 10**9
STARTED_NS = 1_770_000_000 * SECOND_NS

Told = dict[str, float | bool | str]
"""One state, as a map."""


@dataclass(frozen=True, slots=True)
class Landing:
    """How it is flown: offsets are kept all the way down; the flare begins over the threshold."""

    above_path_ft: float = 0.0
    offset_ft: float = 0.0
    groundspeed_kt: float = 72.0
    touchdown_ft: float = 1_000.0
    sink_fpm: float = 120.0
    """In the last second of flight."""
    from_nm: float = 5.0
    rate_hz: float = 2.0
    bank_deg: float = 0.0


def place(*, end: RunwayEnd, before_nm: float, offset_ft: float) -> tuple[float, float]:
    """Return latitude and longitude so far before the threshold, so far right of the centreline."""
    latitude, longitude = geodesic.destination_point(
        latitude_deg=end.latitude_deg,
        longitude_deg=end.longitude_deg,
        course_true_deg=end.course_true_deg,
        distance_nm=-before_nm,
    )
    return geodesic.destination_point(
        latitude_deg=latitude,
        longitude_deg=longitude,
        course_true_deg=end.course_true_deg + 90.0,
        distance_nm=offset_ft / FT_PER_NM,
    )


def states(landing: Landing, *, end: RunwayEnd = END) -> Iterator[Told]:
    """Yield the states of the approach, the landing and twenty seconds of roll-out."""
    speed_nm_s = landing.groundspeed_kt / 3_600.0
    air_nm = landing.from_nm + landing.touchdown_ft / FT_PER_NM
    air_s = air_nm / speed_nm_s
    for count in range(int((air_s + 20.0) * landing.rate_hz)):
        time_s = count / landing.rate_hz
        on_ground = time_s >= air_s
        before_nm = landing.from_nm - speed_nm_s * time_s
        latitude, longitude = place(end=end, before_nm=before_nm, offset_ft=landing.offset_ft)
        yield {
            "time_s": time_s,
            "latitude_deg": latitude,
            "longitude_deg": longitude,
            "altitude_ft": end.elevation_ft + _height_ft(landing, before_nm=before_nm, end=end),
            "groundspeed_kt": landing.groundspeed_kt,
            "indicated_airspeed_kt": landing.groundspeed_kt,
            "track_true_deg": end.course_true_deg,
            "vertical_speed_fpm": 0.0 if on_ground else -_sink_fpm(landing, left_s=air_s - time_s),
            "bank_deg": landing.bank_deg,
            "gear_down": True,
            "on_ground": on_ground,
        }


def _height_ft(landing: Landing, *, before_nm: float, end: RunwayEnd) -> float:
    if before_nm < 0.0:
        over = 1.0 + before_nm * FT_PER_NM / landing.touchdown_ft
        return max(0.0, over) * end.threshold_crossing_height_ft
    crossing_ft = end.threshold_crossing_height_ft
    return path_height_ft(distance_nm=before_nm, angle_deg=3.0, threshold_crossing_height_ft=crossing_ft) + (
        landing.above_path_ft if before_nm > 0.2 else 0.0
    )


def _sink_fpm(landing: Landing, *, left_s: float) -> float:
    return landing.sink_fpm if left_s <= 1.0 else landing.groundspeed_kt * FPM_PER_KT * tangent(3.0)


def write(
    path: Path,
    landing: Landing,
    *,
    pilot: str = "",
    alerts: list[Alert] | None = None,
    calls: list[Call] | None = None,
    started_ns: int = STARTED_NS,
    table: RunwayTable = TABLE,
    flown: Iterable[Told] | None = None,
) -> Path:
    """Write the flight as a recording, with its plan, its airfields and any alerts and calls; flown: other states."""
    resolved = make_plan(table, approach_speed_kt=70.0)
    with RecordingWriter(path) as writer:
        for ident in ("ZZAA", "ZZBB"):
            body = PACK[Channel.AIRFIELD](table.airfield(ident))
            writer.write(Channel.AIRFIELD, body, logged_ns=started_ns)
        plan = PACK[Channel.PLAN](PlanMessage.of(aircraft="own", resolved=resolved))
        writer.write(Channel.PLAN, plan, logged_ns=started_ns)
        if pilot:
            writer.write(Channel.NOTE, {"pilot": pilot}, logged_ns=started_ns)
        for alert in alerts or []:
            said = PACK[Channel.ALERT](alert_message(alert, text=f"Text of {alert.phrase}.", speech=""))
            writer.write(Channel.ALERT, said, logged_ns=started_ns)
        for call in calls or []:
            heard = PACK[Channel.CALL](call_message(call, text=f"Text of {call.phrase}.", speech=""))
            writer.write(Channel.CALL, heard, logged_ns=started_ns)
        for count, state in enumerate(states(landing) if flown is None else flown):
            writer.write(Channel.STATE, state, logged_ns=started_ns + count * SECOND_NS // 2)
            if count % 60 == 0:
                writer.finish_chunk()
    return path


def alert(
    name: str,
    *,
    number: int = 1,
    change: Change = Change.RAISED,
    level: Level = Level.CAUTION,
    raised_s: float,
    time_s: float,
    phrase: str | None = None,
) -> Alert:
    """Return a change of an alert."""
    return Alert(
        id=f"{name}.{number}",
        alert=name,
        aircraft="own",
        change=change,
        level=level,
        phrase=phrase or name,
        values={},
        raised_s=raised_s,
        time_s=time_s,
    )


def school(folder: Path, *, flights: int, seed: int = 1) -> list[Landing]:
    """Write many different flights of four pilots, and return how each was flown, by file name."""
    random_ = random.Random(seed)
    made = []
    for number in range(flights):
        landing = Landing(
            above_path_ft=random_.gauss(0.0, 60.0),
            offset_ft=random_.gauss(0.0, 40.0),
            groundspeed_kt=random_.uniform(66.0, 82.0),
            touchdown_ft=random_.uniform(400.0, 2_000.0),
            sink_fpm=random_.uniform(60.0, 400.0),
        )
        pilot = f"Pilot {number % 4 + 1}"
        write(folder / f"{number:04d}.mcap", landing, pilot=pilot, started_ns=STARTED_NS + number * 86_400 * SECOND_NS)
        made.append(landing)
    return made
