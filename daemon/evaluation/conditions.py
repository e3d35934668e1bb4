"""The conditions of one flight, drawn from its seed: air, pilot, and how the simulator reports.

wind          up to 18 kt (light single) or 25 kt, with no more across or behind the runway than the aircraft takes
turbulence    none to moderate (MIL-F-8785C severities 0 to 3)
air           15 C colder to 20 C warmer than standard, 990 to 1035 hPa
pilot         steady, average or rough: slow wanderings of bank, sink and speed on top of what is right, up to MOST
              standard deviations, so wide that the rough one just meets the standard for a private pilot in still air:
              approach speed +10 and -5 kt (FAA-S-ACS-6, approaches and landings; from memory) about a few knots above
              it. Turbulence comes on top, and in it everybody flies GUST_SHARE of the wind faster (half the gusts,
              FAA-H-8083-3, ch. 9, from memory; gusts are taken as 0.3 of the wind)
reports       1 to 60 a second; some flights lose half a second to three seconds of them now and then
altimeter     in some flights only an altimeter is reported, up to 75 ft wrong (the most that FAA AIM 7-2-3 accepts
              before flight)

The ranges are common practice, no source, unless one is named.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.flight_model.loops import Demand, Handling, clamp
from otherseat.daemon.flight_model.model import View, Weather

RATES_HZ = (1, 2, 4, 5, 10, 15, 20, 30, 60)
DROPOUT_SHARE = 0.25
ALTIMETER_SHARE = 0.3
ALTIMETER_ERROR_FT = 75.0
GUST_SHARE = 0.15
MOST = 2.5
"""Farther off than so many standard deviations anybody notices."""
CALMED_SEVERITY = 1


@dataclass(frozen=True, slots=True)
class Skill:
    """How far a pilot wanders from what is right, as standard deviations."""

    name: str
    bank_deg: float
    sink_fpm: float
    speed_kt: float


SKILLS = (
    Skill(name="steady", bank_deg=0.8, sink_fpm=40.0, speed_kt=1.0),
    Skill(name="average", bank_deg=1.5, sink_fpm=70.0, speed_kt=2.0),
    Skill(name="rough", bank_deg=2.5, sink_fpm=120.0, speed_kt=2.5),
)


@dataclass(frozen=True, slots=True)
class Conditions:
    """Everything about one flight that the dice decide, except the flight itself."""

    weather: Weather
    skill: Skill
    rate_hz: int
    dropouts: bool
    altimeter_error_ft: float | None
    """None: the true altitude is reported."""


def draw_conditions(*, dice: random.Random, course_true_deg: float, handling: Handling) -> Conditions:
    """Draw the conditions of a flight that takes off or lands along a course."""
    altimeter = dice.random() < ALTIMETER_SHARE
    return Conditions(
        weather=_draw_weather(dice=dice, course_true_deg=course_true_deg, handling=handling),
        skill=dice.choice(SKILLS),
        rate_hz=dice.choice(RATES_HZ),
        dropouts=dice.random() < DROPOUT_SHARE,
        altimeter_error_ft=dice.triangular(-ALTIMETER_ERROR_FT, ALTIMETER_ERROR_FT, 0.0) if altimeter else None,
    )


def _draw_weather(*, dice: random.Random, course_true_deg: float, handling: Handling) -> Weather:
    wind_kt = dice.uniform(0.0, handling.most_wind_kt)
    across_kt, behind_kt = handling.most_crosswind_kt, handling.most_tailwind_kt
    while True:
        off_deg = dice.uniform(-120.0, 120.0)
        across, along = (
            abs(wind_kt * math.sin(math.radians(off_deg))),
            wind_kt * math.cos(math.radians(off_deg)),
        )
        if across <= across_kt and -along <= behind_kt:
            break
    return Weather(
        wind_from_true_deg=(course_true_deg + off_deg) % 360.0,
        wind_kt=wind_kt,
        turbulence_severity=dice.choice((0, 0, 1, 1, 2, 3)),
        warmer_c=dice.uniform(-15.0, 20.0),
        sea_level_hpa=dice.uniform(990.0, 1_035.0),
        seed=dice.randrange(1, 2**31),
    )


def blown_from_behind(conditions: Conditions, *, end: RunwayEnd, tailwind_kt: float) -> Conditions:
    """Return the conditions with a wind of just that tailwind on a runway end."""
    from_deg = normal_deg(end.course_true_deg + 180.0)
    weather = replace(conditions.weather, wind_from_true_deg=from_deg, wind_kt=tailwind_kt)
    return replace(conditions, weather=weather)


def calmed(conditions: Conditions) -> Conditions:
    """Return the conditions for half a fault: other hands, and rougher air, wander by a whole threshold."""
    weather = conditions.weather
    smoother = replace(weather, turbulence_severity=min(weather.turbulence_severity, CALMED_SEVERITY))
    return replace(conditions, skill=SKILLS[0], weather=smoother)


class UnsteadyHand:
    """Slow wanderings on top of every demand: three Ornstein-Uhlenbeck processes."""

    WANDER_S = 12.0
    """How long a deviation lasts."""
    SHARPER_BELOW_FT = 700.0
    """Near the runway the picture is plain, and deviations are seen sooner."""

    def __init__(self, *, skill: Skill, dice: random.Random, faster_kt: float = 0.0) -> None:
        self._skill = skill
        self._faster_kt = faster_kt
        self._dice = dice
        self._bank = self._sink = self._speed = 0.0

    def __call__(self, demand: Demand, view: View, step_s: float) -> Demand:
        """Return what the hand makes of a demand; on the ground it is left alone."""
        if demand.heading_true_deg is not None:
            return demand
        close = clamp(view.height_agl_ft / self.SHARPER_BELOW_FT, 0.35, 1.0)
        self._bank = self._wander(self._bank, step_s)
        self._sink = self._wander(self._sink, step_s)
        self._speed = self._wander(self._speed, step_s)
        skill = self._skill
        return replace(
            demand,
            bank_deg=demand.bank_deg + close * skill.bank_deg * self._bank,
            vertical_speed_fpm=demand.vertical_speed_fpm + close * skill.sink_fpm * self._sink,
            airspeed_kt=demand.airspeed_kt + self._faster_kt + skill.speed_kt * self._speed,
        )

    def _wander(self, value: float, step_s: float) -> float:
        keep = math.exp(-step_s / self.WANDER_S)
        return clamp(value * keep + math.sqrt(1.0 - keep * keep) * self._dice.gauss(0.0, 1.0), -MOST, MOST)


def gust_kt(weather: Weather) -> float:
    """Return how much faster everybody flies in this weather."""
    return GUST_SHARE * weather.wind_kt if weather.turbulence_severity else 0.0


def dropouts(*, dice: random.Random) -> Iterator[tuple[float, float]]:
    """Yield spans of simulated time in which nothing arrives: for ever, about one a minute."""
    time_s = 0.0
    while True:
        time_s += dice.expovariate(1.0 / 60.0)
        length_s = dice.uniform(0.5, 3.0)
        yield time_s, time_s + length_s
        time_s += length_s
