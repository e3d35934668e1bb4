"""Units that simulators send, and the one way from each of them to the units of the house.

A row gives the dimension and the line  base = value * factor + offset  in the dimension's base unit (SI). Angles
run clockwise; "ddmm" is degrees and minutes packed in one number (4807.038 is 48 deg 7.038 min, as in NMEA 0183).
Sources: NIST SP 811, appendix B (foot, nautical mile, pound, inch of mercury, degree Rankine); 1 semicircle is
180 deg.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from otherseat.advisories.units import HPA_PER_INHG, KELVIN_AT_0_C, M_PER_FT, M_PER_NM, MPS_PER_KT

KG_PER_LB = 0.45359237
PA_PER_PSI = 6894.757293168
K_PER_RANKINE = 5.0 / 9.0
FAHRENHEIT_AT_0_RANKINE = 459.67


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: base = value * factor + offset, in the base unit of its dimension."""

    dimension: str
    factor: float
    offset: float = 0.0


UNITS: dict[str, Unit] = {
    "deg": Unit("angle", 1.0),
    "rad": Unit("angle", math.degrees(1.0)),
    "semicircles": Unit("angle", 180.0),
    "turns": Unit("angle", 360.0),
    "arcmin": Unit("angle", 1.0 / 60.0),
    "arcsec": Unit("angle", 1.0 / 3600.0),
    "ddmm": Unit("angle", 1.0),
    "m": Unit("length", 1.0),
    "ft": Unit("length", M_PER_FT),
    "km": Unit("length", 1_000.0),
    "nm": Unit("length", M_PER_NM),
    "hundred ft": Unit("length", 100.0 * M_PER_FT),
    "m/s": Unit("speed", 1.0),
    "kt": Unit("speed", MPS_PER_KT),
    "km/h": Unit("speed", 1.0 / 3.6),
    "mph": Unit("speed", 1609.344 / 3600.0),
    "ft/s": Unit("speed", M_PER_FT),
    "ft/min": Unit("speed", M_PER_FT / 60.0),
    "hPa": Unit("pressure", 100.0),
    "Pa": Unit("pressure", 1.0),
    "kPa": Unit("pressure", 1_000.0),
    "inHg": Unit("pressure", 100.0 * HPA_PER_INHG),
    "psf": Unit("pressure", PA_PER_PSI / 144.0),
    "psi": Unit("pressure", PA_PER_PSI),
    "K": Unit("temperature", 1.0),
    "C": Unit("temperature", 1.0, KELVIN_AT_0_C),
    "F": Unit("temperature", K_PER_RANKINE, FAHRENHEIT_AT_0_RANKINE * K_PER_RANKINE),
    "R": Unit("temperature", K_PER_RANKINE),
    "kg": Unit("mass", 1.0),
    "lb": Unit("mass", KG_PER_LB),
    "kg/h": Unit("flow", 1.0 / 3600.0),
    "kg/s": Unit("flow", 1.0),
    "lb/h": Unit("flow", KG_PER_LB / 3600.0),
    "lb/s": Unit("flow", KG_PER_LB),
    "s": Unit("time", 1.0),
    "ms": Unit("time", 1e-3),
    "us": Unit("time", 1e-6),
    "ns": Unit("time", 1e-9),
    "min": Unit("time", 60.0),
    "h": Unit("time", 3600.0),
    "ratio": Unit("ratio", 1.0),
    "percent": Unit("ratio", 0.01),
    "flag": Unit("flag", 1.0),
    "name": Unit("name", 1.0),
}

SUFFIXES: dict[str, str] = {
    "_kg_per_h": "kg/h",
    "_deg": "deg",
    "_ft": "ft",
    "_m": "m",
    "_kt": "kt",
    "_fpm": "ft/min",
    "_hpa": "hPa",
    "_c": "C",
    "_kg": "kg",
    "_s": "s",
    "_ratio": "ratio",
}
"""The house unit that a field's name ends with."""

UNSUFFIXED: dict[str, str] = {
    "mach": "ratio",
    "time_rate": "ratio",
    "on_ground": "flag",
    "gear_down": "flag",
    "paused": "flag",
    "aircraft": "name",
}


def house_unit(field: str) -> str:
    """Return the unit in which a State holds the field; KeyError when the name tells none."""
    if field in UNSUFFIXED:
        return UNSUFFIXED[field]
    for suffix, unit in SUFFIXES.items():
        if field.endswith(suffix):
            return unit
    raise KeyError(field)


def choices(field: str) -> list[str]:
    """Return the units that can be converted to the field's own."""
    dimension = UNITS[house_unit(field)].dimension
    return [name for name, unit in UNITS.items() if unit.dimension == dimension]


def line(*, unit: str, field: str) -> tuple[float, float]:
    """Return (factor, offset) with  house value = value * factor + offset; ValueError when the kinds differ."""
    sent, house = UNITS[unit], UNITS[house_unit(field)]
    if sent.dimension != house.dimension:
        raise ValueError(f"{unit} is a unit of {sent.dimension}; {field} takes one of: {', '.join(choices(field))}")
    return sent.factor / house.factor, (sent.offset - house.offset) / house.factor


def straight(*, unit: str, field: str, scale: float = 1.0, offset: float = 0.0) -> tuple[float, float] | None:
    """Return (slope, start) with  house value = raw * slope + start, where raw * scale + offset is in the unit given.

    None for a packed unit, whose way to the house's is no straight line.
    """
    if unit == "ddmm":
        return None
    factor, constant = line(unit=unit, field=field)
    return scale * factor, offset * factor + constant


def converter(*, unit: str, field: str, scale: float = 1.0, offset: float = 0.0) -> Callable[[float], float]:
    """Return the function from a raw number to the house's: raw * scale + offset is in the unit given."""
    ends = straight(unit=unit, field=field, scale=scale, offset=offset)
    if ends is None:
        return lambda raw: degrees_from_packed(raw * scale + offset)
    slope, start = ends
    return lambda raw: raw * slope + start


def degrees_from_packed(packed: float) -> float:
    """Return degrees from ddmm.mmmm: 4807.038 is 48 deg 7.038 min; the sign is kept; not finite stays so."""
    if not math.isfinite(packed):
        return packed
    degrees, minutes = divmod(abs(packed), 100.0)
    return math.copysign(degrees + minutes / 60.0, packed)
