"""Parts: components, earth-centred positions and pressure, put together."""

import pytest
from geographiclib.geodesic import Geodesic
from opendis.RangeCoordinates import GPS

from otherseat.adapters.derive import metres_per_degree
from otherseat.adapters.parts import combine, earth


def test_velocity_and_wind() -> None:
    """Three knots north and four east are five on 053.13; air that moves north is a wind from the south."""
    whole = combine({"velocity_north_kt": 3.0, "velocity_east_kt": 4.0, "wind_north_kt": 10.0, "wind_east_kt": 0.0})

    assert {
        "groundspeed_kt": 5.0,
        "track_true_deg": pytest.approx(53.130102),
        "wind_speed_kt": 10.0,
        "wind_from_true_deg": 180.0,
    } == whole


def test_a_lone_part_is_dropped_and_a_whole_field_stays() -> None:
    """Half a velocity says nothing; what was sent whole is not replaced."""
    sent = combine({"groundspeed_kt": 9.0, "velocity_north_kt": 3.0, "velocity_east_kt": 4.0})

    assert 9.0 == sent["groundspeed_kt"]
    assert {} == combine({"velocity_north_kt": 3.0})


@pytest.mark.parametrize("latitude", [-89.9, -45.0, 0.0, 12.3, 60.0])
@pytest.mark.parametrize("height_m", [-100.0, 0.0, 12_000.0])
def test_earth_centred(latitude: float, height_m: float) -> None:
    """An independent library's earth-centred position comes back within 1e-8 deg and a centimetre."""
    x, y, z = GPS().lla2ecef((latitude, -123.4, height_m))
    found = earth(x, y, z)

    assert pytest.approx(latitude, abs=1e-8) == found["latitude_deg"]
    assert pytest.approx(-123.4, abs=1e-8) == found["longitude_deg"]
    assert pytest.approx(height_m / 0.3048, abs=0.03) == found["altitude_ft"]


@pytest.mark.parametrize("latitude", [-60.0, 0.0, 47.0])
def test_metres_per_degree(latitude: float) -> None:
    """A hundredth of a degree is as long as GeographicLib says, within a millimetre or so."""
    north, east = metres_per_degree(latitude)
    geodesic = Geodesic.WGS84

    assert pytest.approx(geodesic.Inverse(latitude - 0.005, 0, latitude + 0.005, 0)["s12"], abs=2e-3) == north / 100
    assert pytest.approx(geodesic.Inverse(latitude, 0, latitude, 0.01)["s12"], abs=2e-3) == east / 100


def test_pressure() -> None:
    """898.76 hPa is 1,000 m (ICAO Doc 7488, table 1); a pressure beyond reason is no altitude."""
    assert pytest.approx(3280.84, abs=1.0) == combine({"static_pressure_hpa": 898.76})["pressure_altitude_ft"]
    assert {} == combine({"static_pressure_hpa": float("nan")})
