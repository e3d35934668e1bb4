"""Page: one aircraft, as a page of a handbook. Numbered chapters, whole words, and the age of what is old.

Colour is never the only sign: red is for the word "warning", amber for the word "caution", and nothing else has one.
"""

import io
from collections.abc import Iterable, Iterator, Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from otherseat.advisories.glidepath import LEAST_SINK_FPM
from otherseat.advisories.levels import Level
from otherseat.advisories.picture import Phase, Picture, Source
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.check_words import sorted_out, wanted
from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.direction_words import direction
from otherseat.daemon.final_approach import how_far_beside, is_on_path
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.messages import CallMessage, PlanMessage
from otherseat.daemon.scene import OLD_S, Scene, Seat
from otherseat.daemon.wind_words import sided

LEVEL_STYLE = {Level.WARNING: "bold red", Level.CAUTION: "bold #d78700", Level.ADVICE: "bold", Level.CALL: ""}
LABEL_WIDTH = 13
WIDTH = 96
TITLES = {
    1: "What stands",
    2: "The path down",
    3: "Runway and wind",
    4: "Destination",
    5: "The aircraft",
    6: "Said last",
    7: "What is watched",
}
IMPORTANCE = (1, 6, 2, 3, 5, 4, 7)
"""The chapters by how soon a pilot misses them, for a window that can't hold all."""
MIDDLE = (2, 3, 4, 5)
SAID_TIGHT = 2
LEVEL_WITHIN_FPM = 50.0
"""Slower climbing or sinking than that is level: common practice, no source."""
AGAINST_DEG = 150.0
"""A track turned further than that from the runway's course is the downwind: no side to mend it by. No source."""
ON_GROUND = frozenset({Phase.PARKED, Phase.TAXI, Phase.TAKE_OFF, Phase.LANDED})
THERE_WITHIN_NM = 3.0
"""Nearer than that to the destination, off its runways, an aircraft on the ground has arrived: no source."""
ACROSS = "crosswind {} kt from the "

Row = tuple[str | Text, RenderableType]


def level_word(level: Level) -> Text:
    """Return a level as a word in its own style."""
    return Text(level.word, style=LEVEL_STYLE[level])


def age(age_s: float) -> str:
    """Return an age in words."""
    if age_s < 60:  # noqa: PLR2004 - seconds in a minute
        return f"{age_s:.1f} s old"
    return f"{age_s / 60:.0f} min old"


def page(scene: Scene, seat: Seat, *, now_s: float, width: int = WIDTH, lines: int | None = None) -> RenderableType:
    """Return the page of one aircraft; two columns where there is room for them.

    In a window of fewer lines than the whole page takes, the chapters that matter most are shown, and the numbers of
    the others stand at the end.
    """
    whole = _bound(scene, seat, now_s=now_s, width=width, shown=IMPORTANCE)
    if lines is None or _height(whole, width=width) <= lines:
        return whole
    for most in range(len(IMPORTANCE), 0, -1):
        some = _bound(scene, seat, now_s=now_s, width=width, shown=IMPORTANCE[:most], tight=True)
        if _height(some, width=width) <= lines:
            return some
    return some


def _bound(
    scene: Scene, seat: Seat, *, now_s: float, width: int, shown: Sequence[int], tight: bool = False
) -> RenderableType:
    """Return the page with the chapters that are shown; tight: no empty lines, and little of what was said."""
    old = old_words(seat, now_s=now_s)
    rows = rows_of(scene, seat, now_s=now_s, calls=SAID_TIGHT if tight else None)
    chapters = {
        number: _chapter(number, title, rows[number], old if number in MIDDLE else None, tight=tight)
        for number, title in TITLES.items()
    }
    middle = [chapters[number] for number in MIDDLE if number in shown]
    left_out = [number for number in sorted(IMPORTANCE) if number not in shown]
    return Group(
        _head(scene, seat, now_s),
        *(chapters[number] for number in (1,) if number in shown),
        *(middle if width < WIDTH or len(middle) < 2 else [_beside(*middle)]),  # noqa: PLR2004 - two make a pair
        *(chapters[number] for number in (6, 7) if number in shown),
        *([Text(f"A taller window shows {_listed(left_out)} as well.", style="dim")] if left_out else []),
    )


def old_words(seat: Seat, *, now_s: float) -> str | None:
    """Return how old the numbers of an aircraft are; None while they are new, or there are none."""
    old_s = seat.age.seconds(now_s=now_s)
    return None if old_s is None or old_s <= OLD_S else age(old_s)


def rows_of(scene: Scene, seat: Seat, *, now_s: float, calls: int | None = None) -> dict[int, list[Row]]:
    """Return each chapter's rows, by its number in TITLES; calls: how many at most of what was said, None for all."""
    said = list(reversed(seat.calls))[:calls]
    return {
        1: list(_standing(seat)),
        2: list(_path(seat.picture)),
        3: list(_runway(seat)),
        4: list(_destination(seat)),
        5: list(_aircraft(seat.picture)),
        6: _calls(said, past=scene.past),
        7: list(_watched(scene, seat, now_s)),
    }


def _listed(numbers: Sequence[int]) -> str:
    *first, last = [str(number) for number in numbers]
    return f"chapters {', '.join(first)} and {last}" if first else f"chapter {last}"


def _height(screen: RenderableType, *, width: int) -> int:
    console = Console(file=io.StringIO(), width=width, color_system=None, highlight=False)
    return len(console.render_lines(screen, pad=False))


def _beside(*blocks: RenderableType) -> RenderableType:
    columns = Table.grid(expand=True, padding=(0, 2))
    columns.add_column(ratio=1)
    columns.add_column(ratio=1)
    half = (len(blocks) + 1) // 2
    columns.add_row(Group(*blocks[:half]), Group(*blocks[half:]))
    return columns


def waiting(where: str) -> RenderableType:
    """Return the page while nothing has been heard."""
    return Group(
        Text("Otherseat", style="bold"),
        safety(),
        Text(f"\nNothing heard yet at {where}. Is the daemon running, and does the simulator send?"),
    )


def safety() -> RenderableType:
    """Return the caution that stands at the head of every screen, where no small window cuts it off."""
    return Group(Text(CAUTION_LINE, style="italic"), Rule(style="dim"))


def _head(scene: Scene, seat: Seat, now_s: float) -> RenderableType:
    line = Table.grid(expand=True)
    line.add_column()
    line.add_column(justify="right")
    phase = seat.picture.phase.value if seat.picture is not None else "no picture yet"
    name = Text.assemble(("Otherseat", "bold"), f"   {scene.name_of(seat.session)}, aircraft {seat.aircraft}")
    line.add_row(name, Text(phase, style="bold"))
    parts: list[RenderableType] = [line, safety()]
    if scene.is_missing(seat.session, now_s=now_s):
        parts.append(Text("The daemon is not heard any more: everything here is old.", style="bold reverse"))
    elif seat.silent:
        parts.append(Text("Blind: nothing that can be used comes from the simulator.", style="bold reverse"))
    return Group(*parts)


def _chapter(
    number: int, title: str, rows: Iterable[Row], mark: str | None = None, *, tight: bool = False
) -> RenderableType:
    head = Text.assemble((f"{number}  {title}", "bold underline"))
    if mark is not None:
        head.append("  ").append(mark, style="bold reverse")
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=LABEL_WIDTH, justify="right")
    grid.add_column()
    for label, value in list(rows) or [("", "nothing")]:
        grid.add_row(Text(label, style="dim") if isinstance(label, str) else label, value)
    return Padding(Group(head, grid), (0 if tight else 1, 0, 0, 0))


def _standing(seat: Seat) -> Iterator[Row]:
    now_s = seat.picture.time_s if seat.picture is not None else None
    for alert in seat.ranked:
        text = Text(alert.text, style="" if alert.acknowledged else "bold")
        if now_s is not None and now_s >= alert.raised_s:
            text.append(f"  for {now_s - alert.raised_s:.0f} s", style="not bold")
        if alert.acknowledged:
            text.append("  acknowledged", style="dim")
        yield level_word(alert.level), text


def _path(picture: Picture | None) -> Iterator[Row]:
    if picture is None or picture.phase in ON_GROUND or picture.height_above_path_ft is None:
        return
    if (beside := how_far_beside(picture)) is not None:
        yield "now", f"not on the final approach, but {beside} of it"
        return
    yield "now", Text(_off_path(picture), style="bold")
    if picture.distance_to_threshold_nm is not None:
        above = picture.height_above_threshold_ft
        height = "" if above is None else f", {above:,.0f} ft above it"
        yield "to go", f"{picture.distance_to_threshold_nm:.1f} NM to the threshold{height}"
    if picture.sink_to_hold_fpm is not None:
        yield "sink", f"{picture.sink_to_hold_fpm:.0f} fpm holds it{_regain(picture)}"


def _off_path(picture: Picture) -> str:
    off_ft = picture.height_above_path_ft or 0.0
    degrees = "" if picture.path_deviation_deg is None else f" ({abs(picture.path_deviation_deg):.1f}\N{DEGREE SIGN})"
    if is_on_path(picture):
        return "on the path"
    return f"{abs(off_ft):,.0f} ft {'above' if off_ft > 0 else 'below'} the path{degrees}"


def _regain(picture: Picture) -> str:
    if picture.next_gate_ft is None:
        return ""
    if picture.sink_to_regain_fpm is None:
        return f", and nothing regains it by {picture.next_gate_ft:,.0f} ft"
    if picture.sink_to_regain_fpm < LEAST_SINK_FPM:  # level until it is met: a climb would be thousands near the gate
        return ", level off to regain it"
    return f", {picture.sink_to_regain_fpm:.0f} fpm regains it by {picture.next_gate_ft:,.0f} ft"


def _runway(seat: Seat) -> Iterator[Row]:
    picture = seat.picture
    if picture is None:
        return
    if picture.phase in ON_GROUND:
        yield from _ground(picture, seat.plan)
        return
    if picture.runway is not None:
        yield "runway", Text.assemble((picture.runway, "bold"), f"  by {picture.runway_source or 'plan'}")
    if picture.tracked_runway is not None and picture.tracked_runway != picture.runway:
        yield "tracking to", Text(picture.tracked_runway, style="bold")
    if picture.offset_ft is not None:
        yield "offset", _offset(picture)
    yield from _runway_wind(picture)


def _ground(picture: Picture, plan: PlanMessage | None) -> Iterator[Row]:
    """Yield where the aircraft stands or rolls, and the end that the plan takes off from while that is to come."""
    here = picture.surface_runway
    if here is not None or picture.phase is not Phase.TAKE_OFF:  # airborne, the runway is behind
        yield ("standing on" if picture.phase is Phase.PARKED else "on"), Text(here or "no runway", style="bold")
    planned = None if plan is None or picture.phase is Phase.LANDED else plan.departure
    if planned is not None and _may_leave_from(planned.airfield, picture):
        yield "take-off from", Text.assemble((planned.name, "bold"), "  by plan")
    if here is not None and picture.runway_ahead_ft is not None:
        yield "ahead", f"{picture.runway_ahead_ft:,.0f} ft of runway"
    if here is not None and here == picture.runway:
        yield from _runway_wind(picture)


def _may_leave_from(airfield: str, picture: Picture) -> bool:
    if picture.surface_runway is not None:
        return picture.surface_runway.startswith(f"{airfield}/")
    there_nm = picture.distance_to_destination_nm
    return airfield == picture.destination or there_nm is None or there_nm > THERE_WITHIN_NM


def _runway_wind(picture: Picture) -> Iterator[Row]:
    if picture.headwind_kt is not None and picture.crosswind_kt is not None:
        along = sided(picture.headwind_kt, positive="headwind {} kt", negative="tailwind {} kt", nothing="no headwind")
        across = sided(
            picture.crosswind_kt, positive=ACROSS + "right", negative=ACROSS + "left", nothing="no crosswind"
        )
        yield "wind", f"{along}, {across}"


def _side(right: float) -> str:
    return "right" if right >= 0 else "left"


def _offset(picture: Picture) -> str:
    offset_ft = picture.offset_ft or 0.0
    far = f"{abs(offset_ft):,.0f} ft" if abs(offset_ft) < FT_PER_NM else f"{abs(offset_ft) / FT_PER_NM:.1f} NM"
    where = f"{far} {_side(offset_ft)} of the centreline"
    turn = picture.course_difference_deg
    if turn is None:
        return where
    if abs(turn) < 1:
        return f"{where}, tracking along it"
    if abs(turn) > AGAINST_DEG:
        return f"{where}, tracking the opposite way"
    return f"{where}, tracking {abs(turn):.0f}\N{DEGREE SIGN} {_side(turn)} of the runway's course"


def _destination(seat: Seat) -> Iterator[Row]:
    picture = seat.picture
    if picture is None or picture.destination is None:
        return
    field = None if seat.plan is None else seat.plan.destination
    named = "" if field is None or field.ident != picture.destination else f"  {field.name}"
    yield "to", Text.assemble((picture.destination, "bold"), named)
    if picture.distance_to_destination_nm is not None:
        bearing_deg, variation_deg = picture.bearing_to_destination_deg, picture.magnetic_variation_deg
        towards = "" if bearing_deg is None else f", bearing {direction(bearing_deg, variation_deg)}"
        yield "distance", f"{picture.distance_to_destination_nm:.1f} NM{towards}{_closing(picture)}"
    leaving = picture.closing_speed_kt is None or picture.closing_speed_kt < 0
    if leaving and picture.past_destination_nm is not None and picture.past_destination_nm > 0:
        yield "passed", Text(f"{picture.past_destination_nm:.1f} NM beyond the closest point", style="bold")


def _closing(picture: Picture) -> str:
    closing_kt = picture.closing_speed_kt
    if closing_kt is None or abs(closing_kt) < 1:
        return ""
    return f", {'nearing' if closing_kt >= 0 else 'leaving'} at {abs(closing_kt):.0f} kt"


def _aircraft(picture: Picture | None) -> Iterator[Row]:
    if picture is None:
        return
    if picture.altitude_ft is not None:
        yield "altitude", f"{picture.altitude_ft:,.0f} ft{_by(picture.altitude_source)}"
    yield from _directions(picture)
    if picture.indicated_airspeed_kt is not None:
        yield "indicated", f"{picture.indicated_airspeed_kt:.0f} kt{_by(picture.indicated_airspeed_source)}"
    if picture.true_airspeed_kt is not None:
        yield "true airspeed", f"{picture.true_airspeed_kt:.0f} kt{_by(picture.true_airspeed_source)}"
    if picture.groundspeed_kt is not None:
        yield "groundspeed", f"{picture.groundspeed_kt:.0f} kt{_rate(picture)}"
    if picture.wind_from_true_deg is not None and picture.wind_speed_kt is not None:
        from_ = direction(picture.wind_from_true_deg, picture.magnetic_variation_deg)
        yield "wind", f"from {from_}, {picture.wind_speed_kt:.0f} kt{_by(picture.wind_source)}"


def _directions(picture: Picture) -> Iterator[Row]:
    """Yield heading and track in one line, or the one that is known; who stands still has no track."""
    heading_deg, variation_deg = picture.heading_true_deg, picture.magnetic_variation_deg
    track_deg = None if picture.phase is Phase.PARKED else picture.track_true_deg
    track = "" if track_deg is None else direction(track_deg, variation_deg)
    if heading_deg is not None:
        yield "heading", direction(heading_deg, variation_deg) + (f", track {track}" if track else "")
    elif track:
        yield "track", track


def _rate(picture: Picture) -> str:
    climb_fpm = picture.vertical_speed_fpm
    if climb_fpm is None or picture.phase in ON_GROUND - {Phase.TAKE_OFF}:
        return ""
    if abs(climb_fpm) < LEVEL_WITHIN_FPM:
        return ", level"
    return f", {'climbing' if climb_fpm > 0 else 'sinking'} {abs(climb_fpm):,.0f} fpm"


def _by(source: Source | None) -> str:
    return "" if source is None else f", {source.value}"


def _calls(calls: Iterable[CallMessage], *, past: bool) -> list[Row]:
    rows: list[Row] = [(clock_words(call.time_s), _said(call.level, call.text)) for call in calls]
    return rows if rows or past else [("", "nothing since this screen was opened")]


def _said(level: Level, text: str) -> Text:
    return Text.assemble(level_word(level), "  ", text) if level is not Level.CALL else Text(text)


def _watched(scene: Scene, seat: Seat, now_s: float) -> Iterator[Row]:
    checks = sorted_out({} if seat.standing is None else seat.standing.live)
    if checks.working:
        yield "at work", ", ".join(checks.working)
    if checks.waiting:
        yield "waiting", f"for a runway, a plan or their moment: {', '.join(checks.waiting)}"
    for unsent, names in checks.blind.items():
        yield "blind", f"{', '.join(names)}: for want of {wanted(unsent)}"
    for name, reason in checks.off.items():
        yield "off", f"{name}, {reason}"
    daemon = scene.daemons.get(seat.session)
    if daemon is None:
        return
    for source in daemon.health.sources:
        refused = sum(source.refused.values())
        why = "" if not refused else f", {refused:,} refused ({', '.join(sorted(source.refused))})"
        yield "source", f"{source.name} at {source.address}: {source.datagrams:,} datagrams{why}"
    muted = ", muted" if daemon.health.muted else ""
    yield "voice", f"{daemon.health.voice}{muted}"
    for name, why in daemon.health.benched.items():
        yield "switched off", f"{name}: {why}"
    heard_s = now_s - daemon.heard_s
    yield (
        "daemon",
        f"version {daemon.health.version}, up {daemon.health.uptime_s:,.0f} s"
        + (f", heard {age(heard_s)}" if heard_s > 2 * OLD_S else ""),
    )
