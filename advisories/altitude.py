"""Altitude: the selected altitude (or the planned cruise), approached, left, and not kept.

altitude-approaching            a routine call, 1,000 ft before it, climbing or descending towards it from farther off
altitude-leaving                a routine call, when it was kept and nothing new is selected and the aircraft goes
altitude-above, altitude-below  kept before and now more than deviation_ft off; advice, caution from twice that
Silent                          on final, on the ground and near the ground; without a selection also in a steady climb
                                or descent, which is how a cruise is left
Source                          300 ft is the usual bound of altitude alerting (FAA AC 91.215, 14 CFR 91.219, from
                                memory); the other figures are common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan

APPROACHING, LEAVING = "altitude-approaching", "altitude-leaving"
ABOVE, BELOW = "altitude-above", "altitude-below"
FLYING = frozenset({Phase.CLIMB, Phase.CRUISE, Phase.DESCENT, Phase.APPROACH})
SERIOUS = 2.0


class AltitudeParams(Params):
    """Heights in feet, rates in feet per minute."""

    ahead_ft: float = Field(default=1_000.0, gt=0)
    kept_ft: float = Field(default=100.0, gt=0)
    deviation_ft: float = Field(default=250.0, gt=0)
    leaving_fpm: float = Field(default=400.0, gt=0)
    gone_ft: float = Field(default=900.0, gt=0)
    """Farther off than this it was left on purpose."""


class Altitude:
    """The check for one aircraft."""

    def __init__(self, params: AltitudeParams) -> None:
        self._params = params
        self._target_ft: float | None = None
        self._kept = False
        self._is_coming = False
        """From beyond ahead_ft, and steadily since."""

    def look(
        self,
        *,
        phase: Phase,
        altitude_ft: float,
        vertical_speed_fpm: float,
        plan: ResolvedPlan,
        indicated_altitude_ft: float | None = None,
        selected_altitude_ft: float | None = None,
    ) -> Iterable[Finding]:
        """Return how the altitude stands to the one that was meant."""
        params = self._params
        target_ft = selected_altitude_ft if selected_altitude_ft is not None else plan.plan.cruise_altitude_ft
        if target_ft is None or phase not in FLYING:
            self._target_ft, self._kept, self._is_coming = None, False, False
            return
        if selected_altitude_ft is None and phase is not Phase.CRUISE and self._kept:
            self._kept = False  # nobody selects anything here: a steady climb or descent is how the cruise is left
        if target_ft != self._target_ft:
            self._target_ft, self._kept, self._is_coming = target_ft, False, False
        read_ft = indicated_altitude_ft if indicated_altitude_ft is not None else altitude_ft
        off_ft = read_ft - target_ft
        values: dict[str, float | str] = {"target_altitude_ft": target_ft, "deviation_ft": abs(off_ft)}
        towards = off_ft * vertical_speed_fpm < 0.0 and abs(vertical_speed_fpm) >= params.leaving_fpm / 2.0
        self._is_coming = abs(off_ft) > params.ahead_ft or (self._is_coming and towards)
        if self._is_coming and towards and not self._kept and params.kept_ft < abs(off_ft) <= params.ahead_ft:
            yield Finding(alert=APPROACHING, level=Level.CALL, amount=1.0, phrase=APPROACHING, values=values)
        self._kept = (self._kept or abs(off_ft) <= params.kept_ft) and abs(off_ft) <= params.gone_ft
        if not self._kept:
            return
        if self._is_leaving(off_ft=off_ft, vertical_speed_fpm=vertical_speed_fpm):
            yield Finding(alert=LEAVING, level=Level.CALL, amount=1.0, phrase=LEAVING, values=values)
        amount = abs(off_ft) / params.deviation_ft
        alert = ABOVE if off_ft > 0.0 else BELOW
        level = Level.CAUTION if amount >= SERIOUS and selected_altitude_ft is not None else Level.ADVICE
        yield Finding(alert=alert, level=level, amount=amount, phrase=alert, values=values)

    def _is_leaving(self, *, off_ft: float, vertical_speed_fpm: float) -> bool:
        params = self._params
        away = off_ft * vertical_speed_fpm > 0.0 and abs(vertical_speed_fpm) >= params.leaving_fpm
        return away and params.kept_ft < abs(off_ft) < params.deviation_ft


ADVISORY = Advisory(name="altitude", alerts=(APPROACHING, LEAVING, ABOVE, BELOW), params=AltitudeParams, make=Altitude)
