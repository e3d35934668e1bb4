"""Gates: whether the approach was stable at each gate, item by item, with the limits that the live check uses.

Limits      otherseat.advisories.gates and the aircraft's profile, so that page and voice agree; where they come from
            stands there
Row         the first state below the gate after the last one above it
Calmed      sink, speed and bank are means over the two seconds around it, so that one gust is no verdict
What is not known is not judged, and said so.
"""

import math
from dataclasses import dataclass

import numpy as np

from otherseat.advisories import path
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.gates import (
    AIM_NM,
    BANK,
    CENTRELINE,
    FLAPS,
    FLAPS_MARGIN,
    GEAR,
    PATH,
    SINK,
    SPEED,
    SPEED_UNKNOWN,
)
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.real import Array
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.debrief.approach import Approach

AROUND_S = 1.0
NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Limits:
    """What was to be kept."""

    profile: AircraftProfile
    speed_kt: float

    @property
    def path_deg(self) -> float:
        """The path's limit."""
        return self.profile.path_deviation_deg

    def path_text(self) -> str:
        """Return the path's limit in words."""
        return f"±{self.path_deg:g}°"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing looked at: what it was, what it may be, and whether it was inside; None when not known."""

    name: str
    was: str
    limit: str
    inside: bool | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """One gate."""

    gate_ft: float
    row: int | None
    """The row at the gate; None when the approach did not come through it."""
    items: tuple[Item, ...] = ()

    @property
    def stable(self) -> bool | None:
        """Whether everything known was inside; None when the gate was not passed or nothing is known."""
        known = [item.inside for item in self.items if item.inside is not None]
        return all(known) if known else None

    @property
    def word(self) -> str:
        """The verdict in a word or two."""
        if self.row is None:
            return "not passed"
        outside = [item.name for item in self.items if item.inside is False]
        if self.stable is None:
            return NOT_KNOWN
        if outside:
            return f"not stable: {', '.join(outside)}"
        unknown = any(item.name == SPEED and item.inside is None for item in self.items)
        return f"stable, {SPEED_UNKNOWN}" if unknown else "stable"


def verdicts(approach: Approach, limits: Limits) -> list[Verdict]:
    """Return the verdict at each gate."""
    return [_verdict(approach, limits, gate_ft=gate_ft) for gate_ft in GATES_FT]


def gate_row(approach: Approach, *, gate_ft: float) -> int | None:
    """Return the first row below the gate after the last time above it, or None."""
    height_ft = approach.seen.height_ft[approach.rows]
    above = np.flatnonzero(height_ft > gate_ft)
    if not len(above) or above[-1] + 1 >= len(height_ft):
        return None
    return approach.first + int(above[-1]) + 1


def centreline_limit_ft(*, distance_nm: float, offset_deg: float) -> float:
    """Return how far off the centreline that angle is, seen from AIM_NM beyond the threshold."""
    return math.tan(math.radians(offset_deg)) * (distance_nm + AIM_NM) * FT_PER_NM


def _verdict(approach: Approach, limits: Limits, *, gate_ft: float) -> Verdict:
    row = gate_row(approach, gate_ft=gate_ft)
    if row is None:
        return Verdict(gate_ft=gate_ft, row=None)
    judges = (_path, _centreline, _sink, _speed, _bank, _gear, _flaps)
    items = [judge(approach, limits, row) for judge in judges]
    return Verdict(gate_ft=gate_ft, row=row, items=tuple(item for item in items if item is not None))


def _path(approach: Approach, limits: Limits, row: int) -> Item:
    seen = approach.seen
    off_deg = path.deviation_deg(
        height_ft=float(seen.height_ft[row]),
        distance_nm=float(seen.distance_nm[row]),
        angle_deg=approach.angle_deg,
        threshold_crossing_height_ft=approach.end.threshold_crossing_height_ft,
    )
    off_ft = float(seen.height_ft[row] - approach.path_height_ft(seen.distance_nm[row : row + 1])[0])
    was = f"{abs(off_ft):.0f} ft {'high' if off_ft >= 0.0 else 'low'} ({off_deg:+.2f}°)"
    if approach.height_error_ft is None:
        return Item(PATH, NOT_KNOWN, limits.path_text(), None)
    return Item(PATH, was, limits.path_text(), abs(off_deg) <= limits.path_deg)


def _centreline(approach: Approach, limits: Limits, row: int) -> Item:
    seen = approach.seen
    limit_ft = centreline_limit_ft(distance_nm=float(seen.distance_nm[row]), offset_deg=limits.profile.offset_deg)
    offset_ft = float(seen.offset_ft[row])
    was = f"{abs(offset_ft):.0f} ft {'right' if offset_ft >= 0.0 else 'left'}"
    return Item(CENTRELINE, was, f"±{limit_ft:.0f} ft", abs(offset_ft) <= limit_ft)


def _sink(approach: Approach, limits: Limits, row: int) -> Item:
    most_fpm = limits.profile.most_sink_fpm
    sink_fpm = -_around(approach, "vertical_speed_fpm", row)
    return _judged(SINK, sink_fpm, f"{sink_fpm:.0f} fpm", f"≤ {most_fpm:,.0f} fpm", inside=sink_fpm <= most_fpm)


def _speed(approach: Approach, limits: Limits, row: int) -> Item:
    low_kt = limits.speed_kt - limits.profile.approach_slower_kt
    high_kt = limits.speed_kt + limits.profile.approach_faster_kt
    now_kt = _around(approach, "indicated_airspeed_kt", row)
    limit = f"{low_kt:.0f} to {high_kt:.0f} kt"
    return _judged(SPEED, now_kt, f"{now_kt:.0f} kt", limit, inside=low_kt <= now_kt <= high_kt)


def _bank(approach: Approach, limits: Limits, row: int) -> Item:
    most_deg = limits.profile.most_bank_deg
    bank_deg = abs(_around(approach, "bank_deg", row))
    return _judged(BANK, bank_deg, f"{bank_deg:.0f}°", f"≤ {most_deg:.0f}°", inside=bank_deg <= most_deg)


def _gear(approach: Approach, limits: Limits, row: int) -> Item | None:
    if not limits.profile.retractable_gear:
        return None
    down = float(approach.track["gear_down"][row])
    return _judged(GEAR, down, "down" if down else "UP", "down", inside=bool(down))


def _flaps(approach: Approach, limits: Limits, row: int) -> Item | None:
    least = limits.profile.landing_flaps_ratio
    if least <= 0.0:
        return None
    flaps = float(approach.track["flaps_ratio"][row])
    return _judged(
        FLAPS, flaps, f"{100.0 * flaps:.0f} %", f"≥ {100.0 * least:.0f} %", inside=flaps >= least - FLAPS_MARGIN
    )


def _judged(name: str, value: float, was: str, limit: str, *, inside: bool) -> Item:
    known = math.isfinite(value)
    return Item(name, was if known else NOT_KNOWN, limit, inside if known else None)


def _around(approach: Approach, name: str, row: int) -> float:
    """Return the mean over the two seconds around a row; NaN when not known."""
    column: Array = approach.track[name]
    time_s = approach.track["time_s"]
    around = column[np.abs(time_s - time_s[row]) <= AROUND_S]
    return float(np.nanmean(around)) if np.isfinite(around).any() else math.nan
