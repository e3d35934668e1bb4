"""Cold air. Published values stand in tests/standards."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories import air, cold
from otherseat.advisories.real import DomainError


@given(
    height_ft=st.floats(50.0, 20_000.0),
    station_c=st.floats(-50.0, 40.0),
    elevation_ft=st.floats(0.0, 10_000.0),
)
def test_indicated_and_true_there_and_back(height_ft: float, station_c: float, elevation_ft: float) -> None:
    """What the altimeter shows at a true altitude is, as a true altitude, that altitude again."""
    true_ft = elevation_ft + height_ft
    shown_ft = cold.indicated_altitude_ft(
        true_altitude_ft=true_ft, station_temperature_c=station_c, station_elevation_ft=elevation_ft
    )
    deviation_k = station_c - air.isa_temperature_c(pressure_altitude_ft=elevation_ft)
    standard_c = air.isa_temperature_c(pressure_altitude_ft=shown_ft)
    back_ft = air.true_altitude_ft(
        indicated_altitude_ft=shown_ft,
        altimeter_hpa=1013.25,
        temperature_c=standard_c + deviation_k,
        station_elevation_ft=elevation_ft,
    )

    assert true_ft == pytest.approx(back_ft, abs=0.01)


@given(height_ft=st.floats(100.0, 5_000.0), warm_c=st.floats(-49.0, 15.0), colder_c=st.floats(0.5, 20.0))
def test_colder_needs_more(height_ft: float, warm_c: float, colder_c: float) -> None:
    """The correction grows with the cold and is nothing at ISA."""
    less_ft, more_ft = (
        cold.correction_ft(height_ft=height_ft, station_temperature_c=celsius, station_elevation_ft=0.0)
        for celsius in (warm_c, warm_c - colder_c)
    )

    assert 0.0 <= less_ft < more_ft


def test_standard_air_needs_none() -> None:
    """At 15 C at sea level an altimeter is right."""
    assert 0.0 == cold.correction_ft(height_ft=3_000.0, station_temperature_c=15.0, station_elevation_ft=0.0)


@pytest.mark.parametrize("celsius", [10.1, -50.1])
def test_the_table_ends(celsius: float) -> None:
    """Outside its temperatures the printed table says nothing."""
    with pytest.raises(DomainError, match="station_temperature_c"):
        cold.table_correction_ft(height_ft=1_000.0, station_temperature_c=celsius)


def test_above_its_top_the_table_goes_on_as_there() -> None:
    """Above 5,000 ft the last column is used, as the AIM says."""
    assert cold.table_correction_ft(height_ft=5_000.0, station_temperature_c=-20.0) == cold.table_correction_ft(
        height_ft=9_000.0, station_temperature_c=-20.0
    )
