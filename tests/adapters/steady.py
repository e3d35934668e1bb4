"""A flight as a person flies it who does what `otherseat identify` asks for: each thing by itself, at a steady speed.

Made by hand in a steady wind, not by a flight model: the nose is 2.5 deg above the climb angle all the time.
"""

import json
from collections.abc import Sequence

import numpy as np

from tests.adapters.flown import Table

RATE_HZ = 10.0
KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)
FT_PER_MIN_A_KT = 101.2686
NOSE_UP_DEG = 2.5
Array = np.ndarray
Step = tuple[float, float, float, float]
"""Seconds, turn in degrees, vertical speed in feet a minute, change of the airspeed in knots."""

CLIMB_AND_DESCENT: tuple[Step, ...] = ((5, 0, 0, 0), (35, 0, 700, 0), (10, 0, 0, 0), (35, 0, -700, 0), (5, 0, 0, 0))
TURNS: tuple[Step, ...] = ((25, 110, 0, 0), (5, 0, 0, 0), (25, -110, 0, 0), (5, 0, 0, 0))
FASTER: tuple[Step, ...] = ((15, 0, 0, 20), (10, 0, 0, 0), (15, 0, 0, -20))


def steady(steps: Sequence[Step], *, true_kt: float = 105.0, wind_kt: float = 15.0) -> Table:
    """Return the flight of these steps, with the columns of `flown.flight` that an export may have."""
    turn, climb_fpm, change_kt = (
        np.concatenate(
            [np.full(int(step[0] * RATE_HZ), step[item] / (step[0] if item != 2 else 1.0)) for step in steps]
        )
        for item in (1, 2, 3)
    )
    climb_fpm = eased(climb_fpm)
    heading = np.radians(40.0) + np.cumsum(np.radians(eased(turn))) / RATE_HZ
    speed_kt = true_kt + np.cumsum(change_kt) / RATE_HZ
    moved = speed_kt * np.exp(1j * heading) - wind_kt * np.exp(1j * np.radians(300.0))
    altitude_ft = 2_500.0 + np.cumsum(climb_fpm) / 60.0 / RATE_HZ
    latitude = 61.2 + np.cumsum(moved.real) / RATE_HZ / 3600.0 / 60.0
    kelvin = 285.15 - 0.00198 * altitude_ft
    density = (1.0 - altitude_ft * 6.8756e-6) ** 5.2559 * 288.15 / kelvin
    return {
        "time_s": np.arange(len(turn)) / RATE_HZ,
        "latitude_deg": latitude,
        "longitude_deg": -45.0 + np.cumsum(moved.imag) / RATE_HZ / 3600.0 / 60.0 / np.cos(np.radians(61.2)),
        "altitude_ft": altitude_ft,
        "vertical_speed_fps": climb_fpm / 60.0,
        "north_fps": moved.real / KT_PER_FPS,
        "east_fps": moved.imag / KT_PER_FPS,
        "heading_true_deg": np.degrees(heading) % 360.0,
        "pitch_deg": NOSE_UP_DEG + np.degrees(np.arcsin(climb_fpm / FT_PER_MIN_A_KT / speed_kt)),
        "bank_deg": np.degrees(np.arctan(np.radians(eased(turn)) * speed_kt / KT_PER_FPS * 0.3048 / 9.80665)),
        "indicated_airspeed_kt": speed_kt * np.sqrt(density),
        "temperature_k": kelvin,
    }


def eased(values: Array) -> Array:
    """Return the values with their steps taken in three seconds."""
    return np.convolve(np.pad(values, 15, mode="edge"), np.ones(31) / 31.0, mode="valid")


def objects(table: Table, names: Sequence[str], **more: Array) -> list[tuple[float, bytes]]:
    """Return a stream of JSON: place, heading, velocities north and east in m/s, these columns, and what is given."""
    sent = {"seq": np.arange(float(len(table["time_s"]))), "lat": table["latitude_deg"], "lng": table["longitude_deg"]}
    sent |= {"north": table["north_fps"] * 0.3048, "east": table["east_fps"] * 0.3048, "psi": table["heading_true_deg"]}
    sent |= {name: table[name] for name in names} | more
    rows = (dict(zip(sent, row, strict=True)) for row in zip(*(each.tolist() for each in sent.values()), strict=True))
    return [(time_s, json.dumps(row).encode()) for time_s, row in zip(table["time_s"].tolist(), rows, strict=True)]
