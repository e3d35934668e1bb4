"""A flight that nobody here made up: jsbsim's light single, flown by simple loops, sampled at 60 Hz.

Every column is what the flight model itself says. Winds, places, heights and manoeuvres differ with the seed, and
every flight has turns both ways, a climb, a descent and a change of speed.
"""

import functools
import math

import jsbsim
import numpy as np
from numpy.typing import NDArray

RATE_HZ = 60
STEPS_A_SAMPLE = 2
DT_S = 1.0 / (RATE_HZ * STEPS_A_SAMPLE)

PROPERTIES = {
    "time_s": "simulation/sim-time-sec",
    "latitude_deg": "position/lat-geod-deg",
    "longitude_deg": "position/long-gc-deg",
    "altitude_ft": "position/h-sl-ft",
    "height_agl_ft": "position/h-agl-ft",
    "indicated_airspeed_kt": "velocities/vc-kts",
    "true_airspeed_fps": "velocities/vt-fps",
    "north_fps": "velocities/v-north-fps",
    "east_fps": "velocities/v-east-fps",
    "vertical_speed_fps": "velocities/h-dot-fps",
    "heading_true_deg": "attitude/psi-deg",
    "pitch_deg": "attitude/theta-deg",
    "bank_deg": "attitude/phi-deg",
    "temperature_r": "atmosphere/T-R",
    "pressure_psf": "atmosphere/P-psf",
    "pressure_altitude_ft": "atmosphere/pressure-altitude",
    "mach": "velocities/mach",
    "roll_rate_rps": "velocities/p-rad_sec",
    "pitch_rate_rps": "velocities/q-rad_sec",
    "load_factor": "accelerations/Nz",
    "alpha_deg": "aero/alpha-deg",
    "beta_deg": "aero/beta-deg",
    "fuel_lb": "propulsion/total-fuel-lbs",
    "engine_rpm": "propulsion/engine/engine-rpm",
    "elevator": "fcs/elevator-pos-norm",
    "throttle": "fcs/throttle-pos-norm",
}
Table = dict[str, NDArray[np.float64]]

PLACES = ((47.2, -122.3), (-33.9, 18.6), (-12.4, -77.1), (61.3, 5.4), (5.6, 151.2), (28.5, -16.3))
"""Open water or not: the flight model knows no terrain. All four quarters of the globe, and near the equator."""


class Pilot:
    """Pitch, bank and power loops of a light single."""

    def __init__(self, seed: int) -> None:
        self._draw = np.random.default_rng(seed)
        self._bank_deg = float(self._draw.uniform(15, 25)) * self._draw.choice([-1, 1])
        self._rate_fpm = float(self._draw.uniform(400, 600))
        self._start_s = self._draw.uniform(8, 14)

    def wishes(self, time_s: float) -> tuple[float, float, float]:
        """Return bank in degrees, vertical speed in feet per minute and throttle."""
        at = time_s - self._start_s
        bank = self._bank_deg * (0 < at < 35) - 0.8 * self._bank_deg * (55 < at < 80)
        rate = self._rate_fpm * (15 < at < 50) - 1.2 * self._rate_fpm * (62 < at < 95)
        return bank, rate, 0.95 if rate > 0 else 0.45 if rate < 0 else 0.72

    def fly(self, model: jsbsim.FGFDMExec) -> None:
        """Move the controls once."""
        bank, rate, throttle = self.wishes(model["simulation/sim-time-sec"])
        pitch = 2.0 + (rate - model["velocities/h-dot-fps"] * 60.0) * 0.006 + rate * 0.004
        pitch_error = max(-12.0, min(12.0, pitch)) - model["attitude/theta-deg"]
        model["fcs/elevator-cmd-norm"] = max(
            -0.6, min(0.6, -0.05 * pitch_error + 0.6 * model["velocities/q-rad_sec"] - 0.05)
        )
        model["fcs/aileron-cmd-norm"] = max(
            -0.5, min(0.5, 0.02 * (bank - model["attitude/phi-deg"]) - 0.15 * model["velocities/p-rad_sec"])
        )
        model["fcs/rudder-cmd-norm"] = max(-0.3, min(0.3, 0.04 * model["aero/beta-deg"]))
        model["fcs/throttle-cmd-norm"] = throttle


def start(seed: int, *, calm_at_ft: float | None = None) -> jsbsim.FGFDMExec:
    """Return a model in the air, its engine running, its own output off; calm_at_ft: in still air at this height."""
    draw = np.random.default_rng(seed)
    model = jsbsim.FGFDMExec(None)
    model.set_debug_level(0)
    model.load_model("c172x")
    model.disable_output()
    latitude, longitude = PLACES[seed % len(PLACES)]
    model["ic/lat-geod-deg"], model["ic/long-gc-deg"] = latitude, longitude
    height_ft = draw.uniform(3_500, 6_500)
    model["ic/h-sl-ft"] = height_ft if calm_at_ft is None else calm_at_ft
    model["ic/vc-kts"] = draw.uniform(95, 105)
    model["ic/psi-true-deg"] = draw.uniform(0, 360)
    model.set_dt(DT_S)
    model.run_ic()
    wind, direction = draw.uniform(12, 25), draw.uniform(0, 2 * math.pi)
    wind *= calm_at_ft is None
    model["atmosphere/wind-north-fps"] = wind * 1.688 * math.cos(direction)
    model["atmosphere/wind-east-fps"] = wind * 1.688 * math.sin(direction)
    model["propulsion/set-running"] = -1
    return model


class Cruising(Pilot):
    """Straight on, a little up and down."""

    _course_deg: float | None = None
    _off_deg = 0.0

    def wishes(self, time_s: float) -> tuple[float, float, float]:
        """Return the bank that keeps the heading, and a small wave of height."""
        return self._off_deg, 150.0 * math.sin(time_s / 5.0), 0.72

    def fly(self, model: jsbsim.FGFDMExec) -> None:
        """Move the controls once."""
        heading_deg = model["attitude/psi-deg"]
        if self._course_deg is None:
            self._course_deg = heading_deg
        self._off_deg = (self._course_deg - heading_deg + 180.0) % 360.0 - 180.0
        super().fly(model)


def fly(seed: int, seconds: float, *, calm_at_ft: float | None = None, pilot_of: type[Pilot] = Pilot) -> Table:
    """Fly and return every property at 60 Hz."""
    model, pilot = start(seed, calm_at_ft=calm_at_ft), pilot_of(seed)
    rows = []
    for _ in range(int(seconds * RATE_HZ)):
        for _ in range(STEPS_A_SAMPLE):
            pilot.fly(model)
            model.run()
        rows.append([model[name] for name in PROPERTIES.values()])
    return dict(zip(PROPERTIES, np.array(rows).T, strict=True))


@functools.cache
def flight(seed: int, seconds: float = 120.0) -> Table:
    """Return the flight of a seed; flown once a session, in a quarter of a second."""
    return fly(seed, seconds)


@functools.cache
def level_flight(seed: int, seconds: float = 45.0) -> Table:
    """Return a flight straight on; flown once a session."""
    return fly(seed, seconds, pilot_of=Cruising)


@functools.cache
def calm_flight(seed: int, at_ft: float, seconds: float = 120.0) -> Table:
    """Return the flight of a seed in still air, begun at a height; flown once a session."""
    return fly(seed, seconds, calm_at_ft=at_ft)
