"""The flight model's own truth as a State, at full precision and without a socket: for tests of the engine.

What leaves over UDP is the same, less the digits that a text drops.
"""

from otherseat.advisories.angles import normal_deg
from otherseat.advisories.state import OWN, State
from otherseat.advisories.units import KELVIN_AT_0_C
from otherseat.daemon.flight_model.model import FlightModel, View

RANKINE_PER_KELVIN = 1.8
KG_PER_LB = 0.45359237


def observe(*, model: FlightModel, view: View, aircraft: str = OWN) -> State:
    """Return what a simulator would report now. True airspeed and wind are left out: they are to be worked out."""
    get = model.get
    return State(
        time_s=view.time_s,
        aircraft=aircraft,
        latitude_deg=view.latitude_deg,
        longitude_deg=view.longitude_deg,
        altitude_ft=view.altitude_ft,
        pressure_altitude_ft=get("atmosphere/pressure-altitude"),
        height_agl_ft=view.height_agl_ft,
        indicated_airspeed_kt=max(view.airspeed_kt, 0.0),
        groundspeed_kt=view.groundspeed_kt,
        vertical_speed_fpm=view.vertical_speed_fpm,
        heading_true_deg=normal_deg(view.heading_true_deg),
        track_true_deg=normal_deg(view.track_true_deg),
        pitch_deg=view.pitch_deg,
        bank_deg=view.bank_deg,
        outside_air_temperature_c=get("atmosphere/T-R") / RANKINE_PER_KELVIN - KELVIN_AT_0_C,
        on_ground=view.on_ground,
        flaps_ratio=min(max(get("fcs/flap-pos-norm"), 0.0), 1.0),
        throttle_ratio=get("fcs/throttle-pos-norm"),
        fuel_kg=get("propulsion/total-fuel-lbs") * KG_PER_LB,
    )
