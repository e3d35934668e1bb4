"""One implementation for floats and arrays."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import air, cold, path, real, rules_of_thumb, turns, wind


@pytest.mark.parametrize(
    ("ours", "reference", "values"),
    [
        pytest.param(real.sin, math.sin, (-4.0, 0.0, 1.0), id="sin"),
        pytest.param(real.cos, math.cos, (-4.0, 0.0, 1.0), id="cos"),
        pytest.param(real.tan, math.tan, (-1.0, 0.0, 1.0), id="tan"),
        pytest.param(real.radians, math.radians, (-400.0, 0.0, 1.0), id="radians"),
        pytest.param(real.degrees, math.degrees, (-4.0, 0.0, 1.0), id="degrees"),
        pytest.param(real.sqrt, math.sqrt, (0.0, 2.0, 9.0), id="sqrt"),
        pytest.param(real.exp, math.exp, (-3.0, 0.0, 2.0), id="exp"),
        pytest.param(real.log, math.log, (0.1, 1.0, 20.0), id="log"),
        pytest.param(real.arcsin, math.asin, (-1.0, 0.2, 1.0), id="arcsin"),
        pytest.param(real.arctan, math.atan, (-9.0, 0.2, 1.0), id="arctan"),
    ],
)
def test_as_the_library(
    ours: Callable[..., object], reference: Callable[[float], float], values: tuple[float, ...]
) -> None:
    """On a float and on an array it gives what math gives, and a float stays a python float."""
    expected = [reference(value) for value in values]

    assert expected == pytest.approx([ours(value) for value in values])
    assert expected == pytest.approx(ours(np.array(values)))
    assert {float} == {type(ours(value)) for value in values}


def test_of_two_arguments() -> None:
    """Two floats, two arrays, or one of each."""
    array = np.array([1.0, -2.0])

    assert math.atan2(1.0, -2.0) == real.arctan2(1.0, -2.0)
    assert [math.atan2(1.0, 3.0), math.atan2(-2.0, 3.0)] == pytest.approx(real.arctan2(array, np.float64(3.0)))
    assert math.hypot(3.0, 4.0) == real.hypot(3.0, 4.0)
    assert [math.hypot(1.0, 3.0), math.hypot(-2.0, 3.0)] == pytest.approx(real.hypot(array, np.array([3.0, 3.0])))


def test_limits() -> None:
    """The lesser and the greater of a value and a limit."""
    array = np.array([1.0, 5.0])

    assert (1.0, 3.0, 3.0, 5.0) == (
        real.lesser(1.0, 3.0),
        real.lesser(5.0, 3.0),
        real.greater(1.0, 3.0),
        real.greater(5.0, 3.0),
    )
    assert [1.0, 3.0] == list(real.lesser(array, 3.0))
    assert [3.0, 5.0] == list(real.greater(array, 3.0))


@pytest.mark.parametrize("value", [-0.1, 1.1, math.nan, math.inf, np.array([0.5, 1.1]), np.array([0.5, math.nan])])
def test_outside_is_refused_by_name(value: float) -> None:
    """A number outside, or none at all, is an error that names it; one bad element spoils an array."""
    with pytest.raises(real.DomainError, match="angle must be from 0 to 1"):
        real.require(name="angle", value=value, low=0.0, high=1.0)


def test_inside_is_let_through() -> None:
    """Both ends belong to the range."""
    real.require(name="angle", value=0.0, low=0.0, high=1.0)
    real.require(name="angle", value=np.array([0.0, 1.0]), low=0.0, high=1.0)


FORMULAS = [
    pytest.param(air.isa_temperature_c, {"pressure_altitude_ft": (0.0, 60_000.0)}, id="isa"),
    pytest.param(air.pressure_hpa, {"pressure_altitude_ft": (0.0, 60_000.0)}, id="pressure"),
    pytest.param(air.altitude_of_pressure_ft, {"pressure_hpa": (60.0, 1_060.0)}, id="pressure-altitude"),
    pytest.param(
        air.density_altitude_ft,
        {"pressure_altitude_ft": (0.0, 45_000.0), "temperature_c": (-60.0, 40.0), "dew_point_c": (-70.0, 5.0)},
        id="density-altitude",
    ),
    pytest.param(
        air.true_airspeed_kt,
        {"calibrated_airspeed_kt": (40.0, 240.0), "pressure_altitude_ft": (0.0, 40_000.0), "temperature_c": (-60, 30)},
        id="true-airspeed",
    ),
    pytest.param(
        air.calibrated_airspeed_kt,
        {"true_airspeed_kt": (40.0, 440.0), "pressure_altitude_ft": (0.0, 60_000.0), "temperature_c": (-60, 30)},
        id="calibrated-airspeed",
    ),
    pytest.param(
        air.true_altitude_ft,
        {"indicated_altitude_ft": (0.0, 45_000.0), "altimeter_hpa": (960.0, 1_040.0), "temperature_c": (-60, 30)},
        id="true-altitude",
    ),
    pytest.param(
        cold.correction_ft,
        {"height_ft": (0.0, 5e3), "station_temperature_c": (-50.0, 20.0), "station_elevation_ft": (0.0, 8e3)},
        id="cold",
    ),
    pytest.param(
        cold.indicated_altitude_ft,
        {"true_altitude_ft": (9e3, 2e4), "station_temperature_c": (-50.0, 20.0), "station_elevation_ft": (0.0, 8e3)},
        id="cold-indicated",
    ),
    pytest.param(
        path.deviation_deg,
        {
            "height_ft": (0.0, 5e3),
            "distance_nm": (0.0, 15.0),
            "angle_deg": (2.0, 7.0),
            "threshold_crossing_height_ft": (20.0, 60.0),
        },
        id="deviation",
    ),
    pytest.param(
        path.top_of_descent_nm,
        {
            "height_to_lose_ft": (0.0, 4e4),
            "angle_deg": (2.0, 7.0),
            "speed_to_lose_kt": (0.0, 100.0),
            "headwind_kt": (-80.0, 80.0),
            "true_airspeed_kt": (90.0, 450.0),
        },
        id="top-of-descent",
    ),
    pytest.param(turns.radius_nm, {"true_airspeed_kt": (40.0, 500.0), "bank_deg": (-60.0, -1.0)}, id="radius"),
    pytest.param(turns.rate_deg_per_s, {"true_airspeed_kt": (40.0, 500.0), "bank_deg": (1.0, 60.0)}, id="rate"),
    pytest.param(
        wind.wind_from_triangle,
        {
            "true_airspeed_kt": (40.0, 500.0),
            "heading_true_deg": (0.0, 360.0),
            "groundspeed_kt": (0.0, 600.0),
            "track_true_deg": (0.0, 360.0),
        },
        id="triangle",
    ),
    pytest.param(
        wind.heading_and_groundspeed,
        {
            "course_deg": (0.0, 360.0),
            "true_airspeed_kt": (90.0, 500.0),
            "wind_from_deg": (0.0, 360.0),
            "wind_speed_kt": (0.0, 80.0),
        },
        id="heading",
    ),
    pytest.param(
        rules_of_thumb.crosswind_kt, {"wind_speed_kt": (0.0, 40.0), "angle_deg": (0.0, 90.0)}, id="clock-code"
    ),
]


@pytest.mark.parametrize(("formula", "ranges"), FORMULAS)
def test_arrays_and_floats_agree(formula: Callable[..., object], ranges: dict[str, tuple[float, float]]) -> None:
    """Element by element an array gives what its floats give, and floats give python floats."""
    random = np.random.default_rng(7)
    arrays = {name: random.uniform(low, high, 50) for name, (low, high) in ranges.items()}

    together = formula(**arrays)
    apart = [formula(**{name: float(array[i]) for name, array in arrays.items()}) for i in range(50)]

    assert np.array(apart).T == pytest.approx(np.array(together), rel=1e-12, abs=1e-12)
    assert all(type(part) is float for one in apart for part in (one if isinstance(one, tuple) else (one,)))


@given(x=st.floats(-1e6, 1e6))
def test_there_and_back(x: float) -> None:
    """Degrees to radians to degrees loses nothing that matters."""
    assert x == pytest.approx(real.degrees(real.radians(x)), rel=1e-14, abs=1e-12)
