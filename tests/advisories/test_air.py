"""The air: round trips, order, and what is refused. Published values stand in tests/standards."""

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from otherseat.advisories import air
from otherseat.advisories.real import DomainError

ALTITUDE = st.floats(-2_000.0, 60_000.0)
SETTING = st.floats(930.0, 1_060.0)
TEMPERATURE = st.floats(-80.0, 50.0)


@given(calibrated_kt=st.floats(20.0, 660.0), altitude_ft=ALTITUDE, temperature_c=TEMPERATURE)
def test_airspeed_there_and_back(calibrated_kt: float, altitude_ft: float, temperature_c: float) -> None:
    """Calibrated to true to calibrated comes back within 0.01 kt, wherever it is subsonic."""
    place = {"pressure_altitude_ft": altitude_ft, "temperature_c": temperature_c}
    try:
        true_kt = air.true_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, **place)
    except DomainError:
        assume(False)  # supersonic

    assert calibrated_kt == pytest.approx(air.calibrated_airspeed_kt(true_airspeed_kt=true_kt, **place), abs=0.01)


@given(mach=st.floats(0.05, 1.0), altitude_ft=st.floats(0.0, 60_000.0))
def test_mach_there_and_back(mach: float, altitude_ft: float) -> None:
    """Mach to calibrated airspeed to Mach comes back."""
    calibrated_kt = air.calibrated_airspeed_of_mach_kt(mach=mach, pressure_altitude_ft=altitude_ft)

    assert mach == pytest.approx(
        air.mach(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft), abs=1e-7
    )


@given(altitude_ft=st.floats(air.LOWEST_FT, air.HIGHEST_FT))
def test_pressure_there_and_back(altitude_ft: float) -> None:
    """Altitude to pressure to altitude comes back within a hundredth of a foot."""
    pressure_hpa = air.pressure_hpa(pressure_altitude_ft=altitude_ft)

    assert altitude_ft == pytest.approx(air.altitude_of_pressure_ft(pressure_hpa=pressure_hpa), abs=0.01)


@given(altitude_ft=ALTITUDE, setting_hpa=SETTING)
def test_altimeter_there_and_back(altitude_ft: float, setting_hpa: float) -> None:
    """Setting and unsetting an altimeter changes nothing."""
    pressure_ft = air.pressure_altitude_ft(indicated_altitude_ft=altitude_ft, altimeter_hpa=setting_hpa)

    assert altitude_ft == pytest.approx(
        air.indicated_altitude_ft(pressure_altitude_ft=pressure_ft, altimeter_hpa=setting_hpa), abs=1e-6
    )


@given(low_ft=ALTITUDE, up_ft=st.floats(1.0, 5_000.0))
def test_pressure_falls_with_height(low_ft: float, up_ft: float) -> None:
    """Higher is thinner."""
    low, high = (air.pressure_hpa(pressure_altitude_ft=altitude_ft) for altitude_ft in (low_ft, low_ft + up_ft))

    assert low > high


@given(altitude_ft=st.floats(0.0, 60_000.0))
def test_standard_air_has_no_density_altitude_of_its_own(altitude_ft: float) -> None:
    """At the standard temperature density altitude is pressure altitude, in both layers."""
    temperature_c = air.isa_temperature_c(pressure_altitude_ft=altitude_ft)

    assert altitude_ft == pytest.approx(
        air.density_altitude_ft(pressure_altitude_ft=altitude_ft, temperature_c=temperature_c), abs=0.01
    )


@given(altitude_ft=st.floats(0.0, 60_000.0), mach=st.floats(0.05, 0.99))
def test_three_airspeeds_in_order(altitude_ft: float, mach: float) -> None:
    """Above the sea in standard air: equivalent <= calibrated <= true."""
    calibrated_kt = air.calibrated_airspeed_of_mach_kt(mach=mach, pressure_altitude_ft=altitude_ft)
    equivalent_kt = air.equivalent_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft)
    true_kt = air.true_airspeed_kt(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft)

    assert equivalent_kt <= calibrated_kt + 1e-9
    assert calibrated_kt <= true_kt + 1e-9


@given(altitude_ft=st.floats(500.0, 60_000.0), setting_hpa=SETTING, deviation_k=st.floats(1.0, 40.0))
def test_cold_air_is_low(altitude_ft: float, setting_hpa: float, deviation_k: float) -> None:
    """In colder air than ISA an aircraft is lower than its altimeter says, in warmer air higher, at ISA right."""
    pressure_ft = air.pressure_altitude_ft(indicated_altitude_ft=altitude_ft, altimeter_hpa=setting_hpa)
    assume(pressure_ft < air.HIGHEST_FT)
    standard_c = air.isa_temperature_c(pressure_altitude_ft=pressure_ft)
    cold_ft, right_ft, warm_ft = (
        air.true_altitude_ft(
            indicated_altitude_ft=altitude_ft, altimeter_hpa=setting_hpa, temperature_c=standard_c + off_k
        )
        for off_k in (-deviation_k, 0.0, deviation_k)
    )

    assert cold_ft < altitude_ft < warm_ft
    assert altitude_ft == pytest.approx(right_ft, abs=1e-6)


@given(altitude_ft=ALTITUDE, temperature_c=st.floats(-30.0, 40.0), spread_c=st.floats(0.0, 30.0))
def test_moist_air_is_thin(altitude_ft: float, temperature_c: float, spread_c: float) -> None:
    """Vapour never makes air denser."""
    assume(altitude_ft < 30_000.0)
    dry_ft = air.density_altitude_ft(pressure_altitude_ft=altitude_ft, temperature_c=temperature_c)
    moist_ft = air.density_altitude_ft(
        pressure_altitude_ft=altitude_ft, temperature_c=temperature_c, dew_point_c=temperature_c - spread_c
    )

    assert moist_ft > dry_ft


@given(calibrated_kt=st.floats(200.0, 400.0), mach=st.floats(0.5, 0.95))
@example(calibrated_kt=100.0, mach=0.3)
def test_at_the_crossover_both_are_one(calibrated_kt: float, mach: float) -> None:
    """Where a speed and a Mach number meet, the speed has that Mach number."""
    altitude_ft = air.crossover_altitude_ft(calibrated_airspeed_kt=calibrated_kt, mach=mach)

    assert mach == pytest.approx(
        air.mach(calibrated_airspeed_kt=calibrated_kt, pressure_altitude_ft=altitude_ft), abs=1e-9
    )


def test_altitude_at_the_station_is_its_elevation() -> None:
    """On the station's own setting its altimeter shows the elevation, however cold."""
    assert 5_000.0 == pytest.approx(
        air.true_altitude_ft(
            indicated_altitude_ft=5_000.0, altimeter_hpa=1_020.0, temperature_c=-30.0, station_elevation_ft=5_000.0
        )
    )


@pytest.mark.parametrize(
    ("name", "call"),
    [
        pytest.param("pressure_altitude_ft", lambda: air.isa_temperature_c(pressure_altitude_ft=66_000.0), id="high"),
        pytest.param("pressure_altitude_ft", lambda: air.isa_temperature_c(pressure_altitude_ft=-17_000.0), id="low"),
        pytest.param("pressure_hpa", lambda: air.altitude_of_pressure_ft(pressure_hpa=0.0), id="vacuum"),
        pytest.param(
            "calibrated_airspeed_kt",
            lambda: air.mach(calibrated_airspeed_kt=-1.0, pressure_altitude_ft=0.0),
            id="backwards",
        ),
        pytest.param("mach", lambda: air.mach(calibrated_airspeed_kt=500.0, pressure_altitude_ft=50_000.0), id="sonic"),
        pytest.param("temperature_c", lambda: air.speed_of_sound_kt(temperature_c=-274.0), id="below-nought"),
    ],
)
def test_what_is_outside_is_named(name: str, call: object) -> None:
    """A number for which the formula does not hold is refused by its name."""
    assert callable(call)
    with pytest.raises(DomainError, match=name):
        call()
