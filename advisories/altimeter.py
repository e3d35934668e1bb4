"""Altimeter: the setting against the destination's report.

altimeter  advice from limit_hpa on (27 ft for each hectopascal), caution from serious_hpa on
Asked      below transition_ft and within within_nm of the destination, with a report that gives a setting
Source     27 to 30 ft for each hectopascal near sea level (ICAO Doc 7488, standard atmosphere)
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.weather_report import Weather

ALTIMETER = "altimeter"
ARRIVING = frozenset({Phase.DESCENT, Phase.APPROACH, Phase.FINAL})


class AltimeterParams(Params):
    """How much is too much."""

    limit_hpa: float = Field(default=2.0, gt=0)
    serious_hpa: float = Field(default=5.0, gt=0)
    transition_ft: float = Field(default=10_000.0, gt=0)
    within_nm: float = Field(default=30.0, gt=0)


class Altimeter:
    """The check for one aircraft."""

    def __init__(self, params: AltimeterParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        altitude_ft: float,
        altimeter_hpa: float,
        weather: Weather,
        distance_to_destination_nm: float,
    ) -> Iterable[Finding]:
        """Return how far the setting is off."""
        params = self._params
        if weather.altimeter_hpa is None or phase not in ARRIVING:
            return
        if altitude_ft > params.transition_ft or distance_to_destination_nm > params.within_nm:
            return
        off_hpa = abs(altimeter_hpa - weather.altimeter_hpa)
        yield Finding(
            alert=ALTIMETER,
            level=Level.CAUTION if off_hpa >= params.serious_hpa else Level.ADVICE,
            amount=off_hpa / params.limit_hpa,
            phrase=ALTIMETER,
            values={"altimeter_hpa": altimeter_hpa, "field_altimeter_hpa": weather.altimeter_hpa},
        )


ADVISORY = Advisory(name="altimeter", alerts=(ALTIMETER,), params=AltimeterParams, make=Altimeter)
