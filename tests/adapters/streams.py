"""One flown table as four exports: the flight model's own text, and three standards made by independent libraries."""

import io
import math

import numpy as np
import pynmea2
from opendis.DataOutputStream import DataOutputStream
from opendis.dis7 import EntityID, EntityStatePdu, EntityType, EulerAngles, Vector3Double, Vector3Float
from opendis.RangeCoordinates import GPS
from pymavlink.dialects.v20 import common

from tests.adapters.flown import RATE_HZ, Table

Stream = list[tuple[float, bytes]]
Rows = list[dict[str, float]]
"""One moment a row, with the names and units of the flown table."""

THINNED = RATE_HZ // 10
KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)
LABELS = {
    "sim-time-sec": "time_s",
    "lat-geod-deg": "latitude_deg",
    "long-gc-deg": "longitude_deg",
    "h-sl-ft": "altitude_ft",
    "h-dot-fps": "vertical_speed_fps",
    "v-north-fps": "north_fps",
    "v-east-fps": "east_fps",
    "vc-kts": "indicated_airspeed_kt",
    "psi-deg": "heading_true_deg",
    "theta-deg": "pitch_deg",
    "phi-deg": "bank_deg",
}


def rows(table: Table) -> Rows:
    """Return a flown table ten times a second."""
    columns = {name: values[::THINNED].tolist() for name, values in table.items()}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def jsbsim(moments: Rows) -> Stream:
    """Return the flight model's text: a label line, then twelve significant digits."""
    label = ("<LABELS> ," + ",".join(["Time", *LABELS]) + "\n").encode()
    lines = [(r["time_s"], [r["time_s"], *(r[name] for name in LABELS.values())]) for r in moments]
    return [
        (lines[0][0], label),
        *((t, (",".join(f"{value:12.12g}" for value in values) + "\n").encode()) for t, values in lines),
    ]


def packed_angle(degrees: float, *, wide: bool, sides: str) -> tuple[str, str]:
    """Return ddmm.mmmmmm and the letter of the side."""
    whole, part = divmod(abs(degrees), 1.0)
    return f"{int(whole):0{3 if wide else 2}d}{part * 60.0:010.7f}", sides[0] if degrees >= 0 else sides[1]


def nmea(moments: Rows) -> Stream:
    """Return GGA, RMC and HDT rendered by pynmea2, of one moment in one datagram."""
    out = []
    for r in moments:
        clock = f"{int(r['time_s'] // 3600):02d}{int(r['time_s'] // 60) % 60:02d}{r['time_s'] % 60:06.3f}"
        place = (
            *packed_angle(r["latitude_deg"], wide=False, sides="NS"),
            *packed_angle(r["longitude_deg"], wide=True, sides="EW"),
        )
        speed = f"{math.hypot(r['north_fps'], r['east_fps']) * KT_PER_FPS:.4f}"
        track = f"{math.degrees(math.atan2(r['east_fps'], r['north_fps'])) % 360.0:.4f}"
        metres = f"{r['altitude_ft'] * 0.3048:.3f}"
        sentences = (
            pynmea2.GGA("GP", "GGA", (clock, *place, "1", "08", "0.9", metres, "M", "0", "M", "", "")),
            pynmea2.RMC("GP", "RMC", (clock, "A", *place, speed, track, "010126", "", "")),
            pynmea2.HDT("GP", "HDT", (f"{r['heading_true_deg']:.3f}", "T")),
        )
        out.append((r["time_s"], b"".join(s.render().encode() + b"\r\n" for s in sentences)))
    return out


def velocity_in_the_earth_frame(r: dict[str, float]) -> list[float]:
    """Return the velocity in m/s along the earth's axes; textbook rotation by latitude and longitude."""
    la, lo = math.radians(r["latitude_deg"]), math.radians(r["longitude_deg"])
    turn = np.array(
        [
            [-math.sin(la) * math.cos(lo), -math.sin(lo), math.cos(la) * math.cos(lo)],
            [-math.sin(la) * math.sin(lo), math.cos(lo), math.cos(la) * math.sin(lo)],
            [math.cos(la), 0.0, math.sin(la)],
        ]
    )
    local = np.array([r["north_fps"], r["east_fps"], r["vertical_speed_fps"]]) * 0.3048
    return [float(value) for value in turn @ local]


def dis(moments: Rows) -> Stream:
    """Return Entity State PDUs serialised by opendis, for entity 1.1.1."""
    out = []
    for r in moments:
        x, y, z, psi, theta, phi = GPS().llarpy2ecef(
            math.radians(r["latitude_deg"]),
            math.radians(r["longitude_deg"]),
            r["altitude_ft"] * 0.3048,
            *(math.radians(r[name]) for name in ("bank_deg", "pitch_deg", "heading_true_deg")),
        )
        pdu = EntityStatePdu(
            entityID=EntityID(1, 1, 1),
            entityType=EntityType(entityKind=1, domain=2),
            entityLinearVelocity=Vector3Float(*velocity_in_the_earth_frame(r)),
            entityLocation=Vector3Double(x, y, z),
            entityOrientation=EulerAngles(psi, theta, phi),
        )
        pdu.pduType = pdu.protocolFamily = pdu.exerciseID = 1
        pdu.pduStatus = pdu.entityAppearance = pdu.capabilities = 0
        pdu.protocolVersion, pdu.length = 7, 144
        pdu.deadReckoningParameters.deadReckoningAlgorithm = 4
        pdu.deadReckoningParameters.parameters = [0] * 15
        pdu.timestamp = int(r["time_s"] % 3600.0 / 3600.0 * 2**31) << 1
        stream = io.BytesIO()
        pdu.serialize(DataOutputStream(stream))
        out.append((r["time_s"], stream.getvalue()))
    return out


def mavlink(moments: Rows) -> Stream:
    """Return attitude, speeds and position packed by pymavlink, for system 1, of one moment in one datagram."""
    link = common.MAVLink(None, srcSystem=1, srcComponent=1)
    out = []
    for r in moments:
        ms = round(r["time_s"] * 1e3)
        north, east, up = (r[name] * 30.48 for name in ("north_fps", "east_fps", "vertical_speed_fps"))
        speed = math.hypot(north, east) / 100.0
        roll, pitch, yaw = (math.radians(r[name]) for name in ("bank_deg", "pitch_deg", "heading_true_deg"))
        height = round(r["altitude_ft"] * 304.8)
        packets = (
            link.attitude_encode(ms, roll, pitch, math.remainder(yaw, 2 * math.pi), 0.0, 0.0, 0.0),
            link.vfr_hud_encode(r["indicated_airspeed_kt"] * 0.514444, speed, 0, 50, height / 1e3, up / 100.0),
            link.global_position_int_encode(
                ms,
                round(r["latitude_deg"] * 1e7),
                round(r["longitude_deg"] * 1e7),
                height,
                0,
                round(north),
                round(east),
                round(-up),
                round(r["heading_true_deg"] * 100) % 36_000,
            ),
        )
        out.append((r["time_s"], b"".join(packet.pack(link) for packet in packets)))
    return out
