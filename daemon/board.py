"""Board: every aircraft of every daemon on one screen, the one that needs looking at first.

For an instructor, a classroom or an event, usually behind `otherseat relay`.
"""

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from otherseat.advisories.picture import Picture
from otherseat.daemon.final_approach import how_far_beside
from otherseat.daemon.page import ON_GROUND, age, level_word, safety
from otherseat.daemon.scene import OLD_S, Scene, Seat, seriousness
from otherseat.daemon.source_words import deaf

FEW = 3
"""So many daemons that wait for their simulator are named, so that they leave room for those that fly."""


def board(scene: Scene, *, now_s: float, lines: int) -> RenderableType:
    """Return the board with at most so many lines of aircraft."""
    seats = ranked(scene, now_s=now_s)
    table = Table(box=None, pad_edge=False, header_style="bold underline", expand=True)
    for title in ("Seat", "Aircraft", "What stands", "Phase", "Runway", "Path", "Heard"):
        table.add_column(title, no_wrap=title != "What stands", ratio=3 if title == "What stands" else None)
    for seat in seats[:lines]:
        table.add_row(*_cells(scene, seat, now_s))
    more = len(seats) - lines
    rest = [Text(f"and {more} more, none of them more serious", style="italic")] if more > 0 else []
    return Group(_head(scene, now_s), table, *rest)


def ranked(scene: Scene, *, now_s: float) -> list[Seat]:
    """Return the seats, the most serious first, then by name."""

    def key(seat: Seat) -> tuple[float, int, str, str]:
        worst, count = seriousness(scene, seat, now_s=now_s)
        return -worst, -count, scene.name_of(seat.session), seat.aircraft

    return sorted(scene.seats.values(), key=key)


def missing(scene: Scene, *, now_s: float) -> list[str]:
    """Return the names of the daemons that are not heard any more."""
    return sorted(scene.name_of(session) for session in scene.daemons if scene.is_missing(session, now_s=now_s))


def _head(scene: Scene, now_s: float) -> RenderableType:
    gone = missing(scene, now_s=now_s)
    there = len(scene.daemons) - len(gone)
    head = Text.assemble(
        ("Otherseat", "bold"), f"   {there} seat{'' if there == 1 else 's'} heard, {len(scene.seats)} aircraft"
    )
    parts = [Text(f"Missing: {', '.join(gone)}", style="bold reverse")] if gone else []
    waiting = waiting_daemons(scene)
    parts += [Text(line) for line in waiting[:FEW]]
    parts += [Text(f"and {len(waiting) - FEW} more that wait", style="italic")] if len(waiting) > FEW else []
    return Group(head, safety(), *parts)


def waiting_daemons(scene: Scene) -> list[str]:
    """Return for each source of a daemon that has heard of no aircraft what it waits for."""
    heard = {session for session, _ in scene.seats}  # its aircraft come at once, its health once a second
    return sorted(
        f"{daemon.health.seat}, {source.name} at {source.address}: {deaf(source)}"
        for session, daemon in scene.daemons.items()
        if not daemon.health.aircraft and session not in heard
        for source in daemon.health.sources
        if deaf(source)
    )


def _cells(scene: Scene, seat: Seat, now_s: float) -> tuple[RenderableType, ...]:
    picture = seat.picture
    return (
        scene.name_of(seat.session),
        seat.aircraft,
        _worst(scene, seat, now_s),
        "" if picture is None else picture.phase.value,
        "" if picture is None else picture.runway or "",
        _path(picture),
        _heard(seat, now_s),
    )


def _path(picture: Picture | None) -> str:
    """Return the height above the path, or that the aircraft is nowhere near it."""
    if picture is None or picture.phase in ON_GROUND or picture.height_above_path_ft is None:
        return ""
    return f"{picture.height_above_path_ft:+,.0f} ft" if how_far_beside(picture) is None else "beside"


def _worst(scene: Scene, seat: Seat, now_s: float) -> Text:
    text = Text()
    if scene.is_missing(seat.session, now_s=now_s):
        text.append("missing  ", style="bold reverse")
    elif seat.silent:
        text.append("blind  ", style="bold reverse")
    alerts = seat.ranked
    if not alerts:
        return text
    first = alerts[0]
    more = f"  and {len(alerts) - 1} more" if len(alerts) > 1 else ""
    done = "  acknowledged" if first.acknowledged else ""
    return Text.assemble(text, level_word(first.level), "  ", first.text, (done + more, "dim"))


def _heard(seat: Seat, now_s: float) -> Text:
    old_s = seat.age.seconds(now_s=now_s)
    heard_s = now_s - seat.heard_s if old_s is None else old_s
    return Text("now") if heard_s <= OLD_S else Text(age(heard_s), style="bold reverse")
