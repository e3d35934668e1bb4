"""The plan across a restart of the daemon: kept with where the aircraft was, given back only within the same flight.

The same flight  the same aircraft, seen again within LONGEST_GAP_S by the wall clock, no farther away than it can have
                 flown since, and, as far as the simulator's own time tells, not earlier than before.
Anything else, or a file that can't be read, is no memory: a plan of another flight would be worse than none.
"""

import contextlib
import hashlib
import math
import os
import tempfile
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from otherseat.advisories.earth import earth_centred_m
from otherseat.advisories.plan import Plan
from otherseat.advisories.units import M_PER_NM

LONGEST_GAP_S = 1_800.0
FASTEST_NM_PER_S = 0.5
"""1,800 kt: a jet at three times the time."""
STANDING_NM = 3.0
"""So far a reload of the scene may move it."""
BACKWARDS_S = 1.0


class Sighting(BaseModel):
    """One aircraft at one moment, by both clocks."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)

    aircraft: str
    wall_s: float
    time_s: float
    """The state's own time."""
    latitude_deg: float = Field(ge=-90, le=90)
    longitude_deg: float = Field(ge=-180, le=180)


class _Memory(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    seen: Sighting
    plan: Plan


def same_flight(before: Sighting, now: Sighting) -> bool:
    """Say whether two sightings are of one flight."""
    gap_s = now.wall_s - before.wall_s
    if before.aircraft != now.aircraft or not 0.0 <= gap_s <= LONGEST_GAP_S:
        return False
    if now.time_s < before.time_s - BACKWARDS_S:
        return False
    return _apart_nm(before, now) <= STANDING_NM + FASTEST_NM_PER_S * gap_s


def keep_plan(*, folder: Path, plan: Plan, seen: Sighting) -> None:
    """Write one aircraft's plan in one stroke; raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(_Memory(seen=seen, plan=plan).model_dump_json(exclude_none=True))
        Path(name).replace(_file(folder, seen.aircraft))
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise


def recall_plan(*, folder: Path, now: Sighting) -> Plan | None:
    """Return the plan kept for this aircraft when this is the same flight, else None."""
    try:
        memory = _Memory.model_validate_json(_file(folder, now.aircraft).read_bytes())
    except (OSError, ValidationError):
        return None
    return memory.plan if same_flight(memory.seen, now) else None


def drop_old_plans(folder: Path, *, wall_s: float) -> None:
    """Remove what is no memory of any flight that goes on; what can't be removed stays."""
    for file in folder.glob("plan-*.json"):
        with contextlib.suppress(OSError):
            if wall_s - file.stat().st_mtime > LONGEST_GAP_S:
                file.unlink()


def _file(folder: Path, aircraft: str) -> Path:
    """Return the file of an aircraft, whose id may be anything printable."""
    return folder / f"plan-{hashlib.sha256(aircraft.encode('utf-8')).hexdigest()[:32]}.json"


def _apart_nm(a: Sighting, b: Sighting) -> float:
    first, second = (
        earth_centred_m(latitude_deg=s.latitude_deg, longitude_deg=s.longitude_deg, height_m=0.0) for s in (a, b)
    )
    return math.dist(first, second) / M_PER_NM
