"""Page: one aircraft, as a page of a handbook. Numbered chapters, whole words, and the age of what is old.

Colour is never the only sign: red is for the word "warning", amber for the word "caution", and nothing else has one.
"""

from collections.abc import Iterable, Iterator

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from otherseat.advisories.levels import Level
from otherseat.advisories.picture import Picture, Source
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.scene import OLD_S, Scene, Seat

LEVEL_STYLE = {Level.WARNING: "bold red", Level.CAUTION: "bold #d78700", Level.ADVICE: "bold", Level.CALL: ""}
LABEL_WIDTH = 13
WIDTH = 96

Row = tuple[str | Text, RenderableType]


def level_word(level: Level) -> Text:
    """Return a level as a word in its own style."""
    return Text(level.word, style=LEVEL_STYLE[level])


def age(age_s: float) -> str:
    """Return an age in words."""
    if age_s < 60:  # noqa: PLR2004 - seconds in a minute
        return f"{age_s:.1f} s old"
    return f"{age_s / 60:.0f} min old"


def page(scene: Scene, seat: Seat, *, now_s: float, width: int = WIDTH) -> RenderableType:
    """Return the page of one aircraft; two columns where there is room for them."""
    old_s = now_s - seat.picture_s if seat.picture is not None else 0.0
    old = None if old_s <= OLD_S else age(old_s)
    said = [(_clock(call.time_s), _said(call.level, call.text)) for call in reversed(seat.calls)]
    middle = [
        _chapter(2, "The path down", _path(seat.picture), old),
        _chapter(3, "Runway and wind", _runway(seat.picture), old),
        _chapter(4, "Destination", _destination(seat), old),
        _chapter(5, "The aircraft", _aircraft(seat.picture), old),
    ]
    return Group(
        _head(scene, seat, now_s),
        _chapter(1, "What stands", _standing(seat)),
        *(middle if width < WIDTH else [_beside(*middle)]),
        _chapter(6, "Said last", said),
        _chapter(7, "What is watched", _watched(scene, seat, now_s)),
    )


def _beside(*four: RenderableType) -> RenderableType:
    columns = Table.grid(expand=True, padding=(0, 2))
    columns.add_column(ratio=1)
    columns.add_column(ratio=1)
    columns.add_row(Group(*four[:2]), Group(*four[2:]))
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
        parts.append(Text("Blind: the simulator sends nothing.", style="bold reverse"))
    return Group(*parts)


def _chapter(number: int, title: str, rows: Iterable[Row], mark: str | None = None) -> RenderableType:
    head = Text.assemble((f"{number}  {title}", "bold underline"))
    if mark is not None:
        head.append("  ").append(mark, style="bold reverse")
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=LABEL_WIDTH, justify="right")
    grid.add_column()
    for label, value in list(rows) or [("", "nothing")]:
        grid.add_row(Text(label, style="dim") if isinstance(label, str) else label, value)
    return Padding(Group(head, grid), (1, 0, 0, 0))


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
    if picture is None or picture.height_above_path_ft is None:
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
    if abs(off_ft) < 10:  # noqa: PLR2004 - feet that nobody can fly
        return "on the path"
    return f"{abs(off_ft):,.0f} ft {'above' if off_ft > 0 else 'below'} the path{degrees}"


def _regain(picture: Picture) -> str:
    if picture.next_gate_ft is None:
        return ""
    if picture.sink_to_regain_fpm is None:
        return f", and nothing regains it by {picture.next_gate_ft:,.0f} ft"
    return f", {picture.sink_to_regain_fpm:.0f} fpm regains it by {picture.next_gate_ft:,.0f} ft"


def _runway(picture: Picture | None) -> Iterator[Row]:
    if picture is None:
        return
    if picture.runway is not None:
        yield "runway", Text.assemble((picture.runway, "bold"), f"  by {picture.runway_source or 'plan'}")
    if picture.surface_runway is not None and picture.surface_runway != picture.runway:
        yield "standing on", Text(picture.surface_runway, style="bold")
    if picture.tracked_runway is not None and picture.tracked_runway != picture.runway:
        yield "tracking to", Text(picture.tracked_runway, style="bold")
    if picture.offset_ft is not None:
        yield "centreline", _centreline(picture)
    if picture.headwind_kt is not None and picture.crosswind_kt is not None:
        head = "head" if picture.headwind_kt >= 0 else "tail"
        side = "right" if picture.crosswind_kt >= 0 else "left"
        wind = f"{abs(picture.headwind_kt):.0f} kt on the {head}, {abs(picture.crosswind_kt):.0f} kt from the {side}"
        yield "wind", wind


def _centreline(picture: Picture) -> str:
    offset_ft = picture.offset_ft or 0.0
    where = f"{abs(offset_ft):,.0f} ft {'right' if offset_ft >= 0 else 'left'} of it"
    turn = picture.course_difference_deg
    if turn is None:
        return where
    if abs(turn) < 1:
        return f"{where}, tracking along it"
    return f"{where}, tracking {abs(turn):.0f}\N{DEGREE SIGN} to the {'right' if turn >= 0 else 'left'}"


def _destination(seat: Seat) -> Iterator[Row]:
    picture = seat.picture
    if picture is None or picture.destination is None:
        return
    field = None if seat.plan is None else seat.plan.destination
    named = "" if field is None or field.ident != picture.destination else f"  {field.name}"
    yield "to", Text.assemble((picture.destination, "bold"), named)
    if picture.distance_to_destination_nm is not None:
        bearing = picture.bearing_to_destination_deg
        towards = "" if bearing is None else f", bearing {bearing:03.0f}\N{DEGREE SIGN} true"
        yield "distance", f"{picture.distance_to_destination_nm:.1f} NM{towards}{_closing(picture)}"
    leaving = picture.closing_speed_kt is None or picture.closing_speed_kt < 0
    if leaving and picture.past_destination_nm is not None and picture.past_destination_nm > 0:
        yield "passed", Text(f"{picture.past_destination_nm:.1f} NM beyond the closest point", style="bold")


def _closing(picture: Picture) -> str:
    closing_kt = picture.closing_speed_kt
    if closing_kt is None:
        return ""
    return f", {'nearing' if closing_kt >= 0 else 'leaving'} at {abs(closing_kt):.0f} kt"


def _aircraft(picture: Picture | None) -> Iterator[Row]:
    if picture is None:
        return
    if picture.altitude_ft is not None:
        yield "altitude", f"{picture.altitude_ft:,.0f} ft{_by(picture.altitude_source)}"
    if picture.true_airspeed_kt is not None:
        yield "true airspeed", f"{picture.true_airspeed_kt:.0f} kt{_by(picture.true_airspeed_source)}"
    if picture.groundspeed_kt is not None:
        climb = picture.vertical_speed_fpm
        rate = "" if climb is None else f", {'climbing' if climb >= 0 else 'sinking'} {abs(climb):,.0f} fpm"
        yield "groundspeed", f"{picture.groundspeed_kt:.0f} kt{rate}"
    if picture.wind_from_true_deg is not None and picture.wind_speed_kt is not None:
        wind = f"from {picture.wind_from_true_deg:03.0f}\N{DEGREE SIGN} true, {picture.wind_speed_kt:.0f} kt"
        yield "wind", f"{wind}{_by(picture.wind_source)}"


def _by(source: Source | None) -> str:
    return "" if source is None else f", {source.value}"


def _said(level: Level, text: str) -> Text:
    return Text.assemble(level_word(level), "  ", text) if level is not Level.CALL else Text(text)


def _clock(time_s: float) -> str:
    minutes, seconds = divmod(int(time_s), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours % 24}:{minutes:02d}:{seconds:02d}"


def _watched(scene: Scene, seat: Seat, now_s: float) -> Iterator[Row]:
    live = {} if seat.standing is None else seat.standing.live
    watching = [name for name, how in live.items() if how == "live"]
    if watching:
        yield "live", ", ".join(watching)
    blind = [f"{name} {how}" for name, how in live.items() if how != "live"]
    if blind:
        yield "blind", "; ".join(blind)
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
