"""Conditions: the day for which a plan is worked out. Whatever is not known is left out of the brief, and said."""

from dataclasses import dataclass

from otherseat.advisories import air
from otherseat.advisories.plan import ResolvedPlan


@dataclass(frozen=True, slots=True)
class Wind:
    """A wind, true."""

    from_true_deg: float
    speed_kt: float


@dataclass(frozen=True, slots=True)
class Holding:
    """A hold to fly: inbound course, true, and the side of its turns."""

    inbound_true_deg: float
    right_turns: bool = True


@dataclass(frozen=True, slots=True)
class Conditions:
    """What is known about the day and the aircraft."""

    surface_wind: Wind | None = None
    """At the destination."""
    cruise_wind: Wind | None = None
    temperature_c: float | None = None
    """At the destination's elevation."""
    altimeter_hpa: float | None = None
    gust_kt: float | None = None
    cruise_airspeed_kt: float | None = None
    """Indicated, taken as calibrated."""
    cruise_true_airspeed_kt: float | None = None
    """Where the indicated one is not given."""
    approach_airspeed_kt: float | None = None
    holding: Holding | None = None

    @property
    def setting_hpa(self) -> float:
        """The altimeter setting, standard when it is not known."""
        return air.SEA_LEVEL_HPA if self.altimeter_hpa is None else self.altimeter_hpa

    def deviation_k(self, *, elevation_ft: float) -> float:
        """Return how much warmer than ISA it is at the destination; 0 when not known."""
        if self.temperature_c is None:
            return 0.0
        pressure_ft = air.pressure_altitude_ft(indicated_altitude_ft=elevation_ft, altimeter_hpa=self.setting_hpa)
        return self.temperature_c - air.isa_temperature_c(pressure_altitude_ft=pressure_ft)


def conditions_of(plan: ResolvedPlan) -> Conditions:
    """Return what the plan itself knows: its weather report, its hold, and its speeds or those of its aircraft."""
    weather, profile = plan.weather, plan.profile
    wind = None
    if weather is not None and weather.wind_speed_kt is not None:
        from_deg = weather.wind_from_true_deg
        if from_deg is not None or weather.calm:
            wind = Wind(from_true_deg=from_deg or 0.0, speed_kt=weather.wind_speed_kt)
    hold = plan.hold
    return Conditions(
        surface_wind=wind,
        gust_kt=None if weather is None else weather.gust_kt,
        temperature_c=None if weather is None else weather.temperature_c,
        altimeter_hpa=None if weather is None else weather.altimeter_hpa,
        cruise_true_airspeed_kt=plan.plan.cruise_speed_kt
        or (None if profile is None else profile.cruise_true_airspeed_kt),
        approach_airspeed_kt=plan.plan.approach_speed_kt or (None if profile is None else profile.approach_speed_kt),
        holding=None
        if hold is None
        else Holding(inbound_true_deg=hold.inbound_true_deg, right_turns=hold.hold.turns == "right"),
    )
