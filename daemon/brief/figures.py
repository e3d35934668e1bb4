"""Figures: the numbers of the approach, exact with the rule of thumb beside it. No words, no drawing.

Heights are above the landing threshold, altitudes above mean sea level; what is to be read on the altimeter has the
cold-air correction in it when there is one. Sources stand with the formulas in otherseat.advisories.
"""

import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from otherseat.advisories import air, cold, path, rules_of_thumb, wind
from otherseat.advisories.angles import difference_deg
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.real import DomainError
from otherseat.advisories.runway import Airfield, RunwayEnd, axis_course_deg
from otherseat.daemon.brief.conditions import Conditions, Wind

MILES_NM = tuple(float(mile) for mile in range(1, 11))
COLD_FROM_C = 0.0
"""From here down corrections are shown: ICAO's table begins at 0 C."""


class SpeedError(DomainError):
    """A planned speed or altitude for which the airspeed formulas do not hold; says which."""


@dataclass(frozen=True, slots=True)
class PathPoint:
    """The path at one distance from the threshold."""

    distance_nm: float
    height_ft: float
    altitude_ft: float
    rule_height_ft: float
    correction_ft: float | None
    """To be added in cold air; None when there is nothing to correct."""

    @property
    def read_ft(self) -> float:
        """What the altimeter is to show."""
        return self.altitude_ft + (self.correction_ft or 0.0)


@dataclass(frozen=True, slots=True)
class SinkPoint:
    """The sink rate that holds the path at one groundspeed."""

    groundspeed_kt: float
    exact_fpm: float
    rule_fpm: float


@dataclass(frozen=True, slots=True)
class EndWind:
    """The surface wind on one runway end."""

    end: RunwayEnd
    headwind_kt: float
    crosswind_kt: float


@dataclass(frozen=True, slots=True)
class Gate:
    """Where and how the approach is to be stable."""

    height_ft: float
    distance_nm: float
    read_ft: float
    sink_fpm: float | None


def path_angle_deg(plan: ResolvedPlan) -> float:
    """Return the plan's path angle, or the runway's own."""
    if plan.plan.path_angle_deg is not None:
        return plan.plan.path_angle_deg
    return 3.0 if plan.arrival is None else plan.arrival.path_angle_deg


def is_cold(day: Conditions) -> bool:
    """Say whether cold-air corrections matter."""
    return day.temperature_c is not None and day.temperature_c <= COLD_FROM_C


def correction_ft(*, height_ft: float, elevation_ft: float, day: Conditions) -> float | None:
    """Return what to add to a height in cold air, by the ICAO formula; None when it is not cold."""
    if day.temperature_c is None or not is_cold(day):
        return None
    return cold.correction_ft(
        height_ft=height_ft, station_temperature_c=day.temperature_c, station_elevation_ft=elevation_ft
    )


def path_points(*, end: RunwayEnd, angle_deg: float, day: Conditions) -> list[PathPoint]:
    """Return the path at every mile."""
    return [_path_point(distance_nm=mile, end=end, angle_deg=angle_deg, day=day) for mile in MILES_NM]


def _path_point(*, distance_nm: float, end: RunwayEnd, angle_deg: float, day: Conditions) -> PathPoint:
    height_ft = path.path_height_ft(
        distance_nm=distance_nm,
        angle_deg=angle_deg,
        threshold_crossing_height_ft=end.threshold_crossing_height_ft,
    )
    return PathPoint(
        distance_nm=distance_nm,
        height_ft=height_ft,
        altitude_ft=end.elevation_ft + height_ft,
        rule_height_ft=rules_of_thumb.path_height_ft(distance_nm=distance_nm),
        correction_ft=correction_ft(height_ft=height_ft, elevation_ft=end.elevation_ft, day=day),
    )


def sink_points(*, groundspeeds_kt: Iterable[float], angle_deg: float) -> list[SinkPoint]:
    """Return the sink rates that hold the path."""
    return [
        SinkPoint(
            groundspeed_kt=speed_kt,
            exact_fpm=path.sink_rate_to_hold_fpm(groundspeed_kt=speed_kt, angle_deg=angle_deg),
            rule_fpm=rules_of_thumb.sink_rate_fpm(groundspeed_kt=speed_kt),
        )
        for speed_kt in groundspeeds_kt
    ]


def approach_groundspeed_kt(*, end: RunwayEnd, day: Conditions) -> float | None:
    """Return the groundspeed on final, or None when the approach speed is not known."""
    if day.approach_airspeed_kt is None:
        return None
    true_kt = true_airspeed_kt(airspeed_kt=day.approach_airspeed_kt, altitude_ft=end.elevation_ft, end=end, day=day)
    return true_kt - (0.0 if day.surface_wind is None else wind_on(end=end, surface=day.surface_wind).headwind_kt)


def sink_speeds_kt(approach_kt: float | None) -> tuple[float, ...]:
    """Return groundspeeds in tens around the approach's, or a wide choice when that is not known."""
    if approach_kt is None:
        return (60.0, 80.0, 100.0, 120.0, 140.0, 160.0)
    middle = 10.0 * math.floor(approach_kt / 10.0)
    return tuple(middle + 10.0 * step for step in range(-2, 4) if middle + 10.0 * step > 0.0)


def true_airspeed_kt(*, airspeed_kt: float, altitude_ft: float, end: RunwayEnd | None, day: Conditions) -> float:
    """Return the true airspeed at an altitude on that day; raises SpeedError, a DomainError that a person can read."""
    pressure_ft, temperature_c = air_at(altitude_ft=altitude_ft, end=end, day=day)
    with readable_speed(speed_kt=airspeed_kt, altitude_ft=altitude_ft):
        return air.true_airspeed_kt(
            calibrated_airspeed_kt=airspeed_kt, pressure_altitude_ft=pressure_ft, temperature_c=temperature_c
        )


@contextmanager
def readable_speed(*, speed_kt: float, altitude_ft: float) -> Iterator[None]:
    """Turn the formulas' refusal of a speed or an altitude into one that a person can read."""
    try:
        yield
    except DomainError as error:
        raise SpeedError(
            f"{speed_kt:.0f} kt at {altitude_ft:,.0f} ft is faster than sound or above the air that is worked out here"
        ) from error


def air_at(*, altitude_ft: float, end: RunwayEnd | None, day: Conditions) -> tuple[float, float]:
    """Return pressure altitude and temperature, as far from ISA as at the destination."""
    pressure_ft = air.pressure_altitude_ft(indicated_altitude_ft=altitude_ft, altimeter_hpa=day.setting_hpa)
    deviation_k = 0.0 if end is None else day.deviation_k(elevation_ft=end.elevation_ft)
    return pressure_ft, air.isa_temperature_c(pressure_altitude_ft=pressure_ft) + deviation_k


def wind_on(*, end: RunwayEnd, surface: Wind, ends: Iterable[RunwayEnd] = ()) -> EndWind:
    """Return the wind's components on one end; alike on its other end, if that is among the ends."""
    headwind_kt, crosswind_kt = wind.components_kt(
        wind_from_true_deg=surface.from_true_deg,
        wind_speed_kt=surface.speed_kt,
        course_true_deg=axis_course_deg(end, ends),
    )
    return EndWind(end=end, headwind_kt=headwind_kt, crosswind_kt=crosswind_kt)


def winds(*, airfield: Airfield, surface: Wind) -> list[EndWind]:
    """Return the wind on every end of an airfield, the most headwind first."""
    ends = airfield.ends
    return sorted((wind_on(end=end, surface=surface, ends=ends) for end in ends), key=lambda on: -on.headwind_kt)


def gates(*, end: RunwayEnd, angle_deg: float, day: Conditions, heights_ft: Iterable[float] = GATES_FT) -> list[Gate]:
    """Return the gates of the approach, or the same at other heights."""
    speed_kt = approach_groundspeed_kt(end=end, day=day)
    return [
        Gate(
            height_ft=height_ft,
            distance_nm=path.gate_distance_nm(
                gate_height_ft=height_ft,
                angle_deg=angle_deg,
                threshold_crossing_height_ft=end.threshold_crossing_height_ft,
            ),
            read_ft=end.elevation_ft
            + height_ft
            + (correction_ft(height_ft=height_ft, elevation_ft=end.elevation_ft, day=day) or 0.0),
            sink_fpm=None
            if speed_kt is None
            else path.sink_rate_to_hold_fpm(groundspeed_kt=speed_kt, angle_deg=angle_deg),
        )
        for height_ft in heights_ft
    ]


def parallels(*, end: RunwayEnd, airfield: Airfield) -> list[RunwayEnd]:
    """Return the other ends of the airfield that point the same way, within 5 degrees: easily taken for the planned."""
    return [
        other
        for other in airfield.ends
        if other != end and abs(difference_deg(other.course_true_deg, end.course_true_deg)) <= 5.0  # noqa: PLR2004
    ]
