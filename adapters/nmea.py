"""NMEA 0183: sentences of a satellite receiver and a compass, one or many in a datagram.

sentence  fields taken (positions from 1 after the sentence's name)
GGA       1 time, 2-5 position, 6 quality (0 is no fix), 9-10 altitude above mean sea level, m
RMC       1 time, 2 status (A is good), 3-6 position, 7 speed kt, 8 track true, 10-11 magnetic variation
GLL       1-4 position, 5 time, 6 status
VTG       1 track true, 5 speed kt, 7 speed km/h when there is no 5
HDT       1 heading true
HDM       1 heading magnetic
HDG       1 sensor heading, 2-3 deviation, 4-5 variation; magnetic heading = sensor + deviation, east positive
ZDA       1 time

Any talker (the two letters before the name) is read; other sentences are skipped. The time is that of the day, UTC;
the wrap at midnight is the assembler's work. Sentences of one time in one datagram are one message.
Source: IEC 61162-1; sample of the data sheet from the public example of GGA, "48 deg 07.038' N".

Sample  $GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47
        time 45,319 s, latitude 48.1173, longitude 11.516667, altitude 545.4 m
"""

from collections.abc import Callable, Mapping, Sequence
from functools import reduce
from operator import xor
from typing import Any

from pydantic import BaseModel, ConfigDict

from otherseat.adapters.adapter import Adapter, Decoder, Reason, RejectError
from otherseat.adapters.options import checked
from otherseat.adapters.units_table import converter, degrees_from_packed
from otherseat.advisories.state import Fields

LONGEST_SENTENCE = 512
"""The standard says 82; simulators write longer ones."""
MOST_SENTENCES = 200
TALKER = 2
NAME = 5

metres = converter(unit="m", field="altitude_ft")
kmh = converter(unit="km/h", field="groundspeed_kt")


class NmeaOptions(BaseModel):
    """What the settings may say."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    require_checksum: bool = True
    """Refuse sentences without a checksum; one that is sent is checked in any case."""


def number(text: str) -> float | None:
    """Return the number in a field, None when it is empty, or refuse it."""
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise RejectError(Reason.SYNTAX, "no number") from None


def signed(text: str, side: str, *, negative: str) -> float | None:
    """Return the number with the sign that its letter (S or W) gives it."""
    value = number(text)
    return value if value is None or side != negative else -value


def seconds_of_day(text: str) -> float | None:
    """Return the seconds since midnight in hhmmss.ss, None when it is empty, or refuse it."""
    if not text:
        return None
    whole = text.partition(".")[0]
    if len(whole) != len("hhmmss") or not whole.isdecimal():
        raise RejectError(Reason.SYNTAX, "time")
    return int(whole[:2]) * 3600.0 + int(whole[2:4]) * 60.0 + (number(text[4:]) or 0.0)


def position(latitude: str, north: str, longitude: str, east: str) -> dict[str, float | None]:
    """Return the position in four fields."""
    pairs = {
        "latitude_deg": signed(latitude, north, negative="S"),
        "longitude_deg": signed(longitude, east, negative="W"),
    }
    return {name: None if value is None else degrees_from_packed(value) for name, value in pairs.items()}


def gga(f: Sequence[str]) -> dict[str, float | None]:
    """Read a fix."""
    if f[5] in {"", "0"}:
        return {"time_s": seconds_of_day(f[0])}
    altitude = number(f[8])
    return {
        "time_s": seconds_of_day(f[0]),
        **position(*f[1:5]),
        "altitude_ft": None if altitude is None or f[9] != "M" else metres(altitude),
    }


def rmc(f: Sequence[str]) -> dict[str, float | None]:
    """Read the recommended minimum."""
    if f[1] != "A":
        return {"time_s": seconds_of_day(f[0])}
    return {
        "time_s": seconds_of_day(f[0]),
        **position(*f[2:6]),
        "groundspeed_kt": number(f[6]),
        "track_true_deg": number(f[7]),
        "magnetic_variation_deg": signed(f[9], f[10], negative="W"),
    }


def gll(f: Sequence[str]) -> dict[str, float | None]:
    """Read a position."""
    time_s = seconds_of_day(f[4])
    return {"time_s": time_s, **position(*f[:4])} if f[5] == "A" else {"time_s": time_s}


def vtg(f: Sequence[str]) -> dict[str, float | None]:
    """Read track and speed."""
    speed_kt, speed_kmh = number(f[4]), number(f[6])
    if speed_kt is None and speed_kmh is not None:
        speed_kt = kmh(speed_kmh)
    return {"track_true_deg": number(f[0]), "groundspeed_kt": speed_kt}


def hdg(f: Sequence[str]) -> dict[str, float | None]:
    """Read a magnetic compass."""
    sensor, deviation = number(f[0]), signed(f[1], f[2], negative="W")
    return {
        "heading_magnetic_deg": None if sensor is None else sensor + (deviation or 0.0),
        "magnetic_variation_deg": signed(f[3], f[4], negative="W"),
    }


SENTENCES: dict[str, tuple[int, Callable[[Sequence[str]], dict[str, float | None]]]] = {
    "GGA": (10, gga),
    "RMC": (11, rmc),
    "GLL": (6, gll),
    "VTG": (8, vtg),
    "HDT": (1, lambda f: {"heading_true_deg": number(f[0])}),
    "HDM": (1, lambda f: {"heading_magnetic_deg": number(f[0])}),
    "HDG": (5, hdg),
    "ZDA": (1, lambda f: {"time_s": seconds_of_day(f[0])}),
}
"""How many fields a sentence has at least, and who reads them."""


class NmeaDecoder:
    """One source's sentences."""

    def __init__(self, options: NmeaOptions) -> None:
        self._require_checksum = options.require_checksum

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message for each time in the datagram."""
        try:
            lines = datagram.decode("ascii").split()
        except UnicodeDecodeError:
            raise RejectError(Reason.ENCODING) from None
        if not lines:
            raise RejectError(Reason.EMPTY)
        if len(lines) > MOST_SENTENCES:
            raise RejectError(Reason.LENGTH, "too many sentences")
        messages: list[Fields] = []
        for line in lines:
            fields = self._sentence(line)
            if messages and fields.get("time_s", messages[-1].get("time_s")) == messages[-1].get("time_s"):
                messages[-1].update(fields)
            elif fields:
                messages.append(fields)
        return messages

    def _sentence(self, line: str) -> Fields:
        """Return the fields of one sentence; none when it is of a kind that we don't read."""
        if line[0] not in "$!":
            raise RejectError(Reason.FOREIGN, "no sentence")
        if len(line) > LONGEST_SENTENCE:
            raise RejectError(Reason.LENGTH)
        body, star, sent = line[1:].partition("*")
        if star or self._require_checksum:
            check(body, sent)
        name, *fields = body.split(",")
        least, read = SENTENCES.get(name[TALKER:], (0, None)) if len(name) == NAME else (0, None)
        if read is None:
            return {}
        if len(fields) < least:
            raise RejectError(Reason.LENGTH, name)
        return {field: value for field, value in read(fields).items() if value is not None}


def check(body: str, sent: str) -> None:
    """Refuse a sentence whose two hexadecimal digits are not the exclusive or of its characters."""
    if sent.upper() != f"{reduce(xor, body.encode(), 0):02X}":
        raise RejectError(Reason.CHECKSUM)


def make(options: Mapping[str, Any]) -> Decoder:
    """Return a decoder for the options of a source."""
    return NmeaDecoder(checked(options, NmeaOptions))


ADAPTER = Adapter(name="nmea", summary="NMEA 0183 sentences: GGA RMC GLL VTG HDT HDM HDG ZDA", make=make)
