"""MAVLink, versions 1 and 2: seven messages of the common set, several systems in a stream.

message                   id   extra  fields taken
GPS_RAW_INT               24   24     position, altitude, speed, course; left aside once GLOBAL_POSITION_INT came
SCALED_PRESSURE           29   115    absolute pressure -> pressure altitude; temperature, as that outside
ATTITUDE                  30   39     roll, pitch, yaw (rad)
GLOBAL_POSITION_INT       33   104    position (1e-7 deg), altitude above mean sea level (mm), velocity (cm/s), heading
VFR_HUD                   74   20     airspeed, groundspeed, throttle, climb
EXTENDED_SYS_STATE        245  130    landed state -> on the ground
HEARTBEAT                 0    50     checked, brings nothing

The checksum is CRC-16/MCRF4XX over all but the first byte, then the message's extra byte. Version 2 cuts trailing
zeros off the payload. Messages of other ids are stepped over unchecked, since their extra byte is unknown here. The
aircraft's name is the system's number; the option `own` says which one is the pilot's. The times of the messages
are one clock, that since the start. A flight controller's pressure sensor is warmer than the air outside; for such
a source say temperature_is_outside = false.
Source: the MAVLink guide, "Packet serialization", and its common message set (time of writing: 2.3).
"""

import math
import struct
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from otherseat.adapters.adapter import Adapter, Decoder, Reason, RejectError
from otherseat.adapters.checksums import x25_raw
from otherseat.adapters.options import checked
from otherseat.adapters.parts import pressure, velocity
from otherseat.advisories.state import OWN, Fields
from otherseat.advisories.units import FT_PER_M, KT_PER_MPS

MAGIC_1, MAGIC_2 = 0xFE, 0xFD
HEADER_1, HEADER_2 = 6, 10
CHECKSUM_BYTES = 2
SIGNATURE_BYTES = 13
SIGNED = 0x01
UNKNOWN_U16 = 0xFFFF
LEAST_FIX = 2
ON_GROUND, IN_AIR = 1, 2
GPS_RAW_INT, SCALED_PRESSURE, GLOBAL_POSITION_INT = 24, 29, 33

Values = tuple[Any, ...]


class MavlinkOptions(BaseModel):
    """What the settings may say."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    own: int | None = Field(None, ge=1, le=255)
    """The number of the pilot's own system."""
    temperature_is_outside: bool = True
    """Take the pressure sensor's temperature for that of the air outside."""


class Packet(NamedTuple):
    """One checked packet."""

    system: int
    message: int
    payload: bytes


def gps_raw_int(v: Values) -> Fields:
    """Read time_usec, lat, lon, alt, eph, epv, vel, cog, fix_type."""
    if v[8] < LEAST_FIX:
        return {}
    fields: Fields = {"latitude_deg": v[1] / 1e7, "longitude_deg": v[2] / 1e7, "altitude_ft": v[3] / 1e3 * FT_PER_M}
    if v[6] != UNKNOWN_U16:
        fields["groundspeed_kt"] = v[6] / 100.0 * KT_PER_MPS
    if v[7] != UNKNOWN_U16:
        fields["track_true_deg"] = v[7] / 100.0
    return fields


def scaled_pressure(v: Values) -> Fields:
    """Read time_boot_ms, press_abs, press_diff, temperature."""
    return {"time_s": v[0] / 1e3, **pressure(v[1]), "outside_air_temperature_c": v[3] / 100.0}


def attitude(v: Values) -> Fields:
    """Read time_boot_ms, roll, pitch, yaw."""
    return {
        "time_s": v[0] / 1e3,
        "bank_deg": math.degrees(v[1]),
        "pitch_deg": math.degrees(v[2]),
        "heading_true_deg": math.degrees(v[3]),
    }


def global_position_int(v: Values) -> Fields:
    """Read time_boot_ms, lat, lon, alt, relative_alt, vx, vy, vz, hdg."""
    fields: Fields = {
        "time_s": v[0] / 1e3,
        "latitude_deg": v[1] / 1e7,
        "longitude_deg": v[2] / 1e7,
        "altitude_ft": v[3] / 1e3 * FT_PER_M,
        **velocity(v[5] / 100.0 * KT_PER_MPS, v[6] / 100.0 * KT_PER_MPS),
        "vertical_speed_fpm": -v[7] / 100.0 * FT_PER_M * 60.0,
    }
    if v[8] != UNKNOWN_U16:
        fields["heading_true_deg"] = v[8] / 100.0
    return fields


def vfr_hud(v: Values) -> Fields:
    """Read airspeed, groundspeed, alt, climb, heading, throttle."""
    return {
        "indicated_airspeed_kt": v[0] * KT_PER_MPS,
        "groundspeed_kt": v[1] * KT_PER_MPS,
        "vertical_speed_fpm": v[3] * FT_PER_M * 60.0,
        "throttle_ratio": v[5] / 100.0,
    }


def extended_sys_state(v: Values) -> Fields:
    """Read vtol_state, landed_state."""
    return {"on_ground": v[1] == ON_GROUND} if v[1] in (ON_GROUND, IN_AIR) else {}


MESSAGES: dict[int, tuple[int, struct.Struct, Callable[[Values], Fields]]] = {
    0: (50, struct.Struct("<IBBBBB"), lambda _: {}),
    GPS_RAW_INT: (24, struct.Struct("<QiiiHHHHBB"), gps_raw_int),
    SCALED_PRESSURE: (115, struct.Struct("<Iffh"), scaled_pressure),
    30: (39, struct.Struct("<Iffffff"), attitude),
    GLOBAL_POSITION_INT: (104, struct.Struct("<IiiiihhhH"), global_position_int),
    74: (20, struct.Struct("<ffffhH"), vfr_hud),
    245: (130, struct.Struct("<BB"), extended_sys_state),
}
"""By id: the extra byte of the checksum, the fields in the order of the wire, and who reads them."""


class MavlinkDecoder:
    """One source's packets."""

    def __init__(self, options: MavlinkOptions) -> None:
        self._options = options
        self._fused: set[int] = set()
        """Systems that send GLOBAL_POSITION_INT."""

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message for each packet that brings something."""
        messages = (self._message(packet) for packet in packets(datagram))
        return [fields for fields in messages if fields]

    def _message(self, packet: Packet) -> Fields:
        """Return the fields of one packet."""
        if packet.message == GLOBAL_POSITION_INT:
            self._fused.add(packet.system)
        if packet.message not in MESSAGES or (packet.message == GPS_RAW_INT and packet.system in self._fused):
            return {}
        _, layout, read = MESSAGES[packet.message]
        fields = read(layout.unpack(packet.payload[: layout.size].ljust(layout.size, b"\0")))
        if not self._options.temperature_is_outside:
            fields.pop("outside_air_temperature_c", None)
        if fields:
            fields["aircraft"] = OWN if packet.system == self._options.own else str(packet.system)
        return fields


def packets(datagram: bytes) -> list[Packet]:
    """Return the packets in a datagram, or refuse it when one of them is broken."""
    found = []
    start = 0
    while start < len(datagram):
        packet, start = packet_at(datagram, start)
        found.append(packet)
    return found


def packet_at(datagram: bytes, start: int) -> tuple[Packet, int]:
    """Return the packet that begins at a byte, and where the next one begins."""
    head = datagram[start : start + HEADER_2].ljust(HEADER_2, b"\0")
    if head[0] not in (MAGIC_1, MAGIC_2):
        raise RejectError(Reason.FOREIGN, "no packet")
    second = head[0] == MAGIC_2
    payload_at = start + (HEADER_2 if second else HEADER_1)
    end = payload_at + head[1]
    after = end + CHECKSUM_BYTES + (SIGNATURE_BYTES if second and head[2] & SIGNED else 0)
    if after > len(datagram):
        raise RejectError(Reason.LENGTH, "cut short")
    system = head[5] if second else head[3]
    message = int.from_bytes(head[7:10], "little") if second else head[5]
    if message in MESSAGES:
        sent = int.from_bytes(datagram[end : end + CHECKSUM_BYTES], "little")
        if sent != x25_raw(datagram[start + 1 : end] + bytes([MESSAGES[message][0]])):
            raise RejectError(Reason.CHECKSUM)
    return Packet(system, message, datagram[payload_at:end]), after


def make(options: Mapping[str, Any]) -> Decoder:
    """Return a decoder for the options of a source."""
    return MavlinkDecoder(checked(options, MavlinkOptions))


ADAPTER = Adapter(name="mavlink", summary="MAVLink 1 and 2, common message set, several systems", make=make)
