"""Wind limits: the wind on the runway against the aircraft's limits.

wind-crosswind  the worst crosswind, gusts and changing direction included, over the profile's limit: advice,
                caution from serious times it
tailwind        the worst tailwind over the profile's limit: likewise, naming the end with the headwind
Wind            the destination's report; without one the wind measured here, once lower than own_wind_below_ft
Source          the components: FAA-H-8083-3, crosswind component chart (tests/standards). A light aircraft's limit is
                its handbook's demonstrated crosswind; the profiles' figures are common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.weather_report import Weather
from otherseat.advisories.wind import RunwayWind, runway_wind

CROSSWIND, TAILWIND = "wind-crosswind", "tailwind"
ARRIVING = frozenset({Phase.DESCENT, Phase.APPROACH, Phase.FINAL})
LEAST_LIMIT_KT = 1.0


class WindLimitsParams(Params):
    """When it is asked."""

    serious: float = Field(default=1.5, gt=1)
    within_nm: float = Field(default=15.0, gt=0)
    own_wind_below_ft: float = Field(default=700.0, gt=0)
    """Higher up the wind is not the runway's yet, and who circles to another end has not turned off yet."""


class WindLimits:
    """The check for one aircraft."""

    def __init__(self, params: WindLimitsParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        arrival_end: RunwayEnd,
        profile: AircraftProfile,
        distance_to_threshold_nm: float,
        height_above_threshold_ft: float,
        weather: Weather | None = None,
        wind_from_true_deg: float | None = None,
        wind_speed_kt: float | None = None,
    ) -> Iterable[Finding]:
        """Return crosswind and tailwind against their limits."""
        if phase not in ARRIVING or abs(distance_to_threshold_nm) > self._params.within_nm:
            return
        course_deg = arrival_end.course_true_deg
        wind = _reported(weather, course_deg=course_deg)
        low = height_above_threshold_ft < self._params.own_wind_below_ft
        if wind is None and low and wind_from_true_deg is not None and wind_speed_kt is not None:
            wind = runway_wind(
                wind_from_true_deg=wind_from_true_deg, wind_speed_kt=wind_speed_kt, course_true_deg=course_deg
            )
        if wind is None:
            return
        yield self._finding(
            CROSSWIND,
            wind.worst_crosswind_kt,
            limit_kt=profile.most_crosswind_kt,
            values={"crosswind_kt": wind.worst_crosswind_kt, "limit_kt": profile.most_crosswind_kt},
        )
        yield self._finding(
            TAILWIND,
            wind.worst_tailwind_kt,
            limit_kt=max(profile.most_tailwind_kt, LEAST_LIMIT_KT),
            values={
                "tailwind_kt": wind.worst_tailwind_kt,
                "better_runway": f"{arrival_end.airfield}/{arrival_end.opposite}",
            },
        )

    def _finding(self, alert: str, speed_kt: float, *, limit_kt: float, values: dict[str, float | str]) -> Finding:
        amount = speed_kt / limit_kt
        level = Level.CAUTION if amount >= self._params.serious else Level.ADVICE
        return Finding(alert=alert, level=level, amount=amount, phrase=alert, values=values)


def _reported(weather: Weather | None, *, course_deg: float) -> RunwayWind | None:
    if weather is None or weather.wind_from_true_deg is None or weather.wind_speed_kt is None:
        return None
    return runway_wind(
        wind_from_true_deg=weather.wind_from_true_deg,
        wind_speed_kt=weather.wind_speed_kt,
        course_true_deg=course_deg,
        gust_kt=weather.gust_kt,
        variable_deg=weather.wind_varies_deg,
    )


ADVISORY = Advisory(name="wind-limits", alerts=(CROSSWIND, TAILWIND), params=WindLimitsParams, make=WindLimits)
