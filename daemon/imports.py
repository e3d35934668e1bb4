"""Imports: flights that others recorded, as states: GPX and IGC tracks, CSV track logs, ADS-B data frames.

GPX    open format; time, latitude, longitude, elevation (metres above mean sea level)
IGC    open format of the gliding commission; time, latitude, longitude, GNSS altitude, pressure altitude
MCAP   a capture of ours that holds nothing but datagrams, by a layout
CSV    a header of our own field names (as `otherseat debrief --csv` writes it), or any line format by a layout
ADS-B  a data frame with timestamp, latitude, longitude, altitude (pressure, ft), groundspeed (kt), track, vertical_rate
       (ft/min), onground, and icao24, callsign or flight_id to tell aircraft apart
Nothing is made up: what a track lacks stays missing. Times are seconds since 1970, except a CSV's own.
"""

import csv
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from otherseat.advisories.state import BOUNDS, FLAGS, OWN, STATE_FIELDS
from otherseat.advisories.units import FT_PER_M, KT_PER_MPS
from otherseat.daemon.extras import how_to_install
from otherseat.daemon.recording import SUFFIX, Channel, Recording

Fields = dict[str, float | bool | str]
FRAME_COLUMNS = {
    "latitude": "latitude_deg",
    "longitude": "longitude_deg",
    "altitude": "pressure_altitude_ft",
    "groundspeed": "groundspeed_kt",
    "track": "track_true_deg",
    "vertical_rate": "vertical_speed_fpm",
    "onground": "on_ground",
    "TAS": "true_airspeed_kt",
    "IAS": "indicated_airspeed_kt",
    "roll": "bank_deg",
}
"""Columns of ADS-B and Mode S data frames, and what they are here."""
WHOSE = ("flight_id", "callsign", "icao24")


class ImportTrackError(ValueError):
    """They erred: this is no track that can be read."""


def read_track(path: Path, *, layout: str | None = None) -> list[Fields]:
    """Return the states of a track file by its suffix, or raise ImportTrackError."""
    read = READERS.get(path.suffix.lower())
    if read is None and not (path.suffix.lower() == SUFFIX and layout is not None):
        raise ImportTrackError(f"{path}: can't be read; there are: .mcap {' '.join(sorted(READERS))}")
    path.stat()  # a name that is wrong is said before a library that is missing
    try:
        states = list(read(path) if read is not None and layout is None else read_by_layout(path, layout=layout or ""))
    except ImportError as error:
        raise ImportTrackError(f"{path}: this track needs its library: {how_to_install('tracks')}") from error
    if not states:
        raise ImportTrackError(f"{path}: no track in it")
    return states


def read_gpx(path: Path) -> Iterator[Fields]:
    """Yield the points of every track of a GPX file."""
    import gpxpy  # noqa: PLC0415 - only GPX needs it
    import gpxpy.gpx  # noqa: PLC0415

    try:
        parsed = gpxpy.parse(path.read_text(encoding="utf-8-sig"))
    except (gpxpy.gpx.GPXException, UnicodeDecodeError, ValueError) as error:
        raise ImportTrackError(f"{path}: no GPX: {error}") from error
    for track in parsed.tracks:
        for segment in track.segments:
            for point in segment.points:
                if point.time is not None:
                    yield _present(
                        time_s=point.time.timestamp(),
                        latitude_deg=point.latitude,
                        longitude_deg=point.longitude,
                        altitude_ft=None if point.elevation is None else point.elevation * FT_PER_M,
                        groundspeed_kt=None if point.speed is None else point.speed * KT_PER_MPS,
                    )


def read_igc(path: Path) -> Iterator[Fields]:
    """Yield the fixes of an IGC file."""
    from aerofiles import igc  # noqa: PLC0415 - only IGC needs it

    try:
        with path.open("rb") as stream:
            lines = stream.read().decode("utf-8", errors="replace").splitlines(keepends=True)
        parsed = igc.Reader().read(iter(lines))
    except (igc.exceptions.InvalidIGCFileError, ValueError, KeyError, IndexError, TypeError) as error:
        raise ImportTrackError(f"{path}: no IGC: {error}") from error
    for fix in parsed["fix_records"][1]:
        gnss_m, pressure_m = fix.get("gps_alt"), fix.get("pressure_alt")
        yield _present(
            time_s=_igc_time_s(fix),
            latitude_deg=fix["lat"],
            longitude_deg=fix["lon"],
            altitude_ft=gnss_m * FT_PER_M if gnss_m else None,
            pressure_altitude_ft=pressure_m * FT_PER_M if pressure_m else None,
        )


def _igc_time_s(fix: Mapping[str, Any]) -> float:
    when = fix.get("datetime")
    if isinstance(when, datetime):
        return when.timestamp()
    clock = fix["time"]
    return float(clock.hour * 3_600 + clock.minute * 60 + clock.second)


def read_csv(path: Path) -> Iterator[Fields]:
    """Yield the rows of a CSV whose header has the field names of State; other columns are left out."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            rows = csv.DictReader(stream)
            known = [name for name in rows.fieldnames or () if name in STATE_FIELDS]
            if "time_s" not in known:
                raise ImportTrackError(f"{path}: no column is called time_s; --layout reads other formats")
            for row in rows:
                yield {name: _cell(name, row[name]) for name in known if row[name] not in ("", None)}
    except (UnicodeDecodeError, csv.Error, ValueError) as error:
        if isinstance(error, ImportTrackError):
            raise
        raise ImportTrackError(f"{path}: {error}") from error


def _cell(name: str, text: str) -> float | bool | str:
    if name in FLAGS:
        return text.strip().lower() in {"1", "1.0", "true", "yes"}
    return float(text) if name in BOUNDS else text


def read_by_layout(path: Path, *, layout: str) -> Iterator[Fields]:
    """Yield what a layout makes of each line, as if it had come as a datagram, or of a recording's datagrams."""
    from otherseat.config.settings import SourceSettings  # noqa: PLC0415 - only this needs the adapters
    from otherseat.daemon.recording_bodies import PACK  # noqa: PLC0415
    from otherseat.daemon.source import make_intake  # noqa: PLC0415

    intake = make_intake(SourceSettings(adapter="layout", layout=layout))
    for datagram, received_s in _recorded(path) if path.suffix.lower() == SUFFIX else _lines(path):
        for state in intake.take(datagram, received_s=received_s):
            yield dict(PACK[Channel.STATE](state))


def _lines(path: Path) -> Iterator[tuple[bytes, float]]:
    with path.open("rb") as stream:
        for number, line in enumerate(stream):
            yield line.rstrip(b"\r\n"), float(number)


def _recorded(path: Path) -> Iterator[tuple[bytes, float]]:
    for entry in Recording.open(path).entries([Channel.DATAGRAM]):
        yield entry.body["data"], entry.body["received_s"]


def states_of_frame(frame: Any) -> Iterator[Fields]:
    """Yield the rows of an ADS-B data frame (pandas, or anything with its columns) as states."""
    columns = [name for name in FRAME_COLUMNS if name in frame.columns]
    whose = next((name for name in WHOSE if name in frame.columns), None)
    times = np.asarray(frame["timestamp"], dtype="datetime64[ns]").astype(np.int64) / 1e9
    whom = [OWN] * len(frame) if whose is None else [str(name).strip() for name in frame[whose]]
    for time_s, name, *values in zip(times, whom, *(frame[column] for column in columns), strict=True):
        state = dict(zip((FRAME_COLUMNS[column] for column in columns), values, strict=True))
        yield _present(time_s=float(time_s), aircraft=name or OWN, **state)


def _present(**values: Any) -> Fields:
    """Leave out what is missing: None and NaN."""
    return {
        name: value if isinstance(value, str) else _plain(name, value)
        for name, value in values.items()
        if value is not None and value == value  # noqa: PLR0124 - NaN, also pandas' own
    }


def _plain(name: str, value: Any) -> float | bool:
    return bool(value) if name in FLAGS else float(value)


READERS: Mapping[str, Callable[[Path], Iterator[Fields]]] = {".gpx": read_gpx, ".igc": read_igc, ".csv": read_csv}
