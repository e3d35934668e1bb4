"""IEEE 1278.1 Entity State PDUs, made by the independent library opendis."""

import io
import math

import pytest
from opendis.DataOutputStream import DataOutputStream
from opendis.dis7 import (
    DeadReckoningParameters,
    EntityID,
    EntityStatePdu,
    EntityType,
    EulerAngles,
    Vector3Double,
    Vector3Float,
)
from opendis.RangeCoordinates import GPS

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.dis import ADAPTER

LATITUDE, LONGITUDE, HEIGHT_M = 36.6, -121.9, 1000.0


def pdu(*, domain: int = 2, algorithm: int = 4, velocity: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> bytes:
    """Return a PDU of an aircraft that heads 030 true, 5 deg nose up, 20 deg right wing down."""
    x, y, z, psi, theta, phi = GPS().llarpy2ecef(
        math.radians(LATITUDE), math.radians(LONGITUDE), HEIGHT_M, math.radians(20), math.radians(5), math.radians(30)
    )
    made = EntityStatePdu(
        entityID=EntityID(1, 3001, 7),
        entityType=EntityType(entityKind=1, domain=domain),
        entityLinearVelocity=Vector3Float(*velocity),
        entityLocation=Vector3Double(x, y, z),
        entityOrientation=EulerAngles(psi, theta, phi),
        deadReckoningParameters=DeadReckoningParameters(algorithm, [0] * 15),
    )
    made.entityAppearance = made.capabilities = 0
    made.pduStatus = 0  # the library's own default cannot be packed
    made.pduType, made.protocolFamily = 1, 1
    made.protocolVersion, made.exerciseID = 7, 1
    made.timestamp = int(1800.0 / 3600.0 * 2**31) << 1
    made.length = 144
    stream = io.BytesIO()
    made.serialize(DataOutputStream(stream))
    return stream.getvalue()


def test_position_and_attitude() -> None:
    """Location and orientation come back as the independent library took them, half past the hour."""
    [message] = ADAPTER.make({}).decode(pdu())

    assert "1.3001.7" == message["aircraft"]
    assert 1800.0 == message["time_s"]
    assert pytest.approx(LATITUDE, abs=1e-7) == message["latitude_deg"]
    assert pytest.approx(LONGITUDE, abs=1e-7) == message["longitude_deg"]
    assert pytest.approx(HEIGHT_M / 0.3048, abs=0.01) == message["altitude_ft"]
    assert pytest.approx(30.0, abs=1e-3) == message["heading_true_deg"]
    assert pytest.approx(5.0, abs=1e-3) == message["pitch_deg"]
    assert pytest.approx(20.0, abs=1e-3) == message["bank_deg"]


def test_velocity_in_the_earth_frame() -> None:
    """50 m/s along the local east axis is 97.2 kt on a track of 090, whatever the heading (east: -sin, cos, 0)."""
    longitude = math.radians(LONGITUDE)
    east = (-50.0 * math.sin(longitude), 50.0 * math.cos(longitude), 0.0)
    [message] = ADAPTER.make({}).decode(pdu(velocity=east))

    assert pytest.approx(97.19, abs=0.01) == message["groundspeed_kt"]
    assert pytest.approx(90.0, abs=1e-3) == message["track_true_deg"]
    assert pytest.approx(0.0, abs=0.01) == message["vertical_speed_fpm"]


def test_velocity_in_the_body_frame() -> None:
    """50 m/s straight ahead, 5 deg nose up, is a climb of 50 sin 5 m/s (857.8 ft/min) on the heading."""
    [message] = ADAPTER.make({}).decode(pdu(algorithm=8, velocity=(50.0, 0.0, 0.0)))

    assert pytest.approx(30.0, abs=1e-3) == message["track_true_deg"]
    assert pytest.approx(857.8, abs=0.1) == message["vertical_speed_fpm"]


def test_own_entity_and_geoid() -> None:
    """The pilot's own entity gets the house's name, and the geoid's height is taken off."""
    [message] = ADAPTER.make({"own": "1.3001.7", "geoid_height_m": -30.0}).decode(pdu())

    assert "own" == message["aircraft"]
    assert pytest.approx((HEIGHT_M + 30.0) / 0.3048, abs=0.01) == message["altitude_ft"]


def test_several_in_one_datagram_and_others_skipped() -> None:
    """Bundled PDUs are all read; what is no aircraft is skipped."""
    assert 2 == len(ADAPTER.make({}).decode(pdu() + pdu(domain=1) + pdu()))


@pytest.mark.parametrize(
    ("datagram", "reason"),
    [
        pytest.param(pdu()[:100], Reason.LENGTH, id="cut"),
        pytest.param(pdu()[:8], Reason.LENGTH, id="no-header"),
        pytest.param(pdu()[:8] + b"\x00\x05" + pdu()[10:], Reason.LENGTH, id="length-too-small"),
        pytest.param(pdu()[:48] + bytes(24) + pdu()[72:], Reason.RANGE, id="centre-of-the-earth"),
        pytest.param(pdu()[:48] + b"\xff" * 24 + pdu()[72:], Reason.RANGE, id="no-number"),
    ],
)
def test_refusals(datagram: bytes, reason: Reason) -> None:
    """What can't be used is refused by a named reason."""
    with pytest.raises(RejectError) as refused:
        ADAPTER.make({}).decode(datagram)

    assert reason is refused.value.reason
