"""Gates: at 1,000 and 500 ft above the runway, one short verdict: all in hand, or what is not.

gate-1000, gate-500                      a routine call: path, centreline, sink, speed and configuration all within
                                         limits
gate-1000-unsettled, gate-500-unsettled  advice at the first gate, a caution at the second, naming the first thing that
                                         is not; seen from the gate for say_for_s, so it is out long before 400 ft
Asked                                    once, when the height goes down through the gate on final; what did not arrive
                                         is
                                         not judged
Source                                   FSF ALAR briefing note 7.1, recommended elements of a stabilised approach: on
                                         the
                                         path, speed VREF to VREF + 20 kt, sink no more than 1,000 ft/min, landing
                                         configuration; at 1,000 ft on instruments, 500 ft in visual conditions
"""

import math
from collections.abc import Iterable, Iterator

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
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
    path_deg: float = Field(default=0.7, gt=0)
    """Two dots of a standard glideslope display."""


class Gates:
    """The check for one aircraft."""

    def __init__(self, params: GatesParams) -> None:
        self._params = params
        self._height_ft: float | None = None
        self._verdict: Finding | None = None
        self._until_s = 0.0

    def look(
        self,
        *,
        time_s: float,
        phase: Phase,
        height_above_threshold_ft: float,
        plan: ResolvedPlan,
        profile: AircraftProfile,
        path_deviation_deg: float | None = None,
        offset_ft: float | None = None,
        distance_to_threshold_nm: float | None = None,
        vertical_speed_fpm: float | None = None,
        indicated_airspeed_kt: float | None = None,
        bank_deg: float | None = None,
        gear_down: bool | None = None,
        flaps_ratio: float | None = None,
    ) -> Iterable[Finding]:
        """Return the verdict of the gate just passed."""
        before_ft, self._height_ft = self._height_ft, height_above_threshold_ft
        gate_ft = _passed(before_ft=before_ft, height_ft=height_above_threshold_ft)
        if gate_ft is not None and phase is Phase.FINAL:
            speed_kt = plan.plan.approach_speed_kt or profile.approach_speed_kt
            reasons = list(
                _reasons(
                    (PATH, _beyond(path_deviation_deg, self._params.path_deg)),
                    (CENTRELINE, _is_off(offset_ft, distance_to_threshold_nm, profile.offset_deg)),
                    (SINK, vertical_speed_fpm is not None and -vertical_speed_fpm > profile.most_sink_fpm),
                    (SPEED, _is_speed_off(indicated_airspeed_kt, speed_kt, profile)),
                    (BANK, _beyond(bank_deg, profile.most_bank_deg)),
                    (GEAR, profile.retractable_gear and gear_down is False),
                    (FLAPS, flaps_ratio is not None and flaps_ratio < profile.landing_flaps_ratio - FLAPS_MARGIN),
                )
            )
            self._verdict, self._until_s = _verdict(gate_ft, reasons), time_s + self._params.say_for_s
        if self._verdict is not None and time_s <= self._until_s:
            yield self._verdict


PATH, CENTRELINE, SINK, SPEED, BANK, GEAR, FLAPS = "path", "centreline", "sink rate", "speed", "bank", "gear", "flaps"
FLAPS_MARGIN = 0.05
AIM_NM = 0.8
"""The offset is an angle seen from so far beyond the threshold, as in centreline.py."""


def _passed(*, before_ft: float | None, height_ft: float) -> float | None:
    for gate_ft in (FIRST_FT, SECOND_FT):
        if before_ft is not None and before_ft > gate_ft >= height_ft > gate_ft - WITHIN_FT:
            return gate_ft
    return None


def _reasons(*judged: tuple[str, bool]) -> Iterator[str]:
    return (name for name, is_off in judged if is_off)


def _beyond(value: float | None, limit: float) -> bool:
    return value is not None and abs(value) > limit


def _is_off(offset_ft: float | None, distance_nm: float | None, limit_deg: float) -> bool:
    if offset_ft is None or distance_nm is None or distance_nm <= 0.0:
        return False
    return abs(offset_ft) > math.tan(math.radians(limit_deg)) * (distance_nm + AIM_NM) * FT_PER_NM


def _is_speed_off(speed_kt: float | None, wanted_kt: float, profile: AircraftProfile) -> bool:
    if speed_kt is None:
        return False
    return not wanted_kt - profile.approach_slower_kt <= speed_kt <= wanted_kt + profile.approach_faster_kt


def _verdict(gate_ft: float, reasons: list[str]) -> Finding:
    name = f"gate-{gate_ft:.0f}"
    if not reasons:
        return Finding(alert=name, level=Level.CALL, amount=2.0, phrase=name)
    return Finding(
        alert=f"{name}-unsettled",
        level=Level.ADVICE if gate_ft == FIRST_FT else Level.CAUTION,
        amount=2.0,
        phrase=f"{name}-unsettled",
        values={"reason": " and ".join(reasons[:2])},
    )


ADVISORY = Advisory(
    name="gates",
    alerts=("gate-1000", "gate-1000-unsettled", "gate-500", "gate-500-unsettled"),
    params=GatesParams,
    make=Gates,
)
