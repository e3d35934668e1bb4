"""Departure runway: whether this is the runway that the plan names, before the take-off roll is under way.

wrong-runway-departure  lined up on another runway's surface than the planned end's
wrong-end-departure     lined up on the planned runway's surface, facing the other way
not-a-runway            rolling faster than rolling_kt, gaining gain_kt within gain_s, and there is no runway beneath: a
                        take-off gains 2 kt/s and more, a brisk taxi none for long
Levels                  advice while taxiing along a runway (it may be the way to the other end), caution when standing
                        lined up and from then on, for a roll that begins slowly is still a roll; warning from
                        rolling_kt up: it speaks before 40 kt
Silent                  after landing and in the air; not-a-runway where no runway, or not its place, is known nearby,
                        without a heading, by which alone a surface is told, and beyond a runway's end once airborne or
                        climbing, for where nobody tells the ground the first feet above it look like it
Source                  common practice, no source
"""

from collections import deque
from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.runway import RunwayEnd, RunwayTable

WRONG_RUNWAY = "wrong-runway-departure"
WRONG_END = "wrong-end-departure"
NOT_A_RUNWAY = "not-a-runway"
BEFORE_FLIGHT = frozenset({Phase.PARKED, Phase.TAXI, Phase.TAKE_OFF})


class DepartureRunwayParams(Params):
    """Speeds in knots over the ground."""

    standing_kt: float = Field(default=3.0, ge=0)
    rolling_kt: float = Field(default=25.0, gt=0, le=40)
    gain_kt: float = Field(default=4.0, gt=0)
    gain_s: float = Field(default=4.0, gt=0)
    near_nm: float = Field(default=3.0, gt=0)
    climbing_fpm: float = Field(default=250.0, gt=0)
    """Steeper than a runway: one that rises by 2 % has 120 ft/min at 60 kt."""


class DepartureRunway:
    """The check for one aircraft."""

    def __init__(self, params: DepartureRunwayParams) -> None:
        self._params = params
        self._speeds: deque[tuple[float, float]] = deque()
        self._stood_on: RunwayEnd | None = None

    def look(
        self,
        *,
        time_s: float,
        phase: Phase,
        groundspeed_kt: float,
        latitude_deg: float,
        longitude_deg: float,
        runways: RunwayTable,
        departure_end: RunwayEnd | None = None,
        surface_end: RunwayEnd | None = None,
        surface_runway: str | None = None,
        heading_true_deg: float | None = None,
        on_ground: bool | None = None,
        vertical_speed_fpm: float | None = None,
    ) -> Iterable[Finding]:
        """Return what is wrong with the runway beneath."""
        if phase not in BEFORE_FLIGHT:
            self._speeds.clear()
            self._stood_on = None
            return
        faster = self._is_gaining(time_s, groundspeed_kt)
        if surface_end != self._stood_on:
            self._stood_on = None
        if surface_end is not None:
            yield from self._compare(surface=surface_end, planned=departure_end, groundspeed_kt=groundspeed_kt)
        elif heading_true_deg is None or on_ground is False or (vertical_speed_fpm or 0.0) > self._params.climbing_fpm:
            return
        elif surface_runway is None and faster and groundspeed_kt >= self._params.rolling_kt:
            here = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg}
            if runways.surveyed(**here, within_nm=self._params.near_nm):
                yield Finding(alert=NOT_A_RUNWAY, level=Level.WARNING, amount=2.0, phrase=NOT_A_RUNWAY)

    def _is_gaining(self, time_s: float, groundspeed_kt: float) -> bool:
        """Say whether the speed grows as in a take-off."""
        self._speeds.append((time_s, groundspeed_kt))
        while not 0.0 <= time_s - self._speeds[0][0] <= self._params.gain_s:
            self._speeds.popleft()
        return groundspeed_kt - min(speed_kt for _, speed_kt in self._speeds) >= self._params.gain_kt

    def _compare(self, *, surface: RunwayEnd, planned: RunwayEnd | None, groundspeed_kt: float) -> Iterable[Finding]:
        if planned is None or surface.airfield != planned.airfield or surface.runway == planned.runway:
            return
        alert = WRONG_END if surface.runway == planned.opposite else WRONG_RUNWAY
        yield Finding(
            alert=alert,
            level=self._level(groundspeed_kt, surface=surface),
            amount=2.0,
            phrase=alert,
            values={"surface_runway": surface.name, "planned_runway": planned.name},
        )

    def _level(self, groundspeed_kt: float, *, surface: RunwayEnd) -> Level:
        if groundspeed_kt <= self._params.standing_kt:
            self._stood_on = surface
        if groundspeed_kt >= self._params.rolling_kt:
            return Level.WARNING
        return Level.CAUTION if self._stood_on == surface else Level.ADVICE


ADVISORY = Advisory(
    name="departure-runway",
    alerts=(WRONG_RUNWAY, WRONG_END, NOT_A_RUNWAY),
    params=DepartureRunwayParams,
    make=DepartureRunway,
)
