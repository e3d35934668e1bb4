"""Calibrated and true airspeed and Mach against worked examples, tables and the jsbsim flight model."""

import pytest

from otherseat.advisories import air, airdata, rules_of_thumb
from otherseat.advisories.state import State
from otherseat.advisories.units import HPA_PER_INHG, KELVIN_AT_0_C
from otherseat.daemon.flight_model.model import FlightModel, Placement, Weather
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(
    name="airspeed",
    left_out={"pans_ops": "the incompressible formula of procedure design; ours is compressible"},
)


@TOPIC.answer
def from_probe(
    *, cas_kt: float, pressure_altitude_ft: float, indicated_air_temperature_c: float, recovery_factor: float
) -> Answers:
    """Answer from a probe's temperature."""
    mach = air.mach(calibrated_airspeed_kt=cas_kt, pressure_altitude_ft=pressure_altitude_ft)
    static_hpa = air.pressure_hpa(pressure_altitude_ft=pressure_altitude_ft)
    oat_c = air.static_temperature_c(
        total_temperature_c=indicated_air_temperature_c, mach=mach, recovery_factor=recovery_factor
    )
    return {
        "mach": mach,
        "static_pressure_inhg": static_hpa / HPA_PER_INHG,
        "impact_pressure_inhg": static_hpa / HPA_PER_INHG * ((1.0 + 0.2 * mach * mach) ** 3.5 - 1.0),
        "oat_c": oat_c,
        "speed_of_sound_kt": air.speed_of_sound_kt(temperature_c=oat_c),
        "tas_kt": air.true_airspeed_kt(
            calibrated_airspeed_kt=cas_kt, pressure_altitude_ft=pressure_altitude_ft, temperature_c=oat_c
        ),
    }


@TOPIC.answer
def from_calibrated(
    *, cas_kt: float, pressure_altitude_ft: float, isa_deviation_c: float, oat_c: float | None = None
) -> Answers:
    """Answer true airspeed and Mach."""
    temperature_c = air.isa_temperature_c(pressure_altitude_ft=pressure_altitude_ft) + isa_deviation_c
    assert oat_c is None or temperature_c == pytest.approx(oat_c, abs=0.01)
    return {
        "tas_kt": air.true_airspeed_kt(
            calibrated_airspeed_kt=cas_kt, pressure_altitude_ft=pressure_altitude_ft, temperature_c=temperature_c
        ),
        "mach": air.mach(calibrated_airspeed_kt=cas_kt, pressure_altitude_ft=pressure_altitude_ft),
    }


@TOPIC.answer
def from_mach(*, mach: float, pressure_altitude_ft: float, isa_deviation_c: float = 0.0) -> Answers:
    """Answer calibrated and true airspeed of a Mach number."""
    temperature_c = air.isa_temperature_c(pressure_altitude_ft=pressure_altitude_ft) + isa_deviation_c
    cas_kt = air.calibrated_airspeed_of_mach_kt(mach=mach, pressure_altitude_ft=pressure_altitude_ft)
    return {
        "cas_kt": cas_kt,
        "tas_kt": air.true_airspeed_kt(
            calibrated_airspeed_kt=cas_kt, pressure_altitude_ft=pressure_altitude_ft, temperature_c=temperature_c
        ),
    }


@TOPIC.answer
def crossover(*, cas_kt: float, mach: float) -> Answers:
    """Answer where a speed and a Mach number meet."""
    return {"crossover_altitude_ft": air.crossover_altitude_ft(calibrated_airspeed_kt=cas_kt, mach=mach)}


@TOPIC.answer
def from_density_altitude(*, cas_kt: float, density_altitude_ft: float) -> Answers:
    """Answer the low-speed form, in which calibrated is taken for equivalent airspeed."""
    return {"tas_kt": cas_kt / air.density_ratio(pressure_altitude_ft=density_altitude_ft) ** 0.5}


@TOPIC.answer
def by_rule(*, ias_kt: float, pressure_altitude_ft: float) -> Answers:
    """Answer by the propeller's rule."""
    return {
        "tas_kt": rules_of_thumb.propeller_true_airspeed_kt(
            indicated_airspeed_kt=ias_kt, pressure_altitude_ft=pressure_altitude_ft
        )
    }


@TOPIC.answer
def sound(*, oat_c: float) -> Answers:
    """Answer the speed of sound."""
    return {"speed_of_sound_kt": air.speed_of_sound_kt(temperature_c=oat_c)}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Airspeeds are as published."""
    assert [] == TOPIC.misses(case)


@pytest.mark.parametrize(
    ("calibrated_kt", "altitude_ft", "equivalent_kt"),
    [
        pytest.param(200.0, 10_000.0, 198.9, id="200-at-10000"),
        pytest.param(250.0, 20_000.0, 244.8, id="250-at-20000"),
        pytest.param(300.0, 30_000.0, 284.5, id="300-at-30000"),
    ],
)
def test_equivalent_airspeed(calibrated_kt: float, altitude_ft: float, equivalent_kt: float) -> None:
    """Equivalent airspeed is calibrated less the compressibility correction (from memory of the usual chart, 1 kt)."""
    ours_kt = air.equivalent_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft)

    assert equivalent_kt == pytest.approx(ours_kt, abs=1.0)


@pytest.mark.parametrize("altitude_ft", [0.0, 8_000.0, 25_000.0, 36_000.0, 41_000.0, 60_000.0])
@pytest.mark.parametrize("warmer_c", [0.0, 15.0, -20.0])
def test_jsbsim_agrees(altitude_ft: float, warmer_c: float) -> None:
    """A body in the flight model's air has our calibrated, true and equivalent airspeed and Mach."""
    with FlightModel(aircraft="ball", weather=Weather(warmer_c=warmer_c)) as model:
        model.place(
            Placement(0.0, 0.0, heading_true_deg=0.0, terrain_ft=0.0, height_agl_ft=altitude_ft, airspeed_kt=150.0)
        )
        pressure_ft = air.altitude_of_pressure_ft(pressure_hpa=model.get("atmosphere/P-psf") * 0.4788025898)
        temperature_c = model.get("atmosphere/T-R") / 1.8 - KELVIN_AT_0_C
        calibrated_kt, true_kt, equivalent_kt, mach = (
            model.get(f"velocities/{name}") for name in ("vc-kts", "vtrue-kts", "ve-kts", "mach")
        )
    place = {"pressure_altitude_ft": pressure_ft, "temperature_c": temperature_c}

    assert calibrated_kt == pytest.approx(air.calibrated_airspeed_kt(true_airspeed_kt=true_kt, **place), abs=0.05)
    assert true_kt == pytest.approx(air.true_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, **place), abs=0.1)
    assert mach == pytest.approx(
        air.mach(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=pressure_ft), abs=2e-4
    )
    assert equivalent_kt == pytest.approx(
        air.equivalent_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=pressure_ft), abs=0.05
    )


@pytest.mark.parametrize("field_ft", [0.0, 5_000.0, 10_000.0])
@pytest.mark.parametrize("warmer_c", [0.0, 20.0])
@pytest.mark.parametrize("told", ["pressure_altitude_ft", "altitude_ft"])
def test_an_approach_by_true_airspeed_alone(field_ft: float, warmer_c: float, told: str) -> None:
    """What jsbsim's airspeed indicator shows is worked out of its true airspeed; with the altitude for pressure nearly.

    In air 20 K warmer the pressure altitude is 700 ft below the altitude at 10,000 ft, which is one percent.
    """
    with FlightModel(aircraft="ball", weather=Weather(warmer_c=warmer_c)) as model:
        model.place(Placement(0.0, 0.0, heading_true_deg=0.0, terrain_ft=0.0, height_agl_ft=field_ft, airspeed_kt=70.0))
        pressure_ft = air.altitude_of_pressure_ft(pressure_hpa=model.get("atmosphere/P-psf") * 0.4788025898)
        state = State(
            time_s=0.0,
            true_airspeed_kt=model.get("velocities/vtrue-kts"),
            outside_air_temperature_c=model.get("atmosphere/T-R") / 1.8 - KELVIN_AT_0_C,
            **{told: pressure_ft if told == "pressure_altitude_ft" else field_ft},
        )
        shown_kt = model.get("velocities/vc-kts")
    found_kt, _ = airdata.indicated_airspeed_kt(state)

    assert shown_kt == pytest.approx(found_kt, abs=0.05 if told == "pressure_altitude_ft" else 1.0)
