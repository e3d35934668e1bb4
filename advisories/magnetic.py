"""Magnetic: variation, and what is painted on a runway.

true = magnetic + variation, east positive. The variation comes from the World Magnetic Model of its date (NOAA/NCEI and
BGS, WMM2010 to WMM2025: 2010.0 to 2030.0) as the package pygeomag carries it: coefficients in modules, so no file
is read; the date is data, as a decimal year. A call takes about 0.1 ms: ask when the place has moved by some miles,
not at every state. The model's own uncertainty is under 0.6 degrees except towards the magnetic poles, where a
compass is no use.
Designator: the whole number nearest to a tenth of the magnetic course, ICAO Annex 14 vol. I, 5.2.2.4; FAA AIM 2-3-3.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module

from pygeomag import GeoMag

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.real import DomainError, Real
from otherseat.advisories.units import M_PER_FT

FIRST_YEAR, LAST_YEAR = 2010.0, 2030.0
UNRELIABLE_BELOW_NT = 2_000.0
"""Horizontal field of the model's blackout zones around the magnetic poles."""

_EPOCHS = {2025: "2025", 2020: "2020", 2015: "2015v2", 2010: "2010"}
_SIDES = {"L": "R", "R": "L"}


@dataclass(frozen=True, slots=True)
class MagneticField:
    """The earth's field at a place and date, as far as a compass needs it."""

    variation_deg: float
    horizontal_nt: float

    @property
    def reliable(self) -> bool:
        """Say whether a compass is any use here."""
        return self.horizontal_nt >= UNRELIABLE_BELOW_NT


def magnetic_field(
    *, latitude_deg: float, longitude_deg: float, decimal_year: float, altitude_ft: float = 0.0
) -> MagneticField:
    """Return the field; raises DomainError for a date that no model covers."""
    if not FIRST_YEAR <= decimal_year <= LAST_YEAR:
        raise DomainError(f"decimal_year must be from {FIRST_YEAR:g} to {LAST_YEAR:g}, not {decimal_year:g}")
    epoch = max(year for year in _EPOCHS if year <= decimal_year)
    found = _model(epoch).calculate(
        glat=latitude_deg,
        glon=(longitude_deg + 180.0) % 360.0 - 180.0,
        alt=altitude_ft * M_PER_FT / 1_000.0,
        time=decimal_year,
    )
    return MagneticField(variation_deg=float(found.d), horizontal_nt=float(found.h))


def true_deg(*, magnetic_deg: Real, variation_deg: Real) -> Real:
    """Return the true direction of a magnetic one, in [0, 360)."""
    return normal_deg(magnetic_deg + variation_deg)


def magnetic_deg(*, true_deg: Real, variation_deg: Real) -> Real:
    """Return the magnetic direction of a true one, in [0, 360)."""
    return normal_deg(true_deg - variation_deg)


def designator(*, course_magnetic_deg: float) -> str:
    """Return the two figures on a runway with that course, 01 to 36; a course that ends in 5 goes up."""
    tens = math.floor(normal_deg(course_magnetic_deg) / 10.0 + 0.5)
    return f"{tens or 36:02d}"


def opposite_designator(runway: str) -> str:
    """Return the designator of the other end: 07 for 25, 27L for 09R."""
    figures = int(runway[:2])
    return f"{(figures + 17) % 36 + 1:02d}{_SIDES.get(runway[2:], runway[2:])}"


@lru_cache(maxsize=4)
def _model(epoch: int) -> GeoMag:
    coefficients = import_module(f"pygeomag.wmm.wmm_{_EPOCHS[epoch]}")
    return GeoMag(coefficients_data=getattr(coefficients, f"WMM_{_EPOCHS[epoch]}"))
