"""Parts: what simulators send in pieces that only together make a field of a State.

velocity_north_kt, velocity_east_kt      over the ground -> groundspeed_kt, track_true_deg
wind_north_kt, wind_east_kt              the way the air moves -> wind_speed_kt, wind_from_true_deg
earth_x_m, earth_y_m, earth_z_m          earth-centred, earth-fixed, WGS-84 -> position, altitude_ft (ellipsoidal)
static_pressure_hpa                      outside -> pressure_altitude_ft

A part is combined only when all its companions are in the same message, and never replaces a field that was sent
whole. Sources: Bowring, "The accuracy of geodetic latitude and height equations", Survey Review 28 (1985).
"""

import math
from collections.abc import Callable

from otherseat.advisories.air import altitude_of_pressure_ft
from otherseat.advisories.real import DomainError
from otherseat.advisories.state import STATE_FIELDS, Fields
from otherseat.advisories.units import FT_PER_M

SEMI_MAJOR_M = 6_378_137.0
FLATTENING = 1.0 / 298.257223563
SEMI_MINOR_M = SEMI_MAJOR_M * (1.0 - FLATTENING)
ECCENTRICITY_SQUARED = FLATTENING * (2.0 - FLATTENING)
SECOND_ECCENTRICITY_SQUARED = ECCENTRICITY_SQUARED / (1.0 - ECCENTRICITY_SQUARED)

STILL_KT = 0.5
"""Below this a direction made of two components is noise."""

EARTH = ("earth_x_m", "earth_y_m", "earth_z_m")
VELOCITY = ("velocity_north_kt", "velocity_east_kt")
WIND = ("wind_north_kt", "wind_east_kt")
PRESSURE = ("static_pressure_hpa",)

PARTS: frozenset[str] = frozenset({*EARTH, *VELOCITY, *WIND, *PRESSURE})
TARGETS: frozenset[str] = STATE_FIELDS | PARTS
"""Every name that a layout may fill."""


def velocity(north_kt: float, east_kt: float) -> Fields:
    """Return groundspeed and track; no track when nearly still."""
    speed = math.hypot(north_kt, east_kt)
    if not speed >= STILL_KT:
        return {"groundspeed_kt": speed}
    return {"groundspeed_kt": speed, "track_true_deg": math.degrees(math.atan2(east_kt, north_kt)) % 360.0}


def wind(north_kt: float, east_kt: float) -> Fields:
    """Return wind speed and where it comes from, of air that moves north and east; no direction in a calm."""
    speed = math.hypot(north_kt, east_kt)
    if not speed >= STILL_KT:
        return {"wind_speed_kt": speed}
    return {"wind_speed_kt": speed, "wind_from_true_deg": math.degrees(math.atan2(-east_kt, -north_kt)) % 360.0}


def earth(x_m: float, y_m: float, z_m: float) -> Fields:
    """Return geodetic position and height above the ellipsoid; nothing at the centre of the earth or beyond reason."""
    axis_m = math.hypot(x_m, y_m)
    if not SEMI_MINOR_M / 2.0 < math.hypot(axis_m, z_m) < 2.0 * SEMI_MAJOR_M:
        return {}
    parametric = math.atan2(z_m * SEMI_MAJOR_M, axis_m * SEMI_MINOR_M)
    latitude = math.atan2(
        z_m + SECOND_ECCENTRICITY_SQUARED * SEMI_MINOR_M * math.sin(parametric) ** 3,
        axis_m - ECCENTRICITY_SQUARED * SEMI_MAJOR_M * math.cos(parametric) ** 3,
    )
    sine, cosine = math.sin(latitude), math.cos(latitude)
    height_m = axis_m * cosine + z_m * sine - SEMI_MAJOR_M * math.sqrt(1.0 - ECCENTRICITY_SQUARED * sine * sine)
    return {
        "latitude_deg": math.degrees(latitude),
        "longitude_deg": math.degrees(math.atan2(y_m, x_m)),
        "altitude_ft": height_m * FT_PER_M,
    }


def pressure(static_hpa: float) -> Fields:
    """Return pressure altitude of a static pressure, or nothing when it is no pressure that an aircraft meets."""
    try:
        return {"pressure_altitude_ft": altitude_of_pressure_ft(pressure_hpa=static_hpa)}
    except DomainError:
        return {}


COMBINATIONS: tuple[tuple[tuple[str, ...], Callable[..., Fields]], ...] = (
    (VELOCITY, velocity),
    (WIND, wind),
    (EARTH, earth),
    (PRESSURE, pressure),
)


def combine(values: Fields) -> Fields:
    """Return the values with every complete set of parts put together and all parts taken out."""
    whole = {name: value for name, value in values.items() if name not in PARTS}
    if len(whole) == len(values):
        return values
    for names, together in COMBINATIONS:
        if all(name in values for name in names):
            whole = {**together(*(values[name] for name in names)), **whole}
    return whole
