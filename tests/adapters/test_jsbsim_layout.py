"""The packaged layout on the flight model's own UDP output, unchanged, over a real socket."""

import math
import re
from importlib import resources
from pathlib import Path

import jsbsim
import pytest

from otherseat.adapters.intake import Intake
from otherseat.adapters.layout import make
from otherseat.adapters.listener import Listener, Received
from otherseat.advisories.state import State

KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)


def properties() -> list[str]:
    """Return the properties that the layout's own list names, in its order, from the notes beside it."""
    text = (resources.files("otherseat.config") / "layouts" / "jsbsim.toml").read_text(encoding="utf-8")
    return re.findall(r'^    "[^"]+",\s*# (\w+/\S+)$', text, re.MULTILINE)


def flown(folder: Path, names: list[str]) -> tuple[jsbsim.FGFDMExec, list[Received]]:
    """Fly three seconds in a wind and return the model with what it sent."""
    with Listener(port=0) as listener:
        lines = "\n".join(f"<property>{name}</property>" for name in names)
        output = folder / "output.xml"
        output.write_text(
            f'<?xml version="1.0"?>\n<output name="127.0.0.1" type="SOCKET" protocol="UDP" port="{listener.port}" '
            f'rate="20" precision="12">\n{lines}\n</output>\n',
            encoding="utf-8",
        )
        model = jsbsim.FGFDMExec(None)
        model.set_debug_level(0)
        model.load_model("c172x")
        model.disable_output()
        model.set_output_directive(str(output))
        model["ic/lat-geod-deg"], model["ic/long-gc-deg"] = -17.123456, 178.987654
        model["ic/h-sl-ft"], model["ic/vc-kts"], model["ic/psi-true-deg"] = 4_000.0, 100.0, 350.0
        model.run_ic()
        model.enable_output()
        model["atmosphere/wind-north-fps"], model["atmosphere/wind-east-fps"] = -20.0, -10.0
        while model["simulation/sim-time-sec"] < 3.0:
            model.run()
        return model, listener.drain()


def states(received: list[Received]) -> list[State]:
    """Return the States of what was received."""
    intake = Intake(make({"layout": "jsbsim"}))
    found = [s for r in received for s in intake.take(r.datagram, received_s=r.received_s)]
    assert {} == intake.refusals
    assert {} == intake.assembler.refused_fields
    return found


def test_state_is_the_model_s(tmp_path: Path) -> None:
    """The newest State agrees with the model's own properties, past 100 deg of longitude too."""
    model, received = flown(tmp_path, properties())
    state = states(received)[-1]
    model_now = {name: model[name] for name in properties()}
    ago_s = model["simulation/sim-time-sec"] - state.time_s

    assert received[0].datagram.startswith(b"<LABELS>")
    assert 0.0 <= ago_s <= 0.05
    assert pytest.approx(model_now["position/lat-geod-deg"], abs=1e-4) == state.latitude_deg
    assert pytest.approx(model_now["position/long-gc-deg"], abs=1e-4) == state.longitude_deg
    assert pytest.approx(model_now["velocities/vc-kts"], abs=1.0) == state.indicated_airspeed_kt
    assert pytest.approx(model_now["velocities/vtrue-kts"], abs=1.0) == state.true_airspeed_kt
    assert pytest.approx(model_now["atmosphere/T-R"] / 1.8 - 273.15, abs=0.05) == state.outside_air_temperature_c
    assert state.on_ground is False
    assert pytest.approx(model_now["propulsion/total-fuel-lbs"] * 0.45359237, abs=0.01) == state.fuel_kg


def test_wind_is_where_it_comes_from(tmp_path: Path) -> None:
    """Air that moves 20 ft/s south and 10 ft/s west comes from 026.6 deg, at 22.36 ft/s."""
    state = states(flown(tmp_path, properties())[1])[-1]

    assert pytest.approx(math.degrees(math.atan2(10.0, 20.0)), abs=0.01) == state.wind_from_true_deg
    assert pytest.approx(math.hypot(20.0, 10.0) * KT_PER_FPS, abs=0.01) == state.wind_speed_kt


def test_without_the_label_line(tmp_path: Path) -> None:
    """A daemon that starts after the model reads its list of columns all the same; another list is refused by name."""
    received = flown(tmp_path, properties())[1]

    assert states(received)[-1] == states(received[1:])[-1]

    intake = Intake(make({"layout": "jsbsim"}))
    for each in flown(tmp_path, properties()[:5])[1][1:]:
        intake.take(each.datagram, received_s=each.received_s)

    assert 0 == intake.states
    (told,) = intake.refused()
    assert told.startswith("61 refused, waiting for the header line: 6 columns")


def test_few_properties_in_any_order(tmp_path: Path) -> None:
    """Columns may be left out and stand in any order; what is not sent is None."""
    state = states(flown(tmp_path, ["velocities/vc-kts", "position/long-gc-deg", "position/lat-geod-deg"])[1])[-1]

    assert state.latitude_deg is not None
    assert state.indicated_airspeed_kt is not None
    assert state.altitude_ft is None
