"""Report: a flight's debrief as numbers and words; pages and tables are made from this and nothing else."""

from dataclasses import dataclass

import numpy as np

from otherseat.advisories import path, rules_of_thumb
from otherseat.advisories.real import Array
from otherseat.config.profiles import USUAL_PROFILE, read_profile
from otherseat.daemon.debrief.approach import Approach, approaches, contact, on_ground
from otherseat.daemon.debrief.flown import Flown
from otherseat.daemon.debrief.gates import Limits, Verdict, verdicts
from otherseat.daemon.debrief.reactions import Reaction, reactions
from otherseat.daemon.debrief.track import Track
from otherseat.daemon.debrief.unknown import unknown

MILES_NM = (5.0, 4.0, 3.0, 2.0, 1.0)


@dataclass(frozen=True, slots=True)
class Mile:
    """One mile of the approach: flown, exact, and what the rule of thumb would have said."""

    distance_nm: float
    height_ft: float
    exact_ft: float
    rule_ft: float
    sink_fpm: float
    exact_sink_fpm: float
    rule_sink_fpm: float


@dataclass(frozen=True, slots=True)
class Report:
    """One flight."""

    flown: Flown
    segment: Track
    """The piece of the flight that is shown: the last with a landing, or the last that is long enough."""
    approach: Approach | None
    limits: Limits
    landings: int | None
    """None when neither ground contact nor height above ground was reported."""
    verdicts: tuple[Verdict, ...]
    miles: tuple[Mile, ...]
    reactions: tuple[Reaction, ...]
    unknown: tuple[str, ...]

    @property
    def airborne_s(self) -> float:
        """How long the aircraft was in the air, over all pieces of the flight."""
        total_s = 0.0
        for part in self.flown.track.segments():
            in_air = on_ground(part)[:-1] != 1.0
            total_s += float(np.diff(part["time_s"])[in_air].sum())
        return total_s


def make_report(flown: Flown) -> Report:
    """Work a flight out."""
    angle_deg = flown.plan.plan.path_angle_deg
    segments = flown.track.segments() or [flown.track]
    found = [
        approaches(track=part, runways=flown.runways, planned=flown.plan.arrival, angle_deg=angle_deg)
        for part in segments
    ]
    landed = [[one for one in part if one.touchdown is not None] for part in found]
    number = max(range(len(segments)), key=lambda k: (bool(landed[k]), bool(found[k]), k))
    approach = found[number][-1] if found[number] else None
    limits = limits_of(flown)
    return Report(
        flown=flown,
        segment=segments[number],
        approach=approach,
        limits=limits,
        landings=sum(map(len, landed)) if np.isfinite(contact(flown.track)).any() else None,
        verdicts=() if approach is None else tuple(verdicts(approach, limits)),
        miles=() if approach is None else tuple(miles(approach)),
        reactions=tuple(reactions(alerts=flown.alerts, track=flown.track, calls=flown.calls)),
        unknown=tuple(unknown(flown, approach)),
    )


def limits_of(flown: Flown) -> Limits:
    """Return what the flight was to keep: the plan's aircraft and speed, or those of the usual aircraft."""
    profile = flown.plan.profile or read_profile(flown.plan.plan.aircraft or USUAL_PROFILE)
    return Limits(profile=profile, speed_kt=flown.plan.plan.approach_speed_kt or profile.approach_speed_kt)


def miles(approach: Approach) -> list[Mile]:
    """Return the approach at each whole mile that was flown."""
    seen, rows = approach.seen, approach.rows
    distance_nm = seen.distance_nm[rows]
    nearing = np.maximum.accumulate(-distance_nm)
    made = []
    for mile in MILES_NM:
        if not distance_nm.size or not distance_nm.min() < mile < distance_nm.max():
            continue

        def at(column: Array, *, mile: float = mile) -> float:
            return float(np.interp(-mile, nearing, column[rows]))

        speed_kt = at(approach.track["groundspeed_kt"])
        made.append(
            Mile(
                distance_nm=mile,
                height_ft=at(seen.height_ft),
                exact_ft=path.path_height_ft(
                    distance_nm=mile,
                    angle_deg=approach.angle_deg,
                    threshold_crossing_height_ft=approach.end.threshold_crossing_height_ft,
                ),
                rule_ft=rules_of_thumb.path_height_ft(distance_nm=mile),
                sink_fpm=-at(approach.track["vertical_speed_fpm"]),
                exact_sink_fpm=path.sink_rate_to_hold_fpm(groundspeed_kt=speed_kt, angle_deg=approach.angle_deg),
                rule_sink_fpm=rules_of_thumb.sink_rate_fpm(groundspeed_kt=speed_kt),
            )
        )
    return made
