"""Control loops: from what is wanted (bank, sink, speed, steering) to where the controls go.

bank        aileron  = integral + bank_gain x (wanted - bank) - roll_damping x roll rate
sink        pitch    = trim integral + pitch_per_fpm x (wanted - vertical speed)
                       + TURN_PITCH_DEG x (load factor - 1)
pitch       elevator = integral + pitch_gain x (wanted - pitch) - pitch_damping x pitch rate
speed       throttle = integral + throttle_per_kt x (wanted - airspeed) + throttle_per_fpm x wanted vertical speed:
                       whoever asks for less sink adds power before the speed has gone
slip        rudder   = slip_gain x sideslip - yaw_damping x yaw rate on top of a steady turn's
steering    rudder   = steer_gain x (wanted - heading) - steer_damping x yaw rate, on the ground;
            the nose wheel gets less of it the faster it rolls

In the air a new speed is asked for at speed_kt_per_s and flaps run at flaps_per_s: nobody wants them all at once.
The gains were found by flying; no source. Each integral stops where its output is at its stop.
"""

import math
from dataclasses import dataclass

from otherseat.advisories.angles import difference_deg
from otherseat.daemon.flight_model.model import Controls, View


@dataclass(frozen=True, slots=True)
class Handling:
    """One aircraft as its pilot knows it: speeds, limits and gains."""

    aircraft: str
    """By the flight model's name."""
    profile: str
    """By the name of its profile in config/aircraft/."""
    rotate_kt: float
    climb_kt: float
    cruise_kt: float
    circuit_kt: float
    approach_kt: float
    reference_kt: float
    """What the pilot gives as the approach speed: flown a few knots faster, as taught."""
    approach_flaps: float
    flare_ft: float
    standing_ft: float
    """Height above ground that the model reports with the wheels on it."""
    take_off_flaps: float = 0.0
    climb_pitch_deg: float = 7.0
    most_bank_deg: float = 22.0
    usual_bank_deg: float = 19.0
    """With which turns are planned: what is left to the most mends a turn that was begun late."""
    most_pitch_deg: float = 12.0
    least_pitch_deg: float = -10.0
    cruise_throttle: float = 0.6
    climb_fpm: float = 900.0
    sink_fpm: float = 700.0
    brake_below_kt: float = 50.0
    braking: float = 0.35
    most_wind_kt: float = 18.0
    most_crosswind_kt: float = 10.0
    most_tailwind_kt: float = 4.0

    bank_gain: float = 0.03
    roll_damping: float = 0.012
    roll_trim_rate: float = 0.004
    pitch_gain: float = 0.06
    pitch_damping: float = 0.025
    pitch_trim_rate: float = 0.03
    pitch_per_fpm: float = 0.006
    pitch_per_fpm_s: float = 0.0014
    throttle_per_kt: float = 0.045
    throttle_per_kt_s: float = 0.004
    throttle_per_fpm: float = 0.0005
    speed_kt_per_s: float = 0.8
    flaps_per_s: float = 0.05
    slip_gain: float = 0.05
    steer_gain: float = 0.08
    steer_damping: float = 0.04


LIGHT_SINGLE = Handling(
    aircraft="c172p",
    profile="light-single",
    rotate_kt=55.0,
    climb_kt=75.0,
    cruise_kt=105.0,
    circuit_kt=85.0,
    approach_kt=68.0,
    reference_kt=65.0,
    approach_flaps=0.67,
    flare_ft=16.0,
    standing_ft=4.3,
)


JET = Handling(
    aircraft="737",
    profile="light-jet",
    rotate_kt=120.0,
    climb_kt=190.0,
    cruise_kt=230.0,
    circuit_kt=180.0,
    approach_kt=145.0,
    reference_kt=140.0,
    approach_flaps=1.0,
    flare_ft=45.0,
    standing_ft=3.7,
    take_off_flaps=0.4,
    climb_pitch_deg=12.0,
    most_bank_deg=25.0,
    usual_bank_deg=21.0,
    most_pitch_deg=16.0,
    least_pitch_deg=-6.0,
    cruise_throttle=0.5,
    climb_fpm=2_000.0,
    sink_fpm=1_500.0,
    brake_below_kt=135.0,
    braking=0.8,
    most_wind_kt=25.0,
    most_crosswind_kt=18.0,
    most_tailwind_kt=8.0,
    bank_gain=0.02,
    roll_damping=0.02,
    roll_trim_rate=0.002,
    pitch_gain=0.05,
    pitch_damping=0.05,
    pitch_trim_rate=0.02,
    pitch_per_fpm=0.0045,
    pitch_per_fpm_s=0.0014,
    throttle_per_kt=0.03,
    throttle_per_kt_s=0.003,
    throttle_per_fpm=0.0003,
)
"""A twin jet of about fifty tonnes."""

ROTATING_DEG = 2.0
TURN_PITCH_DEG = 8.0
"""About the angle of attack of slow flight: what a turn asks for more of."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What guidance wants now. Of pitch and vertical speed one counts, of throttle and airspeed one."""

    bank_deg: float = 0.0
    heading_true_deg: float | None = None
    """On the ground: where to steer. None in the air."""
    pitch_deg: float | None = None
    vertical_speed_fpm: float = 0.0
    throttle: float | None = None
    airspeed_kt: float = 0.0
    flaps: float = 0.0
    brakes: float = 0.0


FULL_STEERING_KT = 10.0
"""Groundspeed from which the nose wheel gets less than the pedals ask for."""


def clamp(value: float, low: float, high: float) -> float:
    """Return the value kept between low and high."""
    return max(low, min(high, value))


class Integral:
    """A sum over time that stays within its stops."""

    def __init__(self, *, low: float, high: float, start: float = 0.0) -> None:
        self._low, self._high = low, high
        self.value = clamp(start, low, high)

    def add(self, amount: float) -> float:
        """Add and return the sum."""
        self.value = clamp(self.value + amount, self._low, self._high)
        return self.value


class Loops:
    """The memory of one pair of hands."""

    def __init__(self, handling: Handling) -> None:
        self._handling = handling
        self.settle()

    def settle(self, *, pitch_deg: float = 0.0, throttle: float | None = None) -> None:
        """Forget the past: the aircraft has been put somewhere else."""
        handling = self._handling
        self._roll = Integral(low=-0.3, high=0.3)
        self._trim = Integral(low=-1.0, high=1.0)
        self._pitch = Integral(low=handling.least_pitch_deg, high=handling.most_pitch_deg, start=pitch_deg)
        start = handling.cruise_throttle if throttle is None else throttle
        self._throttle = Integral(low=0.0, high=1.0, start=start)
        self._wanted_kt: float | None = None
        self._flaps = 0.0

    def step(self, *, view: View, demand: Demand, step_s: float) -> Controls:
        """Return where the controls go for the next step_s seconds."""
        return Controls(
            aileron=self._aileron(view=view, demand=demand, step_s=step_s),
            elevator=self._elevator(view=view, demand=demand, step_s=step_s),
            rudder=(rudder := self._rudder(view=view, demand=demand)),
            steering=rudder * clamp(FULL_STEERING_KT / max(view.groundspeed_kt, 1.0), 0.1, 1.0),
            throttle=self._power(view=view, demand=demand, step_s=step_s),
            flaps=self._flaps_run(view=view, demand=demand, step_s=step_s),
            brakes=demand.brakes,
        )

    def _aileron(self, *, view: View, demand: Demand, step_s: float) -> float:
        handling = self._handling
        error_deg = demand.bank_deg - view.bank_deg
        trim = self._roll.value if view.on_ground else self._roll.add(handling.roll_trim_rate * error_deg * step_s)
        return clamp(trim + handling.bank_gain * error_deg - handling.roll_damping * view.roll_rate_deg_s, -1.0, 1.0)

    def _elevator(self, *, view: View, demand: Demand, step_s: float) -> float:
        handling = self._handling
        wanted_deg = self._wanted_pitch(view=view, demand=demand, step_s=step_s)
        error_deg = wanted_deg - view.pitch_deg
        rolling = view.on_ground and wanted_deg < ROTATING_DEG
        trim = self._trim.value if rolling else self._trim.add(handling.pitch_trim_rate * error_deg * step_s)
        return clamp(trim + handling.pitch_gain * error_deg - handling.pitch_damping * view.pitch_rate_deg_s, -1.0, 1.0)

    def _wanted_pitch(self, *, view: View, demand: Demand, step_s: float) -> float:
        handling = self._handling
        if demand.pitch_deg is not None:
            self._pitch.value = demand.pitch_deg
            return demand.pitch_deg
        most_fpm = handling.climb_fpm * 2.0 / 3.0
        error_fpm = clamp(demand.vertical_speed_fpm - view.vertical_speed_fpm, -most_fpm, most_fpm)
        steady = self._pitch.add(handling.pitch_per_fpm_s * error_fpm * step_s)
        turning_deg = TURN_PITCH_DEG * (1.0 / math.cos(math.radians(clamp(view.bank_deg, -60.0, 60.0))) - 1.0)
        pitch_deg = steady + turning_deg + handling.pitch_per_fpm * error_fpm
        return clamp(pitch_deg, handling.least_pitch_deg, handling.most_pitch_deg)

    def _power(self, *, view: View, demand: Demand, step_s: float) -> float:
        if demand.throttle is not None:
            self._throttle.value, self._wanted_kt = demand.throttle, None
            return demand.throttle
        handling = self._handling
        before_kt = view.airspeed_kt if self._wanted_kt is None else self._wanted_kt
        most_kt = handling.speed_kt_per_s * step_s
        self._wanted_kt = clamp(demand.airspeed_kt, before_kt - most_kt, before_kt + most_kt)
        error_kt = self._wanted_kt - view.airspeed_kt
        steady = self._throttle.add(handling.throttle_per_kt_s * error_kt * step_s)
        ahead = 0.0 if demand.pitch_deg is not None else handling.throttle_per_fpm * demand.vertical_speed_fpm
        return clamp(steady + ahead + handling.throttle_per_kt * error_kt, 0.0, 1.0)

    def _flaps_run(self, *, view: View, demand: Demand, step_s: float) -> float:
        most = 1.0 if view.on_ground else self._handling.flaps_per_s * step_s
        self._flaps = clamp(demand.flaps, self._flaps - most, self._flaps + most)
        return self._flaps

    def _rudder(self, *, view: View, demand: Demand) -> float:
        handling = self._handling
        if demand.heading_true_deg is None:
            return clamp(handling.slip_gain * view.sideslip_deg, -1.0, 1.0)
        error_deg = difference_deg(demand.heading_true_deg, view.heading_true_deg)
        return clamp(handling.steer_gain * error_deg - handling.steer_damping * view.yaw_rate_deg_s, -1.0, 1.0)
