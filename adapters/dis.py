"""DIS: Entity State PDUs of IEEE 1278.1, several entities in a stream, several PDUs in a datagram.

offset  type  field                            note
 0      u8    protocol version                 any
 1      u8    exercise
 2      u8    PDU type                         1 is Entity State, others are skipped
 3      u8    protocol family                  1 is Entity Information
 4      u32   timestamp                        31 bits of 3600 s / 2^31 past the hour, lowest bit: absolute
 8      u16   length                           of this PDU in bytes
12      3 u16 site, application, entity        the aircraft's name is "site.application.entity"
20      u8    entity kind                      1 is a platform, others are skipped
21      u8    domain                           2 is air, others are skipped
36      3 f32 linear velocity, m/s             of the earth-centred frame, or of the body (algorithms 6 to 9)
48      3 f64 location, m                      earth-centred, earth-fixed, WGS-84
72      3 f32 psi, theta, phi, rad             turns about z, y, x from the earth-centred frame to the body
84      u32   appearance
88      u8    dead-reckoning algorithm
144           end of the fixed part

The height is that above the ellipsoid less the option geoid_height_m; without it, the two are taken as equal. We
don't dead-reckon: what is published is what was sent. The option `own` names the entity that is the pilot's.
Sources: IEEE 1278.1-2012, 7.2.2 and 6.2.90; rotation as in the standard's 1.4.3, psi about z, theta about y, phi
about x.
"""

import math
import struct
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from otherseat.adapters.adapter import Adapter, Decoder, Reason, RejectError
from otherseat.adapters.options import checked
from otherseat.adapters.parts import earth, velocity
from otherseat.advisories.state import OWN, Fields
from otherseat.advisories.units import FT_PER_M, KT_PER_MPS

HEADER = struct.Struct(">BBBBIHBB")
IDENTITY = struct.Struct(">HHH2xBB")
MOTION = struct.Struct(">3f3d3f4xB")
IDENTITY_AT, MOTION_AT = 12, 36
FIXED_BYTES = 144
ENTITY_STATE, ENTITY_INFORMATION = 1, 1
PLATFORM, AIR = 1, 2
HOUR_S = 3600.0
BODY_ALGORITHMS = range(6, 10)
MOST_PDUS = 500

Vector = tuple[float, float, float]


class DisOptions(BaseModel):
    """What the settings may say."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    own: str | None = Field(None, pattern=r"^\d+\.\d+\.\d+$")
    """The pilot's own entity, as site.application.entity."""
    geoid_height_m: float = Field(0.0, ge=-110, le=90)
    """Mean sea level above the ellipsoid, where the flight is."""


class DisDecoder:
    """One source's PDUs."""

    def __init__(self, options: DisOptions) -> None:
        self._options = options

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message for each airborne platform's Entity State PDU."""
        messages = []
        start = 0
        for _ in range(MOST_PDUS):
            if start >= len(datagram):
                break
            pdu = pdu_at(datagram, start)
            start += len(pdu)
            fields = self._entity(pdu)
            if fields:
                messages.append(fields)
        return messages

    def _entity(self, pdu: bytes) -> Fields:
        """Return the fields of one PDU; none when it is of a kind that we don't read."""
        _, _, kind, family, timestamp, *_ = HEADER.unpack_from(pdu)
        if (kind, family) != (ENTITY_STATE, ENTITY_INFORMATION):
            return {}
        if len(pdu) < FIXED_BYTES:
            raise RejectError(Reason.LENGTH, "Entity State PDU")
        site, application, entity, *platform = IDENTITY.unpack_from(pdu, IDENTITY_AT)
        if platform != [PLATFORM, AIR]:
            return {}
        name = f"{site}.{application}.{entity}"
        return {
            "aircraft": OWN if name == self._options.own else name,
            "time_s": (timestamp >> 1) * HOUR_S / 2**31,
            **motion(pdu, self._options.geoid_height_m),
        }


def pdu_at(datagram: bytes, start: int) -> bytes:
    """Return the PDU that begins at a byte, or refuse the datagram."""
    if len(datagram) - start < HEADER.size:
        raise RejectError(Reason.LENGTH, "no whole header")
    length = HEADER.unpack_from(datagram, start)[5]
    if not HEADER.size <= length <= len(datagram) - start:
        raise RejectError(Reason.LENGTH, "the header's length is not the PDU's")
    return datagram[start : start + length]


def motion(pdu: bytes, geoid_height_m: float) -> Fields:
    """Return position, speeds and attitude; nothing when the location is no place near the earth."""
    values = MOTION.unpack_from(pdu, MOTION_AT)
    place = earth(*values[3:6])
    if not place or not all(math.isfinite(value) for value in values):
        raise RejectError(Reason.RANGE, "location, velocity or orientation")
    place["altitude_ft"] = float(place["altitude_ft"]) - geoid_height_m * FT_PER_M
    axes = body_axes(*values[6:9])
    moving = values[0:3]
    if values[9] in BODY_ALGORITHMS:
        moving = tuple(sum(axis[i] * part for axis, part in zip(axes, values[0:3], strict=True)) for i in range(3))
    local = [local_parts(vector, place) for vector in (*axes, moving)]
    north, east, down = local[3]
    return {
        **place,
        **attitude(local[0], local[1], local[2]),
        **velocity(north * KT_PER_MPS, east * KT_PER_MPS),
        "vertical_speed_fpm": -down * FT_PER_M * 60.0,
    }


def body_axes(psi: float, theta: float, phi: float) -> tuple[Vector, Vector, Vector]:
    """Return the body's x, y and z axes in the earth-centred frame."""
    sp, cp = math.sin(psi), math.cos(psi)
    st, ct = math.sin(theta), math.cos(theta)
    sf, cf = math.sin(phi), math.cos(phi)
    return (
        (cp * ct, sp * ct, -st),
        (cp * st * sf - sp * cf, sp * st * sf + cp * cf, ct * sf),
        (cp * st * cf + sp * sf, sp * st * cf - cp * sf, ct * cf),
    )


def local_parts(vector: Vector, place: Fields) -> Vector:
    """Return the north, east and down parts, at a place, of a vector in the earth-centred frame."""
    latitude, longitude = math.radians(float(place["latitude_deg"])), math.radians(float(place["longitude_deg"]))
    sa, ca, so, co = math.sin(latitude), math.cos(latitude), math.sin(longitude), math.cos(longitude)
    x, y, z = vector
    return (-sa * co * x - sa * so * y + ca * z, -so * x + co * y, -ca * co * x - ca * so * y - sa * z)


def attitude(forward: Vector, right: Vector, below: Vector) -> Fields:
    """Return heading, pitch and bank of a body whose axes are given by their north, east and down parts."""
    return {
        "heading_true_deg": math.degrees(math.atan2(forward[1], forward[0])) % 360.0,
        "pitch_deg": math.degrees(math.asin(max(-1.0, min(1.0, -forward[2])))),
        "bank_deg": math.degrees(math.atan2(right[2], below[2])),
    }


def make(options: Mapping[str, Any]) -> Decoder:
    """Return a decoder for the options of a source."""
    return DisDecoder(checked(options, DisOptions))


ADAPTER = Adapter(name="dis", summary="IEEE 1278.1 Entity State PDUs", make=make)
