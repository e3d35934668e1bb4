"""Gates: at 1,000 and 500 ft above the runway, one short verdict: all in hand, or what is not.

gate-1000, gate-500                      a routine call: path, centreline, sink, speed and configuration all within
                                         limits; an airspeed that nothing tells is said to be not known
gate-1000-unsettled, gate-500-unsettled  advice at the first gate, a caution at the second, naming the first thing that
                                         is not; seen from the gate for say_for_s, so it is out long before 400 ft
Asked   once, when the height goes down through the gate on final; what did not arrive is not judged. A centreline that
        the track meets before the threshold is in hand; a path is not judged by less than the altitude may be wrong
Sink    the mean of the last calm_s: one gust, or one step of a coarse report, is no verdict
Limits  the profile's: path, centreline, sink, speed, bank, gear, flaps
Source  FSF ALAR briefing note 7.1, recommended elements of a stabilised approach: within one dot of the path and the
        localiser (0.35 and 1.25 deg), speed VREF to VREF + 20 kt, sink no more than 1,000 ft/min, landing
        configuration; at 1,000 ft on instruments, 500 ft in visual conditions. Turboprops and jets have the dots;
        light aircraft, flown by eye, twice that (common practice, no source)
"""

import math
import statistics
from collections import deque
from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.airdata import altitude_error_ft
from otherseat.advisories.arrival import closes_on_centreline
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase, Source
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.units import FT_PER_NM

FIRST_FT = 1_000.0
SECOND_FT = 500.0
WITHIN_FT = 120.0
"""So much below the gate it still counts as going through it, whatever the rate of the states."""


class GatesParams(Params):
    """What is within limits."""

    say_for_s: float = Field(default=4.0, gt=0, le=10)
    calm_s: float = Field(default=5.0, ge=0, le=20)


class Gates:
    """The check for one aircraft."""

    def __init__(self, params: GatesParams) -> None:
        self._params = params
        self._height_ft: float | None = None
        self._verdict: Finding | None = None
        self._until_s = 0.0
        self._rates: deque[tuple[float, float]] = deque()

    def look(
        self,
        *,
        time_s: float,
        phase: Phase,
        height_above_threshold_ft: float,
        plan: ResolvedPlan,
        profile: AircraftProfile,
        path_deviation_deg: float | None = None,
        height_above_path_ft: float | None = None,
        altitude_source: Source | None = None,
        offset_ft: float | None = None,
        course_difference_deg: float | None = None,
        distance_to_threshold_nm: float | None = None,
        vertical_speed_fpm: float | None = None,
        indicated_airspeed_kt: float | None = None,
        bank_deg: float | None = None,
        gear_down: bool | None = None,
        flaps_ratio: float | None = None,
    ) -> Iterable[Finding]:
        """Return the verdict of the gate just passed."""
        self._remember(time_s, vertical_speed_fpm)
        before_ft, self._height_ft = self._height_ft, height_above_threshold_ft
        gate_ft = _passed(before_ft=before_ft, height_ft=height_above_threshold_ft)
        if gate_ft is not None and phase is Phase.FINAL:
            reasons = unsettled(
                profile=profile,
                approach_speed_kt=plan.plan.approach_speed_kt or profile.approach_speed_kt,
                path_deviation_deg=_certain_deg(path_deviation_deg, height_above_path_ft, altitude_source),
                offset_deg=_offset_deg(offset_ft, distance_to_threshold_nm, course_difference_deg),
                vertical_speed_fpm=self._calmed_fpm(),
                indicated_airspeed_kt=indicated_airspeed_kt,
                bank_deg=bank_deg,
                gear_down=gear_down,
                flaps_ratio=flaps_ratio,
            )
            unjudged = SPEED_UNKNOWN if indicated_airspeed_kt is None else ""
            self._verdict, self._until_s = _verdict(gate_ft, reasons, unjudged), time_s + self._params.say_for_s
        if self._verdict is not None and time_s <= self._until_s:
            yield self._verdict

    def _remember(self, time_s: float, vertical_speed_fpm: float | None) -> None:
        if vertical_speed_fpm is None:
            self._rates.clear()
            return
        self._rates.append((time_s, vertical_speed_fpm))
        while not 0.0 <= time_s - self._rates[0][0] <= self._params.calm_s:
            self._rates.popleft()

    def _calmed_fpm(self) -> float | None:
        return statistics.fmean([rate for _, rate in self._rates]) if self._rates else None


PATH, CENTRELINE, SINK, SPEED, BANK, GEAR, FLAPS = "path", "centreline", "sink", "speed", "bank", "gear", "flaps"
IN_WORDS = {
    PATH: "off path",
    CENTRELINE: "off centreline",
    SINK: "too much sink",
    SPEED: "speed is off",
    BANK: "too much bank",
    GEAR: "gear is up",
    FLAPS: "flaps not set",
}
SPEED_UNKNOWN = "speed unknown"
"""Stable without a word about it would be believed of the speed too."""
FLAPS_MARGIN = 0.05
AIM_NM = 0.8
"""The offset is an angle seen from so far beyond the threshold, as in centreline.py."""


def _passed(*, before_ft: float | None, height_ft: float) -> float | None:
    for gate_ft in (FIRST_FT, SECOND_FT):
        if before_ft is not None and before_ft > gate_ft >= height_ft > gate_ft - WITHIN_FT:
            return gate_ft
    return None


def unsettled(
    *,
    profile: AircraftProfile,
    approach_speed_kt: float,
    path_deviation_deg: float | None = None,
    offset_deg: float | None = None,
    vertical_speed_fpm: float | None = None,
    indicated_airspeed_kt: float | None = None,
    bank_deg: float | None = None,
    gear_down: bool | None = None,
    flaps_ratio: float | None = None,
) -> list[str]:
    """Return the names of what is outside the profile's limits, the first to be named first; None is not judged."""
    slowest_kt, fastest_kt = (
        approach_speed_kt - profile.approach_slower_kt,
        approach_speed_kt + profile.approach_faster_kt,
    )
    judged = (
        (PATH, _beyond(path_deviation_deg, profile.path_deviation_deg)),
        (CENTRELINE, _beyond(offset_deg, profile.offset_deg)),
        (SINK, vertical_speed_fpm is not None and -vertical_speed_fpm > profile.most_sink_fpm),
        (SPEED, indicated_airspeed_kt is not None and not slowest_kt <= indicated_airspeed_kt <= fastest_kt),
        (BANK, _beyond(bank_deg, profile.most_bank_deg)),
        (GEAR, profile.retractable_gear and gear_down is False),
        (FLAPS, flaps_ratio is not None and flaps_ratio < profile.landing_flaps_ratio - FLAPS_MARGIN),
    )
    return [name for name, is_off in judged if is_off]


def _beyond(value: float | None, limit: float) -> bool:
    return value is not None and abs(value) > limit


def _certain_deg(deviation_deg: float | None, height_ft: float | None, source: Source | None) -> float | None:
    """Return the deviation from the path; 0 when it is no more than the altitude may be wrong."""
    if deviation_deg is None or height_ft is None:
        return deviation_deg
    return deviation_deg if abs(height_ft) >= altitude_error_ft(source) else 0.0


def _offset_deg(offset_ft: float | None, distance_nm: float | None, difference_deg: float | None) -> float | None:
    """Return the angle off the centreline, seen from AIM_NM beyond the threshold; 0 while the track closes on it."""
    if offset_ft is None or distance_nm is None or distance_nm <= 0.0:
        return None
    if difference_deg is not None and closes_on_centreline(
        offset_ft=offset_ft, course_difference_deg=difference_deg, distance_nm=distance_nm
    ):
        return 0.0
    return math.degrees(math.atan2(offset_ft, (distance_nm + AIM_NM) * FT_PER_NM))


def _verdict(gate_ft: float, reasons: list[str], unjudged: str) -> Finding:
    name = f"gate-{gate_ft:.0f}"
    if not reasons:
        values: dict[str, float | str] = {"unjudged": unjudged} if unjudged else {}
        return Finding(alert=name, level=Level.CALL, amount=2.0, phrase=name, values=values)
    return Finding(
        alert=f"{name}-unsettled",
        level=Level.ADVICE if gate_ft == FIRST_FT else Level.CAUTION,
        amount=2.0,
        phrase=f"{name}-unsettled",
        values={"reason": IN_WORDS[reasons[0]]},
    )


ADVISORY = Advisory(
    name="gates",
    alerts=("gate-1000", "gate-1000-unsettled", "gate-500", "gate-500-unsettled"),
    params=GatesParams,
    make=Gates,
)
