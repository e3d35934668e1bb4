"""Charts: the pictures of one flight, each drawn on axes that the caller places, for HTML and PDF alike.

Alerts carry numbers; the same numbers stand in the table of alerts. Red is a warning and amber a caution, as
regulations have it; everything else is in the page's own colours.
"""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter

from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.real import Array
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.brief.sketch import ACCENT, FAINT, INK
from otherseat.daemon.debrief.approach import Approach
from otherseat.daemon.debrief.gates import centreline_limit_ft
from otherseat.daemon.debrief.reactions import Reaction
from otherseat.daemon.debrief.report import Report
from otherseat.daemon.debrief.track import Track

LEVEL_COLOURS = {"warning": "#b3261e", "caution": "#b07d00", "advice": FAINT}
MOST_POINTS = 1_500
BEFORE_FT = 1_500.0
SIZE = 8.0
RUNWAYS_WITHIN_NM = 60.0


def thinned(count: int) -> slice:
    """Return which rows to draw, so that a chart stays small."""
    return slice(None, None, max(1, -(-count // MOST_POINTS)))


def draw_side(axes: Axes, approach: Approach, report: Report) -> None:
    """Draw the approach from the side: flown, the path with its limits, and 300 ft per NM."""
    limit_deg = report.limits.path_deg
    distance, height = (
        _on_approach(approach, approach.seen.distance_nm),
        _on_approach(approach, approach.seen.height_ft),
    )
    far_nm = max(float(distance.max(initial=1.0)), 1.0)
    line_nm = np.linspace(0.0, far_nm, 60)
    path_ft = approach.path_height_ft(line_nm)
    beyond_nm = approach.end.threshold_crossing_height_ft / np.tan(np.radians(approach.angle_deg)) / FT_PER_NM
    low, high = (
        (line_nm + beyond_nm) * FT_PER_NM * np.tan(np.radians(approach.angle_deg + off))
        for off in (-limit_deg, limit_deg)
    )
    axes.fill_between(
        line_nm, low, high, color=ACCENT, alpha=0.12, lw=0, label=f"gate limit, {report.limits.path_text()}"
    )
    axes.plot(line_nm, path_ft, color=ACCENT, lw=1.0, label=f"path, {approach.angle_deg:.2f}°")
    axes.plot(line_nm, 300.0 * line_nm, color=FAINT, lw=0.8, ls=":", label="300 ft per NM")
    axes.plot(distance, height, color=INK, lw=1.6, label="flown")
    for gate_ft in GATES_FT:
        axes.axhline(gate_ft, color=FAINT, lw=0.4, ls="--")
    top = float(max(np.nanmax(height, initial=500.0), path_ft.max()))
    _mark_alerts(axes, report, approach=approach, y=approach.seen.height_ft)
    finish(axes, x="NM to the threshold", y="ft above threshold")
    axes.set_xlim(far_nm * 1.02, min(float(distance.min(initial=0.0)), 0.0) - 0.1)
    axes.set_ylim(-0.03 * top, top * 1.06)
    axes.legend(fontsize=SIZE - 1, frameon=False, loc="upper right")


def draw_top(axes: Axes, approach: Approach, report: Report) -> None:
    """Draw the approach from above: offset from the centreline, with its limits."""
    distance, offset = (
        _on_approach(approach, approach.seen.distance_nm),
        _on_approach(approach, approach.seen.offset_ft),
    )
    far_nm = max(float(distance.max(initial=1.0)), 1.0)
    line_nm = np.linspace(0.0, far_nm, 2)
    offset_deg = report.limits.profile.offset_deg
    limit_ft = np.array([centreline_limit_ft(distance_nm=nm, offset_deg=offset_deg) for nm in line_nm])
    axes.fill_between(line_nm, -limit_ft, limit_ft, color=ACCENT, alpha=0.12, lw=0)
    axes.axhline(0.0, color=ACCENT, lw=1.0)
    axes.plot(distance, offset, color=INK, lw=1.6)
    _mark_alerts(axes, report, approach=approach, y=approach.seen.offset_ft)
    finish(axes, x="NM to the threshold", y="ft right of centreline")
    axes.set_xlim(far_nm * 1.02, min(float(distance.min(initial=0.0)), 0.0) - 0.1)
    most = max(float(np.nanmax(np.abs(offset), initial=0.0)), float(limit_ft.max())) * 1.1
    axes.set_ylim(most, -most)


def draw_heights(axes: Axes, report: Report) -> None:
    """Draw height over time."""
    track, rows = report.segment, thinned(len(report.segment))
    axes.plot(_minutes(track)[rows], track["altitude_ft"][rows], color=INK, lw=1.3, label="altitude")
    if report.approach is not None:
        axes.axhline(report.approach.end.elevation_ft, color=ACCENT, lw=0.8, label="runway")
    _span_alerts(axes, report)
    finish(axes, x="", y="ft")
    axes.legend(fontsize=SIZE - 1, frameon=False, loc="upper right")


def draw_speeds(axes: Axes, report: Report) -> None:
    """Draw indicated airspeed and groundspeed over time."""
    track, rows = report.segment, thinned(len(report.segment))
    if track.known("indicated_airspeed_kt"):
        axes.plot(_minutes(track)[rows], track["indicated_airspeed_kt"][rows], color=INK, lw=1.3, label="indicated")
    axes.plot(_minutes(track)[rows], track["groundspeed_kt"][rows], color=ACCENT, lw=0.9, label="over ground")
    speed_kt = report.flown.plan.plan.approach_speed_kt
    if speed_kt is not None:
        axes.axhline(speed_kt, color=FAINT, lw=0.7, ls="--", label="planned on final")
    _span_alerts(axes, report)
    finish(axes, x="", y="kt")
    axes.legend(fontsize=SIZE - 1, frameon=False, loc="upper right")


def draw_sink(axes: Axes, report: Report) -> None:
    """Draw vertical speed over time."""
    track, rows = report.segment, thinned(len(report.segment))
    axes.axhline(0.0, color=FAINT, lw=0.5)
    axes.plot(_minutes(track)[rows], track["vertical_speed_fpm"][rows], color=INK, lw=1.0)
    _span_alerts(axes, report)
    finish(axes, x="minutes", y="fpm, up positive")


def draw_calls(axes: Axes, report: Report) -> None:
    """Draw each alert as a bar from raised to ended, with its number, and each call as a tick."""
    shown = _shown(report)
    end_min = report.segment["time_s"][-1] / 60.0
    for row, (number, reaction) in enumerate(shown):
        first = reaction.raised_s / 60.0
        last = end_min if reaction.ended_s is None else first + reaction.ended_s / 60.0
        colour = LEVEL_COLOURS.get(reaction.level, FAINT)
        axes.barh(row, last - first, left=first, height=0.4, color=colour, alpha=0.8)
        axes.annotate(
            f"{number}  {reaction.text}",
            (first, row - 0.3),
            xytext=(0, 1.5),
            textcoords="offset points",
            fontsize=SIZE - 1,
            color=INK,
        )
    times = [call.time_s / 60.0 for call in report.flown.calls if _in_segment(report, call.time_s)]
    axes.plot(times, [-1.0] * len(times), ls="", marker="|", ms=9, color=INK)
    finish(axes, x="minutes", y="")
    axes.set_yticks([-1.0], labels=["said"], fontsize=SIZE)
    axes.set_xlim(*_minutes(report.segment)[[0, -1]])
    axes.set_ylim(len(shown) + 0.3, -1.8)


def draw_ground(axes: Axes, report: Report) -> None:
    """Draw the track over the ground in miles north and east of the runway, with the runways near it; no map."""
    track, rows = report.segment, thinned(len(report.segment))
    ends = report.flown.runways.near(
        latitude_deg=float(np.median(track["latitude_deg"])),
        longitude_deg=float(np.median(track["longitude_deg"])),
        within_nm=RUNWAYS_WITHIN_NM,
    )
    north0, east0 = float(track["latitude_deg"][-1]), float(track["longitude_deg"][-1])
    if report.approach is not None:
        north0, east0 = report.approach.end.latitude_deg, report.approach.end.longitude_deg
    shrink = np.cos(np.radians(north0)) * 60.0
    east = ((track["longitude_deg"] - east0 + 180.0) % 360.0 - 180.0) * shrink
    north = (track["latitude_deg"] - north0) * 60.0
    axes.plot(east[rows], north[rows], color=INK, lw=1.2)
    for end in ends:
        here = ((end.longitude_deg - east0 + 180.0) % 360.0 - 180.0) * shrink, (end.latitude_deg - north0) * 60.0
        course = np.radians(end.course_true_deg)
        length_nm = end.length_ft / FT_PER_NM
        there = here[0] + np.sin(course) * length_nm, here[1] + np.cos(course) * length_nm
        if east.min() - 1.0 < here[0] < east.max() + 1.0 and north.min() - 1.0 < here[1] < north.max() + 1.0:
            axes.plot([here[0], there[0]], [here[1], there[1]], color=ACCENT, lw=2.6, solid_capstyle="butt")
    _mark(axes, report, x=east, y=north, track=track)
    finish(axes, x="NM east of the runway", y="NM north")
    axes.set_aspect("equal", adjustable="datalim")


def draw_touchdown(axes: Axes, approach: Approach) -> None:
    """Draw the runway, the last seconds of flight over it and the point of touchdown; widths are stretched."""
    end, touchdown = approach.end, approach.touchdown
    if touchdown is None:
        return
    half_ft = end.width_ft / 2.0
    axes.fill_between([0.0, end.length_ft], -half_ft, half_ft, color=FAINT, alpha=0.25, lw=0)
    axes.axhline(0.0, color=FAINT, lw=0.6, ls="--")
    along_ft = -approach.seen.distance_nm * FT_PER_NM
    rows = np.flatnonzero((along_ft > -BEFORE_FT) & (np.arange(len(along_ft)) >= approach.first))
    axes.plot(along_ft[rows], approach.seen.offset_ft[rows], color=INK, lw=1.2)
    axes.plot([touchdown.beyond_threshold_ft], [touchdown.offset_ft], marker="v", ms=7, color=ACCENT)
    finish(axes, x="ft beyond the threshold", y="ft right")
    most = max(half_ft * 1.6, abs(touchdown.offset_ft) * 1.3)
    axes.set_ylim(most, -most)
    axes.set_xlim(-BEFORE_FT, end.length_ft + 200.0)


def _on_approach(approach: Approach, column: Array) -> Array:
    part = column[approach.rows]
    return part[thinned(len(part))]


def _minutes(track: Track) -> Array:
    return track["time_s"] / 60.0


def _in_segment(report: Report, time_s: float) -> bool:
    return bool(report.segment["time_s"][0] <= time_s <= report.segment["time_s"][-1])


def _shown(report: Report) -> list[tuple[int, Reaction]]:
    return [
        (number, reaction)
        for number, reaction in enumerate(report.reactions, start=1)
        if _in_segment(report, reaction.raised_s)
    ]


def _mark_alerts(axes: Axes, report: Report, *, approach: Approach, y: Array) -> None:
    inside = np.zeros(len(approach.track), dtype=bool)
    inside[approach.rows] = True
    x = np.where(inside, approach.seen.distance_nm, np.nan)
    _mark(axes, report, x=x, y=y, track=approach.track)


def _mark(axes: Axes, report: Report, *, x: Array, y: Array, track: Track) -> None:
    for number, reaction in enumerate(report.reactions, start=1):
        row = int(np.searchsorted(track["time_s"], reaction.raised_s))
        if not _in_segment(report, reaction.raised_s) or row >= len(track) or not np.isfinite(x[row]):
            continue
        colour = LEVEL_COLOURS.get(reaction.level, FAINT)
        axes.plot([x[row]], [y[row]], marker="o", ms=9, color=colour)
        axes.annotate(str(number), (x[row], y[row]), ha="center", va="center", fontsize=SIZE - 2, color="white")


def _span_alerts(axes: Axes, report: Report) -> None:
    for reaction in report.reactions:
        if not _in_segment(report, reaction.raised_s):
            continue
        first = reaction.raised_s / 60.0
        last = first + (reaction.ended_s or 5.0) / 60.0
        axes.axvspan(first, last, color=LEVEL_COLOURS.get(reaction.level, FAINT), alpha=0.13, lw=0)
    axes.set_xlim(*_minutes(report.segment)[[0, -1]])


def finish(axes: Axes, *, x: str, y: str) -> None:
    """Label the axes and take away what is in the way."""
    axes.set_xlabel(x, fontsize=SIZE, color=FAINT)
    axes.set_ylabel(y, fontsize=SIZE, color=FAINT)
    axes.tick_params(labelsize=SIZE - 0.5, length=2.5, color=FAINT, labelcolor=FAINT)
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,g}"))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("bottom", "left"):
        axes.spines[side].set_color(FAINT)
    axes.patch.set_alpha(0.0)
