"""Control loops: they hold what they are asked to hold, on the real model."""

import pytest

from otherseat.daemon.flight_model.flight import CONTROL_HZ
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE, Demand, Integral, Loops, clamp
from otherseat.daemon.flight_model.model import MODEL_HZ, FlightModel, View, Weather
from tests.daemon.flight_model.test_model import ALOFT


def flown(demand: Demand, *, seconds: float, weather: Weather | None = None) -> list[View]:
    """Fly one demand from the air, and return a view a second."""
    loops, views = Loops(LIGHT_SINGLE), []
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft, weather=weather) as model:
        model.place(ALOFT)
        for step in range(int(seconds * CONTROL_HZ)):
            view = model.view()
            model.control(loops.step(view=view, demand=demand, step_s=1.0 / CONTROL_HZ))
            model.run(MODEL_HZ // CONTROL_HZ)
            if step % CONTROL_HZ == 0:
                views.append(view)
    return views


def test_level_flight() -> None:
    """Asked for level flight at 95 kt, it is level and at 95 kt once a minute has passed."""
    late = flown(Demand(airspeed_kt=95.0), seconds=120.0)[60:]

    assert max(abs(view.vertical_speed_fpm) for view in late) < 60.0
    assert max(abs(view.airspeed_kt - 95.0) for view in late) < 2.0
    assert max(abs(view.bank_deg) for view in late) < 1.0


def test_steady_sink_and_bank() -> None:
    """Asked for 500 ft/min down and 20 degrees of bank at 85 kt, it does both."""
    last = flown(Demand(bank_deg=20.0, vertical_speed_fpm=-500.0, airspeed_kt=85.0), seconds=60.0)[-1]

    assert 20.0 == pytest.approx(last.bank_deg, abs=1.0)
    assert -500.0 == pytest.approx(last.vertical_speed_fpm, abs=60.0)
    assert 85.0 == pytest.approx(last.airspeed_kt, abs=3.0)


def test_turbulence_does_not_upset_it() -> None:
    """In light turbulence the bank stays within ten degrees."""
    weather = Weather(wind_kt=15.0, turbulence_severity=2, seed=3)

    assert max(abs(view.bank_deg) for view in flown(Demand(airspeed_kt=95.0), seconds=60.0, weather=weather)) < 10.0


def test_integral_stays_within_its_stops() -> None:
    """An integral that is at its stop leaves it as soon as the sign turns."""
    integral = Integral(low=-1.0, high=1.0)

    assert [1.0, 1.0, 0.5] == [integral.add(amount) for amount in (5.0, 5.0, -0.5)]


@pytest.mark.parametrize(("value", "expected"), [(-2.0, -1.0), (0.3, 0.3), (2.0, 1.0)])
def test_clamp(value: float, expected: float) -> None:
    """A value stays within its limits."""
    assert expected == clamp(value, -1.0, 1.0)


def test_a_new_speed_and_new_flaps_are_asked_for_gradually() -> None:
    """Slowing down with flaps from 85 to 68 kt costs no more than 3 kt below, and 70 ft either way."""
    demand = Demand(airspeed_kt=85.0)
    loops = Loops(LIGHT_SINGLE)
    speeds, heights = [], []
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft) as model:
        model.place(ALOFT)
        for step in range(120 * CONTROL_HZ):
            if step == 60 * CONTROL_HZ:
                demand = Demand(airspeed_kt=68.0, flaps=0.67)
            view = model.view()
            model.control(loops.step(view=view, demand=demand, step_s=1.0 / CONTROL_HZ))
            model.run(MODEL_HZ // CONTROL_HZ)
            if step >= 60 * CONTROL_HZ:
                speeds.append(view.airspeed_kt)
                heights.append(view.altitude_ft)

    assert 65.0 < min(speeds) < 69.0
    assert max(abs(height_ft - heights[0]) for height_ft in heights) < 70.0
