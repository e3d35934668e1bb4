"""A picture of one flight: from above and from the side, as its runway sees it, with what was said and where."""

from pathlib import Path

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.evaluation.flown import Flown, TrackPoint
from otherseat.daemon.evaluation.judge import judge
from otherseat.daemon.flight_model.world import World

INK = {Level.WARNING: "#c00000", Level.CAUTION: "#c07000", Level.ADVICE: "#404040", Level.CALL: "#808080"}
TAN_3_DEG_FT_PER_NM = 318.4
PATH_NM = 12.0
"""How far out the usual path is drawn."""


def draw(flown: Flown, *, world: World, folder: Path) -> Path:
    """Write the picture of a flight into a folder, and return its file."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG  # noqa: PLC0415 - an extra, and slow to load
    from matplotlib.figure import Figure  # noqa: PLC0415 - likewise

    order = flown.order
    figure = Figure(figsize=(10, 8), layout="constrained")
    above, side = figure.subplots(2, 1)
    figure.suptitle(
        f"{order.scenario} x{order.size:g}, {order.aircraft}, seed {order.seed}, {flown.runway}: "
        f"{judge(flown).value}\n{flown.conditions}",
        fontsize=9,
    )
    distance = [-point.to_go_nm for point in flown.track]
    above.plot(distance, [-point.offset_ft / 6_076.1 for point in flown.track], color="#3060a0", linewidth=1)
    side.plot(distance, [point.height_ft for point in flown.track], color="#3060a0", linewidth=1)
    length_nm = world.runways.end(flown.runway).length_ft / 6_076.1
    above.plot([0.0, length_nm], [0.0, 0.0], color="black", linewidth=4)
    side.plot([-PATH_NM, 0.0], [50.0 + PATH_NM * TAN_3_DEG_FT_PER_NM, 50.0], color="#a0a0a0", linestyle="--")
    above.set(ylabel="left of centreline, NM", aspect="equal")
    side.set(xlabel="beyond the threshold, NM", ylabel="height above threshold, ft")
    for number, alert in enumerate(a for a in flown.alerts if a.change is not Change.CLEARED):
        point = at(flown, alert.time_s)
        if point is None:
            continue
        for axes, y in ((above, -point.offset_ft / 6_076.1), (side, point.height_ft)):
            axes.plot([-point.to_go_nm], [y], marker="o", color=INK[alert.level], markersize=4)
        side.annotate(
            f"{alert.time_s:.0f} s {alert.alert} {alert.level.word}",
            (-point.to_go_nm, point.height_ft),
            xytext=(4, 6 + 9 * (number % 5)),
            textcoords="offset points",
            fontsize=7,
            color=INK[alert.level],
        )
    file = folder / f"{order.scenario}-{order.aircraft}-{order.size:g}-{order.seed}.svg"
    FigureCanvasSVG(figure).print_svg(file)  # type: ignore[no-untyped-call]  # matplotlib types only half of itself
    return file


def at(flown: Flown, time_s: float) -> TrackPoint | None:
    """Return the point of the track nearest to a time."""
    return min(flown.track, key=lambda point: abs(point.time_s - time_s), default=None)
