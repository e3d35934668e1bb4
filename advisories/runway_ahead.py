"""Runway ahead: lined up, with less of the runway in front than the take-off needs.

runway-ahead  caution when standing lined up or rolling slower than rolling_kt with less than the profile's take-off
              distance, corrected for density altitude, times margin; warning below unsafe times the bare distance
Silent        while taxiing along the runway faster than standing_kt and slower than rolling_kt
Source        take-off distance grows with density altitude by about 10 percent per 1,000 ft (common practice, no
              source; FAA-P-8740-2 gives the same order, from memory); the margin of a third is the factor 1.33 of UK
              CAA Safety Sense Leaflet 7 for general aviation, from memory
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories import air
from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.profile import AircraftProfile

SHORT = "runway-ahead"
BEFORE_FLIGHT = frozenset({Phase.PARKED, Phase.TAXI, Phase.TAKE_OFF})
GROWTH_PER_FT = 0.1 / 1_000.0


class RunwayAheadParams(Params):
    """How much is enough."""

    margin: float = Field(default=1.33, ge=1)
    standing_kt: float = Field(default=3.0, ge=0)
    rolling_kt: float = Field(default=20.0, gt=0, le=40)
    too_late_kt: float = Field(default=45.0, gt=0)


class RunwayAhead:
    """The check for one aircraft."""

    def __init__(self, params: RunwayAheadParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        groundspeed_kt: float,
        runway_ahead_ft: float,
        profile: AircraftProfile,
        pressure_altitude_ft: float | None = None,
        outside_air_temperature_c: float | None = None,
    ) -> Iterable[Finding]:
        """Return how much too short it is."""
        params = self._params
        standing = groundspeed_kt <= params.standing_kt
        rolling = params.rolling_kt <= groundspeed_kt <= params.too_late_kt
        if phase not in BEFORE_FLIGHT or not (standing or rolling):
            return
        needed_ft = profile.take_off_distance_ft * _growth(pressure_altitude_ft, outside_air_temperature_c)
        yield Finding(
            alert=SHORT,
            level=Level.WARNING if runway_ahead_ft < needed_ft and rolling else Level.CAUTION,
            amount=needed_ft * params.margin / max(runway_ahead_ft, 1.0),
            phrase=SHORT,
            values={"runway_ahead_ft": runway_ahead_ft, "needed_ft": needed_ft},
        )


def _growth(pressure_altitude_ft: float | None, temperature_c: float | None) -> float:
    """Return how much longer the take-off is than at sea level in standard air."""
    if pressure_altitude_ft is None:
        return 1.0
    if temperature_c is None:
        density_ft = pressure_altitude_ft
    else:
        density_ft = air.density_altitude_ft(pressure_altitude_ft=pressure_altitude_ft, temperature_c=temperature_c)
    return max(1.0 + GROWTH_PER_FT * density_ft, 1.0)


ADVISORY = Advisory(name="runway-ahead", alerts=(SHORT,), params=RunwayAheadParams, make=RunwayAhead)
