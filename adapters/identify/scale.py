"""Feet or metres: what settles the scale of a column that is known to be a height.

The slope of a height in metres is a vertical speed in metres a second, that of one in feet is one in feet a second:
the two look alike, and a height that is wrong by 3.28 can hurt. Each law here measures metres a step by something of
known size, and votes for the one reading that fits it. No vote, or two that differ: it can't be told.

pitch        pitch = climb angle + angle of attack; the latter goes with 1 / speed squared (lift is weight) and lies
             between -6 and 14 deg in level flight; in a descent the nose is near the horizon, as no engine's number is
climb angle  slope = speed * sin(climb angle), when a column is that angle itself
pressure     d ln(p) / dz = -g / (R T), and p near the standard atmosphere's at that height in some unit (ICAO Doc 7488)
airspeeds    true over indicated is that of the densities; in whatever unit of speed
airfield     standing or taxiing there, the height is the airfield's elevation
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from otherseat.adapters.identify.air import AirStudy, density_ratio
from otherseat.adapters.identify.columns import Column, has_decimals
from otherseat.adapters.identify.guesses import Reading, angles
from otherseat.adapters.identify.position import Position, Search, overlap
from otherseat.adapters.identify.signals import Array, correlation, through_origin

GroundElevation = Callable[[float, float], float | None]
"""(latitude, longitude) in degrees to the elevation in metres of the airfield there; None away from any."""

SAME_SCALE = 0.3
"""e-folds between the scale measured and that of a reading; feet and metres lie 1.19 apart."""
PITCH_SCALE = 0.45
"""Likewise for pitch: the angle of attack goes a little with the climb too."""
CLEARLY = 1.5
"""So much worse must a climb angle fit as a vertical speed; the slope itself is known to some 2%."""
PITCH_SHARE = 0.8
"""Of what the speed leaves unexplained of the pitch, so much is the climb angle."""
STEEPEST_RAD = 0.6
LEAST_PITCH_RAD = 0.03
LEVEL_RAD = (np.radians(-6.0), np.radians(14.0))
NOSE_LOW_RAD = np.radians(1.0)
NOSE_LOW_SHARE = 0.15
"""Pitch comes near the horizon in a descent; throttle, revolutions and fuel flow go with the climb just as well, and
stay well above zero. Whole numbers may be in any decade, so they must go below zero."""
LEVEL_SHARE = 0.2
"""Of its usual size: a vertical speed is less in level flight, where pitch is some degrees up."""
TRIED = 6
"""Columns that go best with the climb angle."""
LEAST_SPAN_M = 60.0
PRESSURE_FALL_PER_M = 1.0 / 7_900.0
"""g / (R T) at 270 K; within a fifth from 216 to 320 K."""
PRESSURE_UNITS = (1.0, 33.8639, 0.478803, 0.01, 10.0)
"""hPa in one hPa, inHg, psf, Pa, kPa."""
PRESSURE_OFF = 0.05
RATIO_OFF = 0.04
"""Of true over indicated airspeed: 20 C off standard, or as much pressure."""
RATIO_NOT = 0.15
"""So far off must every other reading be, in every unit of speed: an instrument may be wrong by a tenth when slow."""
WIND_KNOWN_RAD = np.radians(90.0)
"""Of turning: by less the wind is not known well enough to tell a true airspeed from one that is a few percent less."""
TAXI_MPS = 10.0
STOOD_SAMPLES = 10
ON_THE_GROUND_M = 10.0
NOT_THERE_M = 90.0
"""So far off must the other reading be: more than an altimeter that nobody set."""


class Vote(NamedTuple):
    """One law's choice among the readings."""

    reading: Reading
    words: str
    names: bool = True
    """It also says that the column is a height at all, and not only in which unit if it is one."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """Where the stream stood or taxied, and how high that is."""

    position: Position
    slow: NDArray[np.int64]
    """Samples of the study's grid."""
    known: GroundElevation

    @classmethod
    def of(cls, search: Search, position: Position, known: GroundElevation | None) -> "Ground | None":
        """Return where it stood; None when it hardly did, or no airfield is known."""
        slow = search.windows.inside[position.speed < TAXI_MPS]
        return None if known is None or len(slow) < STOOD_SAMPLES else cls(position, slow, known)

    def elevation_m(self) -> float | None:
        """Return the elevation of the airfield there, None away from any."""
        latitude = float(np.median(self.position.latitude.degrees[self.slow]))
        longitude = float(np.median(self.position.longitude.degrees[self.slow]))
        return self.known(latitude, (longitude + 180.0) % 360.0 - 180.0)


class Judge:
    """Settles heights of one stream by all laws that it has numbers for."""

    def __init__(self, search: Search, air: AirStudy, ground: Ground | None = None) -> None:
        self.search = search
        self.air = air
        self.ground = ground
        self.rates: Sequence[Column] = ()
        """Vertical speeds: no bytes of theirs are evidence."""
        self.decimals_only = False
        """Bytes read as whole numbers are no evidence: of all their scales one fits by chance."""
        self._votes: dict[tuple[int, tuple[Reading, ...]], list[Vote]] = {}

    def votes(self, height: Column, readings: Sequence[Reading]) -> list[Vote]:
        """Return every law's vote on a column that may have these readings."""
        key = (id(height), tuple(readings))
        if key not in self._votes:
            raw = self.search.windows.mean(height.values)
            rate = self.search.windows.slope(height.values)
            cast = (
                self._pitch(height, rate, readings),
                self._climb_angle(height, rate, readings),
                self._pressure(height, raw, readings),
                self._airspeeds(raw, readings),
                self._airfield(height, readings),
            )
            self._votes[key] = [vote for vote in cast if vote]
        return self._votes[key]

    def settled(self, height: Column, readings: Sequence[Reading]) -> Vote | None:
        """Return the reading that every law which has a vote chose; None when there is no vote, or they differ."""
        votes = self.votes(height, readings)
        if not votes or len({vote.reading for vote in votes}) > 1:
            return None
        return Vote(votes[0].reading, "; ".join(vote.words for vote in votes))

    def known(self, column: Column, readings: Sequence[Reading]) -> Vote | None:
        """Return the vote that is settled, when a law in it says that the column is a height at all."""
        return self.settled(column, readings) if any(vote.names for vote in self.votes(column, readings)) else None

    def _others(self, height: Column) -> Iterable[tuple[int, Column]]:
        """Yield the columns that nothing has claimed and that are neither the height itself nor a vertical speed."""
        for index, column in enumerate(self.search.columns):
            if self.decimals_only and not has_decimals(column):
                continue
            if not self.air.taken(column) and not any(overlap(column, each) for each in (height, *self.rates)):
                yield index, column

    def _pitch(self, height: Column, rate: Array, readings: Sequence[Reading]) -> Vote | None:
        speed = np.maximum(self.air.position.speed, 1.0)
        likeness = [
            (abs(correlation(self.search.means[:, index], rate / speed)), index, column)
            for index, column in self._others(height)
        ]
        chosen: dict[Reading, Column] = {}
        for _, index, column in sorted(likeness, key=lambda item: -item[0])[:TRIED]:
            if any(overlap(column, each) for each in chosen.values()):
                continue  # the same bytes, read in another way
            nose_low_rad = -1e-9 if column.whole else NOSE_LOW_RAD
            every = (
                self._by_pitch(
                    np.radians(self.search.means[:, index] * unit.factor()), rate, readings, nose_low_rad=nose_low_rad
                )
                for unit in angles(column)
                if unit.unit in {"deg", "rad"}
            )
            found = {reading for reading in every if reading is not None}
            if len(found) == 1:
                chosen.setdefault(found.pop(), column)
        if len(chosen) != 1:
            return None
        (reading, column), *_ = chosen.items()
        return Vote(reading, f"{column.label()} goes with the climb angle as pitch does")

    def _by_pitch(
        self, pitch_rad: Array, rate: Array, readings: Sequence[Reading], *, nose_low_rad: float
    ) -> Reading | None:
        """Return the reading of the height by which the climb angle is part of this pitch."""
        if np.abs(pitch_rad).max() > STEEPEST_RAD or np.ptp(pitch_rad) < LEAST_PITCH_RAD:
            return None
        if pitch_rad.min() > min(nose_low_rad, NOSE_LOW_SHARE * pitch_rad.max()):
            return None
        if is_rate(pitch_rad, rate):
            return None
        speed = np.maximum(self.air.position.speed, 10.0)
        without = np.stack([np.ones_like(rate), 1e3 / speed**2], axis=1)
        table = np.column_stack([rate / speed, without])
        left, scale = unexplained(without, pitch_rad)[0], float(unexplained(table, pitch_rad)[1][0])
        level_rad = float(np.median(pitch_rad - scale * rate / speed))
        if unexplained(table, pitch_rad)[0] > (1.0 - PITCH_SHARE) * left or not LEVEL_RAD[0] < level_rad < LEVEL_RAD[1]:
            return None
        return nearest(scale, readings, within=PITCH_SCALE)

    def _climb_angle(self, height: Column, rate: Array, readings: Sequence[Reading]) -> Vote | None:
        for index, column in self._others(height):
            mean = self.search.means[:, index]
            for unit in ("deg", "rad"):
                angle = np.radians(mean * Reading(unit).factor())
                if np.ptp(angle) < LEAST_PITCH_RAD or np.abs(angle).max() > STEEPEST_RAD:
                    continue
                factor, misfit = through_origin(self.air.position.speed * np.sin(angle), rate)
                reading = nearest(factor, readings, within=0.03)
                as_rate = through_origin(mean, rate)[1]
                if reading and misfit < min(0.05, as_rate / CLEARLY):
                    return Vote(reading, f"{column.label()} is the climb angle")
        return None

    def _pressure(self, height: Column, raw: Array, readings: Sequence[Reading]) -> Vote | None:
        times_s = self.search.windows.times_s[self.search.windows.inside]
        if np.ptp(raw) * max(r.factor() for r in readings) < LEAST_SPAN_M or abs(correlation(raw, times_s)) > 0.95:  # noqa: PLR2004 - up and down again: else whatever runs with time would do
            return None
        for index, column in self._others(height):
            mean = self.search.means[:, index]
            if mean.min() <= 0.0 or correlation(mean, raw) > -0.995:  # noqa: PLR2004
                continue
            fall = -float(np.polyfit(raw, np.log(mean), 1)[0])
            reading = nearest(fall / PRESSURE_FALL_PER_M, readings)
            if reading and any(
                np.abs(mean * unit / standard_hpa(raw * reading.factor()) - 1.0).max() < PRESSURE_OFF
                for unit in PRESSURE_UNITS
            ):
                return Vote(reading, f"{column.label()} falls with height as pressure does")
        return None

    def _airspeeds(self, raw: Array, readings: Sequence[Reading]) -> Vote | None:
        if self.air.turn < WIND_KNOWN_RAD:
            return None
        for fit in self.air.airspeed_fits()[:1]:
            excesses = self.air.excesses(fit)
            if fit.speed.whole or any(abs(excess - 1.0) < RATIO_OFF for excess in excesses):
                continue  # in too many scales, or as well a true airspeed, which says nothing of the height
            misses = {
                reading: min(abs(excess / expected(raw * reading.factor()) - 1.0) for excess in excesses)
                for reading in readings
            }
            best = min(readings, key=lambda reading: misses[reading])
            if misses[best] < RATIO_OFF and all(misses[each] > RATIO_NOT for each in readings if each != best):
                return Vote(
                    best, f"{fit.speed.label()} is as much less than the true airspeed as at this height", False
                )
        return None

    def _airfield(self, height: Column, readings: Sequence[Reading]) -> Vote | None:
        """Vote by where it stood: the reading at the elevation there, when every other is far off."""
        elevation_m = self.ground.elevation_m() if self.ground and len(readings) > 1 else None
        if self.ground is None or elevation_m is None:
            return None
        stood = float(np.median(height.values[self.ground.slow]))
        off_m = {reading: abs(stood * reading.factor() - elevation_m) for reading in readings}
        best = min(readings, key=lambda reading: off_m[reading])
        if off_m[best] > ON_THE_GROUND_M or any(off_m[each] < NOT_THERE_M for each in readings if each != best):
            return None
        return Vote(best, f"on the ground it is the airfield's elevation, {elevation_m:.0f} m")


def nearest(scale: float, readings: Sequence[Reading], *, within: float = SAME_SCALE) -> Reading | None:
    """Return the reading whose metres a step are those measured, within so many e-folds."""
    if scale <= 0.0:
        return None
    best = min(readings, key=lambda reading: abs(np.log(reading.factor() / scale)))
    return best if abs(np.log(best.factor() / scale)) < within else None


def unexplained(table: Array, wanted: Array) -> tuple[float, Array]:
    """Return what the least-squares fit leaves over (a sum of squares), and its factors."""
    factors = np.linalg.lstsq(table, wanted, rcond=None)[0]
    return float(np.sum((wanted - table @ factors) ** 2)), factors


def is_rate(column: Array, rate: Array) -> bool:
    """Say whether a column may be a vertical speed, however slow its needle: where the slope is zero it is zero too.

    How well it runs with the slope says nothing: at a steady speed the pitch does so just as well.
    """
    level = unexplained(np.stack([np.ones_like(rate), rate], axis=1), column)[1][0]
    return bool(abs(level) < LEVEL_SHARE * np.sqrt(np.mean(column**2)))


def standard_hpa(altitude_m: Array) -> Array:
    """Return the pressure of the standard atmosphere in the troposphere (ICAO Doc 7488)."""
    result: Array = 1013.25 * (1.0 - 2.25577e-5 * np.clip(altitude_m, -500.0, 11_000.0)) ** 5.25588
    return result


def expected(altitude_m: Array) -> float:
    """Return true over indicated airspeed at the middle height."""
    return float(np.median(density_ratio(altitude_m)))
