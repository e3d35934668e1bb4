"""Track: one aircraft's flight as columns, one row a state. NaN where a state did not say.

What was not reported is worked out where it can be (speed, track and vertical speed from positions and heights, the
wind from airspeed, heading and groundspeed, the indicated airspeed from the true one) and named in `computed`. Values
out of the bounds of otherseat.advisories.state never enter.
"""

import itertools
from array import array
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from otherseat.advisories.earth import WGS84_A_M, WGS84_E2
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.real import Array
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import BOUNDS, OWN
from otherseat.advisories.units import FT_PER_M, KT_PER_MPS
from otherseat.daemon.debrief.airspeed import INDICATED, worked_out_kt
from otherseat.daemon.debrief.wind import WindWorkedOut

FLAGS = ("on_ground", "gear_down")
NUMBERS = (
    "time_s",
    "latitude_deg",
    "longitude_deg",
    "altitude_ft",
    "indicated_altitude_ft",
    "pressure_altitude_ft",
    "height_agl_ft",
    "indicated_airspeed_kt",
    "true_airspeed_kt",
    "groundspeed_kt",
    "vertical_speed_fpm",
    "heading_true_deg",
    "track_true_deg",
    "pitch_deg",
    "bank_deg",
    "wind_from_true_deg",
    "wind_speed_kt",
    "flaps_ratio",
)
NAMES = NUMBERS + FLAGS
ALTITUDES = ("altitude_ft", "indicated_altitude_ft", "pressure_altitude_ft")
"""Which column stands for altitude, the best first."""
EMPTY: Mapping[str, Iterable[float]] = MappingProxyType({})
GAP_S, BACK_S, LEAP_M, LEAP_MPS = 30.0, 0.5, 926.0, 772.0
"""As the engine's idea of a jump: a long gap, time running back, half a mile and 1,500 kt."""


@dataclass(frozen=True, slots=True)
class Track:
    """Columns of equal length."""

    columns: Mapping[str, Array]
    computed: frozenset[str] = frozenset()
    altitude_from: str = "altitude_ft"

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.columns["time_s"])

    def __getitem__(self, name: str) -> Array:
        """Return one column."""
        return self.columns[name]

    def known(self, name: str) -> bool:
        """Say whether a column holds anything."""
        return bool(np.isfinite(self.columns[name]).any())

    def part(self, rows: slice) -> "Track":
        """Return some rows as a track."""
        columns = {name: column[rows] for name, column in self.columns.items()}
        return Track(columns=columns, computed=self.computed, altitude_from=self.altitude_from)

    def segments(self) -> list["Track"]:
        """Return the track cut where time or place jumped; pieces of less than two rows are left out."""
        cuts = [0, *(np.flatnonzero(_jumps(self.columns)) + 1), len(self)]
        parts = [self.part(slice(first, last)) for first, last in itertools.pairwise(cuts)]
        return [part for part in parts if len(part) > 1]


class TrackMaker:
    """Gathers states, as bodies of a recording or any maps, into tracks by aircraft."""

    def __init__(self) -> None:
        self._rows: dict[str, dict[str, array[float]]] = {}
        self._winds: defaultdict[str, WindWorkedOut] = defaultdict(WindWorkedOut)
        self._indicated_kt: defaultdict[str, array[float]] = defaultdict(lambda: array("d"))

    def add(self, body: Mapping[str, Any]) -> None:
        """Take in one state."""
        aircraft = body.get("aircraft", OWN)
        columns = self._rows.get(aircraft)
        if columns is None:
            columns = self._rows[aircraft] = {name: array("d") for name in NAMES}
        for name, column in columns.items():
            value = body.get(name)
            column.append(float("nan") if value is None else value)
        self._winds[aircraft].add(body)
        self._indicated_kt[aircraft].append(worked_out_kt(body))

    def set_plan(self, aircraft: str, plan: ResolvedPlan) -> None:
        """Take in the plan that an aircraft has from here on."""
        self._winds[aircraft].set_plan(plan)

    def tracks(self, *, runways: RunwayTable | None = None, plan: ResolvedPlan | None = None) -> dict[str, Track]:
        """Return the tracks, checked and completed, those without any position left out.

        plan: that of every aircraft until its own. Runways and plans are for what has to be worked out.
        """
        runways, plan = runways or RunwayTable(), plan or ResolvedPlan(plan=Plan())
        made = {
            aircraft: complete(
                columns,
                worked_out={
                    INDICATED: self._indicated_kt[aircraft],
                    **self._winds[aircraft].columns(runways=runways, plan=plan),
                },
            )
            for aircraft, columns in self._rows.items()
        }
        return {aircraft: track for aircraft, track in made.items() if len(track) > 1}


def complete(columns: Mapping[str, Iterable[float]], *, worked_out: Mapping[str, Iterable[float]] = EMPTY) -> Track:
    """Return the track of raw columns: out of bounds is missing, rows without time or place go, the rest is made.

    worked_out: columns of as many rows, each for one that nobody reported.
    """
    checked = {name: _checked(name, np.asarray(column, dtype=np.float64)) for name, column in columns.items()}
    here = np.isfinite(checked["time_s"]) & np.isfinite(checked["latitude_deg"]) & np.isfinite(checked["longitude_deg"])
    kept = {name: column[here] for name, column in checked.items()}
    altitude_from = next((name for name in ALTITUDES if np.isfinite(kept[name]).any()), "altitude_ft")
    kept["altitude_ft"] = kept[altitude_from]
    made = {name: np.asarray(column, dtype=np.float64)[here] for name, column in worked_out.items()}
    computed = set()
    if np.count_nonzero(here) > 1:
        for name, column in (_from_positions(kept) | made).items():
            if not np.isfinite(kept[name]).any() and np.isfinite(column).any():
                kept[name] = column
                computed.add(name)
    return Track(columns=kept, computed=frozenset(computed), altitude_from=altitude_from)


def earth_centred_all_m(*, latitude_deg: Array, longitude_deg: Array, height_m: Array) -> Array:
    """Return earth-centred x, y, z of positions, one row each: earth.earth_centred_m for columns."""
    latitude, longitude = np.radians(latitude_deg), np.radians(longitude_deg)
    sin_latitude, cos_latitude = np.sin(latitude), np.cos(latitude)
    radius = WGS84_A_M / np.sqrt(1.0 - WGS84_E2 * sin_latitude * sin_latitude)
    across = (radius + height_m) * cos_latitude
    up = (radius * (1.0 - WGS84_E2) + height_m) * sin_latitude
    return np.stack([across * np.cos(longitude), across * np.sin(longitude), up], axis=1)


def _checked(name: str, column: Array) -> Array:
    low, high = BOUNDS.get(name, (0.0, 1.0))
    with np.errstate(invalid="ignore"):
        return np.where((column >= low) & (column <= high), column, np.nan)


def _from_positions(columns: Mapping[str, Array]) -> dict[str, Array]:
    """Work out speed, track and vertical speed between the rows two before and two after, which calms noise."""
    time_s, latitude, longitude = columns["time_s"], columns["latitude_deg"], columns["longitude_deg"]
    place_m = earth_centred_all_m(latitude_deg=latitude, longitude_deg=longitude, height_m=np.zeros_like(latitude))
    rows = np.arange(len(time_s))
    before, after = np.maximum(rows - 2, 0), np.minimum(rows + 2, len(time_s) - 1)
    elapsed_s = time_s[after] - time_s[before]
    moved_m = place_m[after] - place_m[before]
    lat, lon = np.radians(latitude), np.radians(longitude)
    east = -np.sin(lon) * moved_m[:, 0] + np.cos(lon) * moved_m[:, 1]
    north = -np.sin(lat) * (np.cos(lon) * moved_m[:, 0] + np.sin(lon) * moved_m[:, 1]) + np.cos(lat) * moved_m[:, 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        usable = (elapsed_s > 0.0) & (elapsed_s < GAP_S)
        speed = np.where(usable, np.hypot(east, north) / elapsed_s * KT_PER_MPS, np.nan)
        climb = np.where(usable, (columns["altitude_ft"][after] - columns["altitude_ft"][before]) / elapsed_s, np.nan)
    return {
        "groundspeed_kt": speed,
        "track_true_deg": np.where(speed > 1.0, np.degrees(np.arctan2(east, north)) % 360.0, np.nan),
        "vertical_speed_fpm": climb * 60.0,
    }


def _jumps(columns: Mapping[str, Array]) -> NDArray[np.bool_]:
    """Say, between each row and the next, whether time or place jumped."""
    elapsed_s = np.diff(columns["time_s"])
    place_m = earth_centred_all_m(
        latitude_deg=columns["latitude_deg"],
        longitude_deg=columns["longitude_deg"],
        height_m=np.zeros_like(columns["latitude_deg"]),
    )
    moved_m = np.linalg.norm(np.diff(place_m, axis=0), axis=1)
    too_far = moved_m > LEAP_M + np.maximum(elapsed_s, 0.0) * LEAP_MPS
    jumped: NDArray[np.bool_] = (elapsed_s > GAP_S) | (elapsed_s < -BACK_S) | too_far
    return jumped


def height_m_of(track: Track) -> Array:
    """Return altitudes in metres, 0 where not known."""
    return np.nan_to_num(track["altitude_ft"] / FT_PER_M)
