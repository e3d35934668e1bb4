"""The embedded flight model: jsbsim wrapped, with its own UDP export.

It flies six degrees of freedom over a WGS-84 earth, MODEL_HZ times a second unless told otherwise. Export leaves only
through jsbsim's own socket output (comma-separated text, first a line of labels that begins with <LABELS>), written as
an XML directive. With the seven significant digits that it writes unless told otherwise a position would keep 1 m; it
is asked for DIGITS.

Placing the aircraft repeats the label line and one datagram at the old time: to a listener that looks like
a simulator whose user moved the aircraft, which is what it is.

Source: jsbsim reference manual (output, initialization); units of its properties stand in their names.
"""

import math
import os
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import quoteattr

os.environ.setdefault("JSBSIM_DEBUG", "0")  # read at import: keeps its banner off our standard output

import xml.etree.ElementTree as ET
from typing import Self

import jsbsim

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.units import FPM_PER_KT, FT_PER_NM

MODEL_HZ = 120
FPS_PER_KT = FT_PER_NM / 3600.0
FPM_PER_FPS = FPM_PER_KT / FPS_PER_KT

EXPORT = (
    "simulation/sim-time-sec",
    "position/lat-geod-deg",
    "position/long-gc-deg",
    "position/h-sl-ft",
    "position/h-agl-ft",
    "atmosphere/pressure-altitude",
    "velocities/vc-kts",
    "velocities/v-north-fps",
    "velocities/v-east-fps",
    "velocities/h-dot-fps",
    "attitude/psi-deg",
    "attitude/theta-deg",
    "attitude/phi-deg",
    "atmosphere/T-R",
    "atmosphere/P-psf",
    "gear/wow",
    "fcs/flap-pos-norm",
    "fcs/throttle-pos-norm",
    "propulsion/total-fuel-lbs",
    "propulsion/engine/fuel-flow-rate-pps",
)
"""What the aircraft tells, in the order of the text columns (after jsbsim's own first column, Time)."""

TRUTH = (
    "velocities/vtrue-kts",
    "velocities/vg-fps",
    "atmosphere/total-wind-north-fps",
    "atmosphere/total-wind-east-fps",
)
"""What the daemon must work out by itself: sent under names that no layout reads, for whoever checks it."""

DIGITS = 10


@dataclass(frozen=True, slots=True)
class Placement:
    """Where and how the aircraft is put down: the one thing that no control loop does."""

    latitude_deg: float
    longitude_deg: float
    heading_true_deg: float
    terrain_ft: float
    height_agl_ft: float | None = None
    """None: standing on its wheels."""
    airspeed_kt: float = 0.0


@dataclass(frozen=True, slots=True)
class Weather:
    """The air: steady wind, turbulence after MIL-F-8785C, temperature and pressure off standard."""

    wind_from_true_deg: float = 0.0
    wind_kt: float = 0.0
    turbulence_severity: int = 0
    """0 none, 1 light, up to 7; index of the probability of exceedance in MIL-STD-1797A figure 266."""
    warmer_c: float = 0.0
    sea_level_hpa: float = 1013.25
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Controls:
    """What hands and feet do; right, nose up and forward are positive, all -1 to 1 or 0 to 1."""

    aileron: float = 0.0
    elevator: float = 0.0
    rudder: float = 0.0
    steering: float = 0.0
    throttle: float = 0.0
    flaps: float = 0.0
    brakes: float = 0.0


@dataclass(frozen=True, slots=True)
class View:
    """What the control loops see: the model's own truth, at full precision."""

    time_s: float
    latitude_deg: float
    longitude_deg: float
    altitude_ft: float
    height_agl_ft: float
    airspeed_kt: float
    true_airspeed_kt: float
    groundspeed_kt: float
    track_true_deg: float
    heading_true_deg: float
    pitch_deg: float
    bank_deg: float
    vertical_speed_fpm: float
    roll_rate_deg_s: float
    pitch_rate_deg_s: float
    yaw_rate_deg_s: float
    sideslip_deg: float
    on_ground: bool


class FlightModelError(RuntimeError):
    """The flight model refused what it was asked."""


class FlightModel:
    """One aircraft in jsbsim. `close` (or a with block) removes its scratch folder."""

    def __init__(self, *, aircraft: str, weather: Weather | None = None, model_hz: int = MODEL_HZ) -> None:
        source = Path(jsbsim.get_default_root_dir()) / "aircraft" / aircraft
        if not source.is_dir():
            raise FlightModelError(f"no such aircraft in the flight model: {aircraft}")
        self._scratch = tempfile.TemporaryDirectory(prefix="otherseat-", ignore_cleanup_errors=True)
        self._jsbsim = jsbsim.FGFDMExec(None)
        self._jsbsim.set_debug_level(0)
        folder = Path(self._scratch.name).resolve()
        _copy_without_openings(source, to=folder / aircraft)
        self._jsbsim.set_aircraft_path(str(folder))
        if not self._jsbsim.load_model(aircraft):
            self.close()
            raise FlightModelError(f"the flight model can't load {aircraft}")
        self.model_hz = model_hz
        self._jsbsim.set_dt(1.0 / model_hz)
        self.weather = weather or Weather()
        self._engines = int(self._jsbsim.get_propulsion().get_num_engines())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Remove the scratch folder."""
        self._scratch.cleanup()

    def export(self, *, host: str, port: int, rate_hz: int) -> None:
        """Send EXPORT to host:port over jsbsim's own UDP socket, rate_hz times a second of simulated time."""
        told = "".join(f"<property>{name}</property>" for name in EXPORT)
        truth = "".join(f"<property caption={quoteattr(truth_label(name))}>{name}</property>" for name in TRUTH)
        directive = (
            f'<?xml version="1.0"?>\n<output name={quoteattr(host)} type="SOCKET" protocol="UDP" '
            f'port="{port}" rate="{rate_hz}" precision="{DIGITS}">{told}{truth}</output>\n'
        )
        path = Path(self._scratch.name).resolve() / "export.xml"
        path.write_text(directive, encoding="utf-8")
        if not self._jsbsim.set_output_directive(str(path)):
            raise FlightModelError(f"the flight model can't export to {host} port {port}")

    def place(self, placement: Placement) -> None:
        """Put the aircraft down, engines running, with its airspeed in the wind; simulated time goes on."""
        model = self._jsbsim
        self._settle_air()
        model["ic/terrain-elevation-ft"] = placement.terrain_ft
        model["ic/lat-geod-deg"] = placement.latitude_deg
        model["ic/long-gc-deg"] = placement.longitude_deg
        model["ic/psi-true-deg"] = placement.heading_true_deg
        model["ic/theta-deg"] = model["ic/phi-deg"] = model["ic/gamma-deg"] = 0.0
        model["ic/vc-kts"] = placement.airspeed_kt
        model["ic/h-agl-ft"] = STANDING_FT if placement.height_agl_ft is None else placement.height_agl_ft
        self._put_into_wind(heading_true_deg=placement.heading_true_deg, aloft=placement.height_agl_ft is not None)
        if not model.run_ic():
            raise FlightModelError("the flight model can't be put there")
        model["propulsion/set-running"] = -1
        self._settle_air()

    def _put_into_wind(self, *, heading_true_deg: float, aloft: bool) -> None:
        """Move the aircraft with the air that it is put into; without this a tailwind takes the airspeed away.

        The initial conditions keep the speed over the ground while the wind is set, so that goes first.
        """
        model, heading = self._jsbsim, math.radians(heading_true_deg)
        through_fps = model["ic/vt-fps"]
        north_fps, east_fps = self._wind_fps() if aloft else (0.0, 0.0)
        model["ic/vn-fps"] = through_fps * math.cos(heading) + north_fps
        model["ic/ve-fps"] = through_fps * math.sin(heading) + east_fps
        model["ic/vw-mag-fps"] = self.weather.wind_kt * FPS_PER_KT
        model["ic/vw-dir-deg"] = normal_deg(self.weather.wind_from_true_deg + 180.0)  # jsbsim: where it blows to

    def _wind_fps(self) -> tuple[float, float]:
        """Return how fast the air moves north and east."""
        towards, fps = math.radians(self.weather.wind_from_true_deg + 180.0), self.weather.wind_kt * FPS_PER_KT
        return fps * math.cos(towards), fps * math.sin(towards)

    def _settle_air(self) -> None:
        model, weather = self._jsbsim, self.weather
        model["atmosphere/wind-north-fps"], model["atmosphere/wind-east-fps"] = self._wind_fps()
        model["atmosphere/delta-T"] = weather.warmer_c * RANKINE_PER_C
        model["atmosphere/P-sl-psf"] = weather.sea_level_hpa / HPA_PER_PSF
        model["atmosphere/randomseed"] = weather.seed
        if weather.turbulence_severity:
            model["atmosphere/turb-type"] = MILSPEC
            model["atmosphere/turbulence/milspec/windspeed_at_20ft_AGL-fps"] = max(weather.wind_kt, 5.0) * FPS_PER_KT
            model["atmosphere/turbulence/milspec/severity"] = weather.turbulence_severity

    def terrain(self, elevation_ft: float) -> None:
        """Set the height of the ground beneath the aircraft."""
        self._jsbsim["position/terrain-elevation-asl-ft"] = elevation_ft

    def control(self, controls: Controls) -> None:
        """Move the controls."""
        model = self._jsbsim
        model["fcs/aileron-cmd-norm"] = controls.aileron
        model["fcs/elevator-cmd-norm"] = -controls.elevator  # jsbsim: trailing edge down is positive
        model["fcs/rudder-cmd-norm"] = -controls.rudder  # jsbsim: nose left is positive
        model["fcs/steer-cmd-norm"] = controls.steering
        model["fcs/flap-cmd-norm"] = controls.flaps
        model["fcs/left-brake-cmd-norm"] = model["fcs/right-brake-cmd-norm"] = controls.brakes
        for engine in range(self._engines):
            model[f"fcs/throttle-cmd-norm[{engine}]"] = controls.throttle

    def run(self, steps: int) -> None:
        """Advance by steps / model_hz seconds of simulated time."""
        for _ in range(steps):
            if not self._jsbsim.run():
                raise FlightModelError("the flight model stopped")

    def get(self, name: str) -> float:
        """Return one property by jsbsim's own name."""
        return float(self._jsbsim[name])

    def view(self) -> View:
        """Return what the control loops see now."""
        get = self._jsbsim.__getitem__
        return View(
            time_s=get("simulation/sim-time-sec"),
            latitude_deg=get("position/lat-geod-deg"),
            longitude_deg=get("position/long-gc-deg"),
            altitude_ft=get("position/h-sl-ft"),
            height_agl_ft=get("position/h-agl-ft"),
            airspeed_kt=get("velocities/vc-kts"),
            true_airspeed_kt=get("velocities/vtrue-kts"),
            groundspeed_kt=get("velocities/vg-fps") / FPS_PER_KT,
            track_true_deg=math.degrees(get("flight-path/psi-gt-rad")),
            heading_true_deg=get("attitude/psi-deg"),
            pitch_deg=get("attitude/theta-deg"),
            bank_deg=get("attitude/phi-deg"),
            vertical_speed_fpm=get("velocities/h-dot-fps") * FPM_PER_FPS,
            roll_rate_deg_s=math.degrees(get("velocities/p-rad_sec")),
            pitch_rate_deg_s=math.degrees(get("velocities/q-rad_sec")),
            yaw_rate_deg_s=math.degrees(get("velocities/r-rad_sec")),
            sideslip_deg=get("aero/beta-deg"),
            on_ground=get("gear/wow") > 0.0,
        )


def truth_label(name: str) -> str:
    """Return the label of a column that is for checking only."""
    return f"truth-{name.rpartition('/')[2]}"


def _copy_without_openings(source: Path, *, to: Path) -> None:
    """Copy an aircraft's files, less what it would open by itself: a log in the working folder, or a socket."""
    shutil.copytree(source, to)
    file = to / f"{source.name}.xml"
    tree = ET.parse(file)  # noqa: S314 - a file of the installed flight model
    root = tree.getroot()
    for opening in [child for child in root if child.tag in {"input", "output"}]:
        root.remove(opening)
    tree.write(file, encoding="utf-8", xml_declaration=True)


STANDING_FT = 4.3
MILSPEC = 3
RANKINE_PER_C = 1.8
HPA_PER_PSF = 0.4788025898
