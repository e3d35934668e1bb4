"""Gates: whether the approach was stable at 1,000 ft and at 500 ft above the threshold.

Path        within PATH_DEG of the path: one dot of a standard glideslope display
Centreline  within one dot of a localizer display that is 105 m wide to either side at the threshold and narrows to the
            far end of the runway
Sink        no more than SINK_FPM
Speed       from SLOW_KT below to FAST_KT above the planned approach speed
Wings       bank no more than BANK_DEG at 500 ft
Gear        down, when it is reported
Source      FSF ALAR Tool Kit, briefing note 7.1: recommended elements of a stabilised approach, and the deviations to
            be called (speed -5 to +10 kt, bank 7 deg; from memory). The widths of a dot are ICAO Annex 10 vol. I,
            3.1.3.7 and 3.1.5.6 (from memory)
What is not known is not judged, and said so.
"""

from dataclasses import dataclass

import numpy as np

from otherseat.advisories import path
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.real import Array
from otherseat.advisories.units import FT_PER_M, FT_PER_NM
from otherseat.daemon.debrief.approach import Approach

PATH_DEG = 0.35
SINK_FPM = 1_000.0
SLOW_KT, FAST_KT = 5.0, 10.0
BANK_DEG = 7.0
DOT_AT_THRESHOLD_FT = 105.0 * FT_PER_M / 2.0
ANTENNA_BEYOND_FT = 1_000.0


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
            return "not known"
        return f"not stable: {', '.join(outside)}" if outside else "stable"


def verdicts(approach: Approach, *, speed_kt: float | None) -> list[Verdict]:
    """Return the verdict at each gate; speed_kt is the planned approach speed."""
    return [_verdict(approach, gate_ft=gate_ft, speed_kt=speed_kt) for gate_ft in GATES_FT]


def gate_row(approach: Approach, *, gate_ft: float) -> int | None:
    """Return the first row below the gate after the last time above it, or None."""
    height_ft = approach.seen.height_ft[approach.rows]
    above = np.flatnonzero(height_ft > gate_ft)
    if not len(above) or above[-1] + 1 >= len(height_ft):
        return None
    return approach.first + int(above[-1]) + 1


def centreline_limit_ft(*, distance_nm: float, length_ft: float) -> float:
    """Return how far off the centreline is one dot."""
    to_antenna_ft = length_ft + ANTENNA_BEYOND_FT
    return DOT_AT_THRESHOLD_FT * (distance_nm * FT_PER_NM + to_antenna_ft) / to_antenna_ft


def _verdict(approach: Approach, *, gate_ft: float, speed_kt: float | None) -> Verdict:
    row = gate_row(approach, gate_ft=gate_ft)
    if row is None:
        return Verdict(gate_ft=gate_ft, row=None)
    items = [_path(approach, row), _centreline(approach, row), _sink(approach, row), _speed(approach, row, speed_kt)]
    if gate_ft <= GATES_FT[-1]:
        items.append(_wings(approach, row))
    items.append(_gear(approach, row))
    return Verdict(gate_ft=gate_ft, row=row, items=tuple(items))


def _path(approach: Approach, row: int) -> Item:
    seen = approach.seen
    off_deg = path.deviation_deg(
        height_ft=float(seen.height_ft[row]),
        distance_nm=float(seen.distance_nm[row]),
        angle_deg=approach.angle_deg,
        threshold_crossing_height_ft=approach.end.threshold_crossing_height_ft,
    )
    off_ft = float(seen.height_ft[row] - approach.path_height_ft(seen.distance_nm[row : row + 1])[0])
    was = f"{abs(off_ft):.0f} ft {'high' if off_ft >= 0.0 else 'low'} ({off_deg:+.2f}°)"
    return Item("path", was, f"±{PATH_DEG}°", abs(off_deg) <= PATH_DEG)


def _centreline(approach: Approach, row: int) -> Item:
    seen = approach.seen
    limit_ft = centreline_limit_ft(distance_nm=float(seen.distance_nm[row]), length_ft=approach.end.length_ft)
    offset_ft = float(seen.offset_ft[row])
    was = f"{abs(offset_ft):.0f} ft {'right' if offset_ft >= 0.0 else 'left'}"
    return Item("centreline", was, f"±{limit_ft:.0f} ft", abs(offset_ft) <= limit_ft)


def _sink(approach: Approach, row: int) -> Item:
    sink_fpm = -_near(approach.track["vertical_speed_fpm"], approach.track["time_s"], row)
    if not np.isfinite(sink_fpm):
        return Item("sink", "not known", f"≤ {SINK_FPM:,.0f} fpm", None)
    return Item("sink", f"{sink_fpm:.0f} fpm", f"≤ {SINK_FPM:,.0f} fpm", sink_fpm <= SINK_FPM)


def _speed(approach: Approach, row: int, speed_kt: float | None) -> Item:
    now_kt = _near(approach.track["indicated_airspeed_kt"], approach.track["time_s"], row)
    if not np.isfinite(now_kt):
        return Item("speed", "not known", "-", None)
    if speed_kt is None:
        return Item("speed", f"{now_kt:.0f} kt", "no approach speed planned", None)
    limit = f"{speed_kt - SLOW_KT:.0f} to {speed_kt + FAST_KT:.0f} kt"
    return Item("speed", f"{now_kt:.0f} kt", limit, speed_kt - SLOW_KT <= now_kt <= speed_kt + FAST_KT)


def _wings(approach: Approach, row: int) -> Item:
    bank_deg = _near(approach.track["bank_deg"], approach.track["time_s"], row)
    if not np.isfinite(bank_deg):
        return Item("wings", "not known", f"≤ {BANK_DEG:.0f}°", None)
    return Item("wings", f"{abs(bank_deg):.0f}° bank", f"≤ {BANK_DEG:.0f}°", abs(bank_deg) <= BANK_DEG)


def _gear(approach: Approach, row: int) -> Item:
    down = float(approach.track["gear_down"][row])
    if not np.isfinite(down):
        return Item("gear", "not known", "down", None)
    return Item("gear", "down" if down else "UP", "down", bool(down))


def _near(column: Array, time_s: Array, row: int) -> float:
    """Return the mean over the two seconds around a row, so that one gust is no verdict; NaN when not known."""
    around = column[np.abs(time_s - time_s[row]) <= 1.0]
    return float(np.nanmean(around)) if np.isfinite(around).any() else float("nan")
