"""The wrapped flight model: put down where asked, in the air asked for, telling only what it says it tells."""

import math
import socket
from dataclasses import replace
from pathlib import Path

import pytest

from otherseat.advisories.air import true_airspeed_kt
from otherseat.daemon.flight_model.loops import JET, LIGHT_SINGLE
from otherseat.daemon.flight_model.model import (
    EXPORT,
    MODEL_HZ,
    TRUTH,
    Controls,
    FlightModel,
    FlightModelError,
    Placement,
    Weather,
    truth_label,
)
from otherseat.daemon.flight_model.recording import drain

ALOFT = Placement(
    latitude_deg=-6.25, longitude_deg=-9.4, heading_true_deg=75.0, terrain_ft=100.0, height_agl_ft=2_000.0,
    airspeed_kt=100.0,
)  # fmt: skip
STANDING = Placement(latitude_deg=-6.3, longitude_deg=-9.6, heading_true_deg=59.0, terrain_ft=38.0)


def test_put_down_aloft() -> None:
    """An aircraft in the air is where it was put, as high and as fast, and stays there for one step."""
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft) as model:
        model.place(ALOFT)
        view = model.view()

    assert (-6.25, -9.4) == pytest.approx((view.latitude_deg, view.longitude_deg), abs=1e-7)
    assert (75.0, 2_100.0, 100.0) == pytest.approx(
        (view.heading_true_deg, view.altitude_ft, view.airspeed_kt), abs=0.05
    )
    assert not view.on_ground


@pytest.mark.parametrize(("wind_from_deg", "headwind_kt"), [(75.0, 24.0), (165.0, 0.0), (255.0, -24.0)])
def test_put_down_into_a_wind(wind_from_deg: float, headwind_kt: float) -> None:
    """In any wind and air it has the airspeed asked for from the first moment, and moves along with the air.

    True airspeed by the compressible formula of advisories/air.py, checked against published tables in tests/standards.
    """
    weather = Weather(wind_from_true_deg=wind_from_deg, wind_kt=24.0, warmer_c=18.0, sea_level_hpa=1_026.0)
    with FlightModel(aircraft=JET.aircraft, weather=weather) as model:
        views = []
        for placement in (STANDING, replace(ALOFT, airspeed_kt=180.0)):
            model.place(placement)
            views.append(model.view())
            model.run(1)
            views.append(model.view())
        true_kt = true_airspeed_kt(
            calibrated_airspeed_kt=180.0,
            pressure_altitude_ft=model.get("atmosphere/pressure-altitude"),
            temperature_c=model.get("atmosphere/T-R") / 1.8 - 273.15,
        )
    standing, _, first, after = views

    assert 0.0 == pytest.approx(standing.groundspeed_kt, abs=0.01)
    for view in (first, after):
        along_kt = view.groundspeed_kt * math.cos(math.radians(view.track_true_deg - 75.0))
        assert 180.0 == pytest.approx(view.airspeed_kt, abs=0.1)
        assert true_kt == pytest.approx(view.true_airspeed_kt, abs=0.2)
        assert true_kt - headwind_kt == pytest.approx(along_kt, abs=0.2)
        assert 0.0 == pytest.approx(view.sideslip_deg, abs=0.1)


def test_put_down_on_the_runway() -> None:
    """With the brakes on, an aircraft on its wheels is still there ten seconds later."""
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft, weather=Weather(wind_from_true_deg=10.0, wind_kt=8.0)) as model:
        model.place(STANDING)
        model.control(Controls(brakes=1.0))
        model.run(10 * MODEL_HZ)
        view = model.view()

    assert (-6.3, -9.6) == pytest.approx((view.latitude_deg, view.longitude_deg), abs=1e-5)
    assert view.on_ground
    assert 0.0 == pytest.approx(view.groundspeed_kt, abs=0.1)


def test_wind_blows_from_where_it_is_said_to() -> None:
    """A wind from 290 at 6 kt blows towards 110: south by 2.05 kt, east by 5.64 kt."""
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft, weather=Weather(wind_from_true_deg=290.0, wind_kt=6.0)) as model:
        model.place(ALOFT)
        model.run(1)
        fps = [model.get(f"atmosphere/total-wind-{way}-fps") for way in ("north", "east")]

    assert [-2.052, 5.638] == pytest.approx([value * 0.592484 for value in fps], abs=0.01)


def test_warm_air_and_high_pressure() -> None:
    """10 C warmer than standard is 10 C warmer, and at sea level 1016 hPa read as 1016 hPa."""
    weather = Weather(warmer_c=10.0, sea_level_hpa=1016.0)
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft, weather=weather) as model:
        model.place(Placement(latitude_deg=-6.3, longitude_deg=-9.6, heading_true_deg=0.0, terrain_ft=0.0))
        model.run(1)
        temperature_c = model.get("atmosphere/T-R") / 1.8 - 273.15
        pressure_hpa = model.get("atmosphere/P-psf") * 0.4788026

    assert 25.0 == pytest.approx(temperature_c, abs=0.05)
    assert 1016.0 == pytest.approx(pressure_hpa, abs=0.3)


def test_controls_act_the_way_they_are_named() -> None:
    """Right aileron rolls right, up elevator raises the nose, right rudder turns right."""
    after = {}
    for name in ("aileron", "elevator", "rudder"):
        with FlightModel(aircraft=LIGHT_SINGLE.aircraft) as model:
            views = []
            for value in (-0.1, 0.1):
                model.place(ALOFT)
                model.control(Controls(**{name: value}, throttle=0.6))
                model.run(MODEL_HZ)
                views.append(model.view())
            after[name] = views

    assert after["aileron"][0].bank_deg < after["aileron"][1].bank_deg
    assert after["elevator"][0].pitch_deg < after["elevator"][1].pitch_deg
    assert after["rudder"][0].heading_true_deg < after["rudder"][1].heading_true_deg


def test_export() -> None:
    """The socket sends labels, then rows of every property, as often as asked, and no digit of a metre is lost."""
    with (
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ear,
        FlightModel(aircraft=LIGHT_SINGLE.aircraft) as model,
    ):
        ear.bind(("127.0.0.1", 0))
        ear.setblocking(False)
        model.export(host="127.0.0.1", port=ear.getsockname()[1], rate_hz=20)
        model.place(ALOFT)
        model.control(Controls(throttle=0.6))
        model.run(MODEL_HZ)
        view = model.view()
        labels, *rows = [datagram.decode().rstrip("\n").split(",") for datagram in drain(ear)]

    told = [name.rpartition("/")[2] for name in EXPORT] + [truth_label(name) for name in TRUTH]
    last = dict(zip(told, rows[-1][1:], strict=True))
    assert ["<LABELS>", "Time", *told] == [label.strip() for label in labels]
    assert 21 == len(rows)
    assert view.latitude_deg == pytest.approx(float(last["lat-geod-deg"]), abs=math.degrees(0.1 / 6_378_137.0))
    assert view.longitude_deg == pytest.approx(float(last["long-gc-deg"]), abs=math.degrees(0.1 / 6_378_137.0))


def test_nothing_is_written_where_it_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some aircraft log into the working folder by themselves: not here, and the scratch folder goes as well."""
    monkeypatch.chdir(tmp_path)
    with FlightModel(aircraft=LIGHT_SINGLE.aircraft) as model:
        scratch = Path(model._scratch.name)
        model.place(ALOFT)
        model.run(MODEL_HZ)

    assert [] == list(tmp_path.iterdir())
    assert not scratch.exists()


def test_unknown_aircraft() -> None:
    """An aircraft that the flight model does not have is named."""
    with pytest.raises(FlightModelError, match="no such aircraft in the flight model: kite"):
        FlightModel(aircraft="kite")
