"""Sketch: the path from the side, and the approach lights as they look. Drawn on axes that the caller places."""

from matplotlib.axes import Axes
from matplotlib.patches import Circle

from otherseat.advisories import path
from otherseat.advisories.arrival import GATES_FT
from otherseat.daemon.brief.card import Card

INK, FAINT, ACCENT = "#1d2733", "#6d7883", "#0d5c63"
RED, WHITE = "#c62f2f", "#ffffff"
FAR_NM = 6.0
NAMES = ("far too low", "slightly low", "on path", "slightly high", "far too high")


def draw_path(axes: Axes, card: Card, *, size: float) -> None:
    """Draw the path over the last miles, with its gates and its height at each mile."""
    if card.end is None:
        return
    crossing_ft = card.end.threshold_crossing_height_ft

    def height_ft(distance_nm: float) -> float:
        return path.path_height_ft(
            distance_nm=distance_nm, angle_deg=card.angle_deg, threshold_crossing_height_ft=crossing_ft
        )

    axes.plot([FAR_NM, 0.0], [height_ft(FAR_NM), crossing_ft], color=ACCENT, lw=1.4)
    axes.fill_between([FAR_NM, 0.0], [height_ft(FAR_NM), crossing_ft], color=ACCENT, alpha=0.07, lw=0)
    axes.plot([0.0, -0.9], [0.0, 0.0], color=INK, lw=3.0, solid_capstyle="butt")
    for gate_ft in GATES_FT:
        at_nm = path.gate_distance_nm(
            gate_height_ft=gate_ft, angle_deg=card.angle_deg, threshold_crossing_height_ft=crossing_ft
        )
        axes.plot([at_nm], [gate_ft], marker="D", ms=3.4, color=INK)
        axes.annotate(
            f"{gate_ft:,.0f} ft", (at_nm, gate_ft), xytext=(4, 4), textcoords="offset points", fontsize=size, color=INK
        )
    axes.set_xlim(FAR_NM + 0.15, -1.0)
    axes.set_ylim(0.0, height_ft(FAR_NM) * 1.08)
    axes.set_xticks(range(int(FAR_NM) + 1))
    axes.set_yticks([])
    axes.tick_params(labelsize=size, length=2, color=FAINT, labelcolor=FAINT, pad=1.5)
    axes.set_xlabel("NM to the threshold; heights not to scale", fontsize=size, color=FAINT, labelpad=1.0)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(FAINT)
    axes.patch.set_alpha(0.0)


def draw_lights(axes: Axes, card: Card, *, size: float) -> None:
    """Draw the four lights in each of their five pictures, the highest on top."""
    if card.lights_deg is None:
        return
    for row, white in enumerate(range(4, -1, -1)):
        y = 4.0 - row
        for place in range(4):
            colour = WHITE if place < white else RED
            axes.add_patch(Circle((place * 0.62, y), 0.24, facecolor=colour, edgecolor=INK, lw=0.6))
        axes.text(2.5, y, NAMES[white], fontsize=size, va="center", color=INK)
        axes.text(8.6, y, _angle(card.lights_deg, white), fontsize=size, va="center", ha="right", color=FAINT)
    axes.text(-0.24, 4.75, "approach lights, on the left", fontsize=size, color=FAINT)
    axes.set_xlim(-0.3, 8.6)
    axes.set_ylim(-0.7, 5.1)
    axes.set_aspect("equal", anchor="NW", adjustable="box")
    axes.axis("off")


def _angle(settings_deg: tuple[float, float, float, float], white: int) -> str:
    if white == 0:
        return f"< {settings_deg[0]:.1f}°"
    return f"> {settings_deg[white - 1]:.1f}°"
