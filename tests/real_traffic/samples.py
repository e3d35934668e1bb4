"""Samples: the recorded flights inside the package `traffic` (MIT licence), read without importing it.

Its importable half needs matching versions of a dozen packages and, for airports, the network; the recordings need
neither. Altitudes are pressure altitudes in steps of 25 ft, rates come in steps of 64 ft/min, and a receiver repeats
the last position when it has no new one: repeats are left out.
"""

import gzip
import importlib.util
import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PACKAGE = "traffic"
GAP_S = 600.0
"""A longer silence ends a flight."""
LEAST_REPORTS = 30
STANDING_KT = 3.0
NOT_AEROPLANES = {"gliders", "ambulances", "firefighting", "tv_relay", "military", "performance", "readsb", "fr24"}
"""Folders without a landing flown like one: thermals, helicopters, carriers, and files of another form."""
SPECIAL_FOLDERS = {"calibration", "featured", "surveys", "noisy"}
SPECIAL = {"savan"}
"""Flown for something else than to arrive (low passes, surveys, drawings in the sky), or recorded badly."""
BROKEN = {"noisy_spoofing", "noisy_time_issue"}
"""Recordings that ship because they are wrong: false positions, false times."""


@dataclass(frozen=True, slots=True)
class Report:
    """One line of a recording."""

    time_s: float
    latitude_deg: float
    longitude_deg: float
    pressure_altitude_ft: float | None
    groundspeed_kt: float | None
    track_true_deg: float | None
    vertical_speed_fpm: float | None
    on_ground: bool | None


@dataclass(frozen=True, slots=True)
class Recording:
    """One aircraft without a long gap."""

    sample: str
    special: bool
    """Not what an arrival is like: its runway can be named, but what is said of it is no nuisance."""
    aircraft: str
    reports: tuple[Report, ...]


def folder() -> Path | None:
    """Return the folder of the recordings, or None when the package is not installed."""
    spec = importlib.util.find_spec(PACKAGE)
    if spec is None or not spec.submodule_search_locations:
        return None
    return Path(spec.submodule_search_locations[0]) / "data" / "samples"


def recordings(root: Path) -> Iterator[Recording]:
    """Yield every recording, aircraft by aircraft."""
    for path in sorted(root.rglob("*.json.gz")):
        name = path.name.partition(".")[0]
        if path.parent.name not in NOT_AEROPLANES and name not in BROKEN:
            yield from _of_file(path, name=name)


def surface_recordings(root: Path) -> Iterator[Recording]:
    """Yield those that were made on an airport's surface; older versions of the package have only the first."""
    for name in ("onground/zurich_airport", "noisy/noisy_ground", "noisy/noisy_takeoff"):
        if not (root / f"{name}.json.gz").is_file():
            continue
        yield from _of_file(root / f"{name}.json.gz", name=name.partition("/")[2])


def _of_file(path: Path, *, name: str) -> Iterator[Recording]:
    by_aircraft: dict[str, list[Report]] = {}
    for row in _rows(path):
        report = _report(row)
        if report is not None:
            by_aircraft.setdefault(f"{row.get('icao24')}", []).append(report)
    for aircraft, reports in sorted(by_aircraft.items()):
        for number, part in enumerate(_parts(sorted(reports, key=lambda report: report.time_s))):
            special = path.parent.name in SPECIAL_FOLDERS or name in SPECIAL
            yield Recording(sample=name, special=special, aircraft=f"{aircraft}.{number}", reports=tuple(part))


def _rows(path: Path) -> list[dict[str, Any]]:
    with gzip.open(path, "rt", encoding="utf-8") as stream:
        read = json.load(stream)
    if isinstance(read, list):
        return read
    return [
        dict(zip(read, values, strict=True))
        for values in zip(*(column.values() for column in read.values()), strict=True)
    ]


def _report(row: dict[str, Any]) -> Report | None:
    latitude_deg, longitude_deg = _number(row.get("latitude")), _number(row.get("longitude"))
    stamp = _number(row.get("timestamp"))
    if latitude_deg is None or longitude_deg is None or stamp is None:
        return None
    on_ground = row.get("onground")
    return Report(
        time_s=stamp / 1_000.0,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        pressure_altitude_ft=_number(row.get("altitude")),
        groundspeed_kt=_number(row.get("groundspeed")),
        track_true_deg=_number(row.get("track")),
        vertical_speed_fpm=_number(row.get("vertical_rate")),
        on_ground=bool(on_ground) if isinstance(on_ground, bool | int) else None,
    )


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and math.isfinite(value) else None


def _parts(reports: list[Report]) -> Iterator[list[Report]]:
    """Yield stretches without a long gap, without repeated positions."""
    part: list[Report] = []
    for report in reports:
        if part and report.time_s - part[-1].time_s > GAP_S:
            yield from _long_enough(part)
            part = []
        if not part or _is_news(part[-1], report):
            part.append(report)
    yield from _long_enough(part)


def _is_news(before: Report, report: Report) -> bool:
    moved = (report.latitude_deg, report.longitude_deg) != (before.latitude_deg, before.longitude_deg)
    return report.time_s > before.time_s and (moved or (report.groundspeed_kt or 0.0) < STANDING_KT)


def _long_enough(part: list[Report]) -> Iterator[list[Report]]:
    if len(part) >= LEAST_REPORTS:
        yield part
