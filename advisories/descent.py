"""Descent planning: where to start down, and how steep it has become.

The descent ends at the first gate: 1,000 ft above the destination, where the path of the usual angle is 3 NM before it.
Before that come 1 NM for every 10 kt to lose (common practice, no source). Along the route: a descent angle is over the
ground, so wind does not move the point; it changes the rate.
"""

from otherseat.advisories import path

GATE_FT = 1_000.0
GATE_NM = 3.0
USUAL_PATH_DEG = 3.0
KT_PER_NM = 10.0
NEAREST_NM = 0.5


def descent(
    *,
    altitude_ft: float | None,
    elevation_ft: float,
    to_go_nm: float,
    angle_deg: float,
    speed_to_lose_kt: float,
) -> dict[str, float | None]:
    """Return how far ahead the top of descent is (negative: behind) and the angle needed from here, as in Picture."""
    if altitude_ft is None:
        return {}
    to_lose_ft = altitude_ft - elevation_ft - GATE_FT
    if to_lose_ft <= 0.0:
        return {}
    to_gate_nm = to_go_nm - GATE_NM
    needed_nm = path.descent_distance_nm(height_to_lose_ft=to_lose_ft, angle_deg=angle_deg)
    angle_needed_deg = (
        path.angle_needed_deg(height_to_lose_ft=to_lose_ft, distance_nm=to_gate_nm) if to_gate_nm > NEAREST_NM else None
    )
    return {
        "top_of_descent_nm": to_gate_nm - needed_nm - speed_to_lose_kt / KT_PER_NM,
        "descent_angle_needed_deg": angle_needed_deg,
    }
