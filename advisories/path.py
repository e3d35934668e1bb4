"""Path: the geometry of a final descent, and of the descent to it.

A path is a straight line in the runway's frame (earth.RunwayFrame): it crosses the threshold at the threshold
crossing height and rises from there at its angle. Heights are above the threshold, along `up` of the frame; distances
are along the centreline before the threshold, positive on final; a path of angle a has the height TCH + d tan(a).

Earth curvature: the level surface falls away from the frame's plane by d^2 / 2R: 0.9 ft at 1 NM, 22 ft at 5 NM, 88 ft
at 10 NM (curvature_ft). A light's or radio beam's straight path is that much higher above the level: add it to
path_height_ft to have its altitude less the threshold's elevation. A barometric path keeps its angle to the level, so
path_height_ft is its altitude as it is. Held against the angle, the two differ by 0.04 degrees at 5 NM, 0.08 at 10.
Angles in degrees, rates in feet per minute with sink positive, groundspeeds along the path.
"""

from collections.abc import Sequence

from otherseat.advisories.real import Real, arctan, arctan2, degrees, radians, tan
from otherseat.advisories.units import FPM_PER_KT, FT_PER_NM, M_PER_FT

EARTH_RADIUS_FT = 6_371_008.8 / M_PER_FT
"""Mean radius of WGS-84 (IUGG)."""
GRAVITY_FPS2 = 9.80665 / M_PER_FT
SINK_LIMIT_FPM = 1_000.0
SINK_LIMIT_BELOW_FT = 1_000.0
"""No more than 1,000 fpm below 1,000 ft: FSF ALAR briefing note 7.1, element 6."""
NARROW_STEP_DEG, STEEP_STEP_DEG = 20.0 / 60.0, 30.0 / 60.0
"""Between the settings of neighbouring approach lights."""
STEEP_ABOVE_DEG = 4.0
BESIDE_DEG, BESIDE_FT = 30.0, 1_000.0
"""Farther off the centreline than so many degrees, seen from the threshold, and so many feet: the path of the final
approach is no measure for who is there. Common practice, no source."""


def path_height_ft(*, distance_nm: Real, angle_deg: Real, threshold_crossing_height_ft: Real) -> Real:
    """Return the path's height above the threshold."""
    return threshold_crossing_height_ft + distance_nm * FT_PER_NM * tan(radians(angle_deg))


def is_beside(*, offset_ft: float, distance_nm: float) -> bool:
    """Say whether the aircraft is far off the final approach, where its height above the path says nothing.

    offset_ft: to the right of the centreline, or negative; distance_nm: along it before the threshold, or negative.
    """
    wide_ft = BESIDE_FT + max(distance_nm, 0.0) * FT_PER_NM * tan(radians(BESIDE_DEG))
    return bool(abs(offset_ft) > wide_ft)


def curvature_ft(*, distance_nm: Real) -> Real:
    """Return how far the level surface lies below the threshold's plane at a distance."""
    distance_ft = distance_nm * FT_PER_NM
    return distance_ft * distance_ft / (2.0 * EARTH_RADIUS_FT)


def aiming_point_ft(*, angle_deg: Real, threshold_crossing_height_ft: Real, slope_percent: float = 0.0) -> Real:
    """Return how far beyond the threshold the path meets a runway that rises by slope_percent."""
    return threshold_crossing_height_ft / (tan(radians(angle_deg)) + slope_percent / 100.0)


def deviation_deg(
    *,
    height_ft: Real,
    distance_nm: Real,
    angle_deg: Real,
    threshold_crossing_height_ft: Real,
    slope_percent: float = 0.0,
) -> Real:
    """Return the angle above the path, low negative, seen from where the path meets the runway."""
    beyond_ft = aiming_point_ft(
        angle_deg=angle_deg, threshold_crossing_height_ft=threshold_crossing_height_ft, slope_percent=slope_percent
    )
    above_ft = height_ft - beyond_ft * (slope_percent / 100.0)
    return degrees(arctan2(above_ft, distance_nm * FT_PER_NM + beyond_ft)) - angle_deg


def gradient_ft_per_nm(*, angle_deg: Real) -> Real:
    """Return the feet that an angle gains or loses in a nautical mile."""
    return FT_PER_NM * tan(radians(angle_deg))


def angle_of_gradient_deg(*, gradient_ft_per_nm: Real) -> Real:
    """Return the angle of so many feet in a nautical mile."""
    return degrees(arctan(gradient_ft_per_nm / FT_PER_NM))


def angle_flown_deg(*, sink_rate_fpm: Real, groundspeed_kt: Real) -> Real:
    """Return the angle down that a sink rate makes over the ground."""
    return degrees(arctan2(sink_rate_fpm, groundspeed_kt * FPM_PER_KT))


def sink_rate_to_hold_fpm(*, groundspeed_kt: Real, angle_deg: Real) -> Real:
    """Return the sink rate that keeps to a path."""
    return groundspeed_kt * FPM_PER_KT * tan(radians(angle_deg))


def gate_distance_nm(*, gate_height_ft: Real, angle_deg: Real, threshold_crossing_height_ft: Real) -> Real:
    """Return how far before the threshold the path is at a height above it."""
    return (gate_height_ft - threshold_crossing_height_ft) / gradient_ft_per_nm(angle_deg=angle_deg)


def next_gate_ft(*, height_ft: float, gates_ft: Sequence[float]) -> float | None:
    """Return the highest gate below a height, or None when there is none."""
    return max((gate_ft for gate_ft in gates_ft if gate_ft < height_ft), default=None)


def sink_rate_to_regain_fpm(
    *,
    height_ft: float,
    distance_nm: float,
    gate_height_ft: float,
    groundspeed_kt: float,
    angle_deg: float,
    threshold_crossing_height_ft: float,
) -> float | None:
    """Return the steady sink rate, negative to climb, that meets the path at a gate; None when it can't be saved.

    It can't when the gate is behind, or when it takes more than 1,000 fpm down to a gate below 1,000 ft.
    """
    gate_nm = gate_distance_nm(
        gate_height_ft=gate_height_ft, angle_deg=angle_deg, threshold_crossing_height_ft=threshold_crossing_height_ft
    )
    if distance_nm <= gate_nm or groundspeed_kt <= 0.0:
        return None
    rate_fpm = (height_ft - gate_height_ft) * groundspeed_kt / (60.0 * (distance_nm - gate_nm))
    too_steep = rate_fpm > SINK_LIMIT_FPM and gate_height_ft < SINK_LIMIT_BELOW_FT
    return None if too_steep else rate_fpm


def angle_needed_deg(*, height_to_lose_ft: Real, distance_nm: Real) -> Real:
    """Return the angle down to a point that much lower at that distance; a distance of 0 or less needs 90 or more."""
    return degrees(arctan2(height_to_lose_ft, distance_nm * FT_PER_NM))


def descent_distance_nm(*, height_to_lose_ft: Real, angle_deg: Real) -> Real:
    """Return the distance in which a constant angle loses that height."""
    return height_to_lose_ft / gradient_ft_per_nm(angle_deg=angle_deg)


def descent_distance_at_rate_nm(*, height_to_lose_ft: Real, sink_rate_fpm: Real, groundspeed_kt: Real) -> Real:
    """Return the distance over the ground in which a sink rate loses that height; wind is in the groundspeed."""
    return height_to_lose_ft / sink_rate_fpm * groundspeed_kt / 60.0


def sink_rate_needed_fpm(*, height_to_lose_ft: Real, distance_nm: Real, groundspeed_kt: Real) -> Real:
    """Return the sink rate that loses that height over that distance."""
    return height_to_lose_ft * groundspeed_kt / (60.0 * distance_nm)


def deceleration_distance_nm(
    *, from_groundspeed_kt: Real, to_groundspeed_kt: Real, deceleration_kt_per_s: Real
) -> Real:
    """Return the distance over the ground of a steady deceleration: mean speed x time."""
    seconds = (from_groundspeed_kt - to_groundspeed_kt) / deceleration_kt_per_s
    return (from_groundspeed_kt + to_groundspeed_kt) / 2.0 * seconds / 3_600.0


def height_to_level_off_ft(*, sink_rate_fpm: Real, delay_s: Real, pull_up_g: Real) -> Real:
    """Return the height lost from now to level flight: straight on for a delay, then a steady pull above 1 g."""
    sink_fps = sink_rate_fpm / 60.0
    lost_ft: Real = sink_fps * delay_s + sink_fps * sink_fps / (2.0 * pull_up_g * GRAVITY_FPS2)
    return lost_ft


def top_of_descent_nm(
    *, height_to_lose_ft: Real, angle_deg: Real, speed_to_lose_kt: Real, headwind_kt: Real, true_airspeed_kt: Real
) -> Real:
    """Return how far before the gate to start down: the descent, then 1 NM of air per 10 kt to lose, level.

    The angle is over the ground, so the wind does not change the descent itself; the air in which the speed is
    lost moves with the wind, so that part shrinks with a headwind and stretches with a tailwind.
    """
    descent_nm = descent_distance_nm(height_to_lose_ft=height_to_lose_ft, angle_deg=angle_deg)
    return descent_nm + speed_to_lose_kt / 10.0 * (1.0 - headwind_kt / true_airspeed_kt)


def lights(*, angle_seen_deg: float, setting_deg: float, wide: bool = False) -> int:
    """Return how many of the four approach lights of a runway show red, 0 to 4, 2 on the path."""
    return sum(angle_seen_deg < unit_deg for unit_deg in light_settings_deg(setting_deg=setting_deg, wide=wide))


def light_settings_deg(*, setting_deg: float, wide: bool = False) -> tuple[float, float, float, float]:
    """Return the angles at which the four units turn from red to white, the lowest first.

    20 minutes of arc between neighbours up to a path of 4 degrees, 30 above, as steep paths need: ICAO Annex 14 vol. I,
    5.3.5 and Aerodrome Design Manual (Doc 9157) part 4, ch. 8. wide: the two middle ones 30 apart instead, as where the
    lights agree with an instrument landing system for large aircraft.
    """
    step_deg = NARROW_STEP_DEG if setting_deg <= STEEP_ABOVE_DEG else STEEP_STEP_DEG
    inner_deg = STEEP_STEP_DEG / 2.0 if wide else step_deg / 2.0
    outer_deg = inner_deg + step_deg
    return (setting_deg - outer_deg, setting_deg - inner_deg, setting_deg + inner_deg, setting_deg + outer_deg)
