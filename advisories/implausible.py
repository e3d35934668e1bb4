"""Implausible data: numbers that can't all be true, so that nobody trusts what is worked out from them.

data-airspeed  true and ground speed differ by more than the strongest winds blow, or than the reported wind explains
data-altitude  true and pressure altitude differ by more than any weather explains
Why advice     it is about the simulator's export or the layout, not about the flight
Source         world records of sea-level pressure (870 to 1085 hPa, WMO archive, from memory) are 4,300 ft below and
               2,000 ft above standard; temperature adds up to a tenth of the height. Jet streams seldom pass 200 kt
               (from
               memory)
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase

AIRSPEED, ALTITUDE = "data-airspeed", "data-altitude"
FLYING = frozenset({Phase.CLIMB, Phase.CRUISE, Phase.DESCENT, Phase.APPROACH, Phase.FINAL})


class ImplausibleParams(Params):
    """What no weather explains."""

    most_wind_kt: float = Field(default=60.0, gt=0)
    """Near the ground; grows with height to three times that at 30,000 ft."""
    slack_kt: float = Field(default=25.0, gt=0)
    """Beyond what the reported wind explains."""
    pressure_ft: float = Field(default=2_500.0, gt=0)
    temperature_share: float = Field(default=0.12, gt=0)


class Implausible:
    """The check for one aircraft."""

    def __init__(self, params: ImplausibleParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        altitude_ft: float,
        groundspeed_kt: float,
        true_airspeed_kt: float | None = None,
        wind_speed_kt: float | None = None,
        wind_source: str | None = None,
        pressure_altitude_ft: float | None = None,
    ) -> Iterable[Finding]:
        """Return what does not fit."""
        params = self._params
        if phase not in FLYING:
            return
        if true_airspeed_kt is not None:
            high_share = min(max(altitude_ft, 0.0) / 30_000.0, 1.0)
            limit_kt = params.most_wind_kt * (1.0 + 2.0 * high_share)
            if wind_source == "reported" and wind_speed_kt is not None:
                limit_kt = wind_speed_kt + params.slack_kt
            off_kt = abs(true_airspeed_kt - groundspeed_kt)
            yield Finding(alert=AIRSPEED, level=Level.ADVICE, amount=off_kt / limit_kt, phrase=AIRSPEED)
        if pressure_altitude_ft is not None:
            limit_ft = params.pressure_ft + params.temperature_share * abs(altitude_ft)
            off_ft = abs(altitude_ft - pressure_altitude_ft)
            yield Finding(alert=ALTITUDE, level=Level.ADVICE, amount=off_ft / limit_ft, phrase=ALTITUDE)


ADVISORY = Advisory(name="implausible", alerts=(AIRSPEED, ALTITUDE), params=ImplausibleParams, make=Implausible)
