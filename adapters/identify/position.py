"""Which columns are latitude and longitude: those whose movement is what the other columns say.

Every pair of columns, in every unit that keeps it on the globe and its speed below FASTEST_MPS, gives a velocity
over the ground. It is the position when that velocity has the direction of a heading or track column through a
turn, or its north and east parts are columns, and when its size is a speed column in a known unit. Metres to a
degree by the radii of curvature of WGS-84.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from otherseat.adapters.derive import metres_per_degree
from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import Reading, angles, closest, fine_angles, in_degrees, speeds
from otherseat.adapters.identify.signals import Array, Complex, Windows, through_origin, turned

FASTEST_MPS = 700.0
SLOWEST_MPS = 3.0
STANDS_MPS = 1.5
"""Slower than this a movement has no direction."""
LEAST_MOVING = 0.3
"""Of the samples."""
LEAST_TURN_RAD = np.radians(45.0)
METRES_PER_DEGREE = 111_000.0
WILDEST_MPS2 = 15.0
"""Of a position's own acceleration, averaged over the window: a turn of more than one g."""
NEAR_POLE = 6.0
"""Longitudes within 80 deg of the equator."""
THINNED = 120
BEST_PAIRS = 300
SPEED_MISFIT = 0.03
UNIT_TOLERANCE = 0.02
FASTEST_TURN = 1.0
"""Radians a second of a direction, most of the time."""
ALONG = 0.93
"""A direction column points along the movement when the mean of the cosine of the difference is above this."""
MOST_OFFSET_RAD = np.radians(45.0)
"""Of a direction column against the movement: magnetic variation and drift together."""

ALONG_REASON, SPEED_REASON, PARTS_REASON = "moves along", "as fast as", "its parts"


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """One column as latitude or longitude."""

    column: Column
    reading: Reading
    degrees: Array
    rate: Array
    """Degrees per second."""


@dataclass(frozen=True, slots=True, eq=False)
class Bearing:
    """One column as a direction, clockwise from north."""

    column: Column
    reading: Reading
    unit_vectors: Complex
    """cos + i sin: the real part is north, the imaginary part east."""


@dataclass(slots=True, eq=False)
class Position:
    """The pair that was found, with the velocity that follows from it."""

    latitude: Axis
    longitude: Axis
    velocity: Complex
    """Metres per second; the real part is north, the imaginary part east."""
    reasons: list[str] = field(default_factory=list)
    score: float = 0.0

    @property
    def speed(self) -> Array:
        """Return the speed over the ground in metres per second."""
        return np.abs(self.velocity)


def axes(columns: Sequence[Column], windows: Windows, limit_deg: float, slack: float) -> list[Axis]:
    """Return every column and unit that stays on the globe and moves no faster and no wilder than an aircraft.

    slack is how much more metres it may cover, taken at 111 km a degree: longitudes lie closer away from the equator.
    """
    found = []
    step_s = float(np.median(np.diff(windows.times_s[windows.inside])))
    for column in columns:
        slope = windows.slope(column.values)
        for reading in fine_angles(column):
            degrees = in_degrees(column, reading)
            if np.abs(degrees).max() > limit_deg or np.ptp(degrees) == 0.0:
                continue
            rate = windows.slope(degrees) if reading.unit == "ddmm" else slope * reading.factor()
            mps = rate * METRES_PER_DEGREE
            if not SLOWEST_MPS * 0.3 < np.abs(mps).max() < FASTEST_MPS * slack:
                continue
            if np.quantile(np.abs(np.diff(mps)), 0.98) < WILDEST_MPS2 * slack * step_s:
                found.append(Axis(column, reading, degrees, rate))
    return found


def by_form(found: Sequence[Axis]) -> dict[tuple[object, ...], list[Axis]]:
    """Return the axes by message, type and unit: latitude and longitude are sent alike."""
    forms: dict[tuple[object, ...], list[Axis]] = defaultdict(list)
    for axis in found:
        forms[axis.column.message, axis.column.place.get("type"), axis.column.order, axis.reading].append(axis)
    return forms


def bearings(columns: Sequence[Column], windows: Windows) -> list[Bearing]:
    """Return every column and unit that may be a direction: it covers part of a circle, and at no wild rate."""
    found = []
    step_s = float(np.median(np.diff(windows.times_s)))
    for column in columns:
        for reading in angles(column):
            radians = np.radians(in_degrees(column, reading))
            if radians.min() < -np.pi - 0.02 or radians.max() > 2.0 * np.pi + 0.02:
                continue
            path = np.unwrap(radians)
            if np.ptp(path) < 0.5 * LEAST_TURN_RAD or np.quantile(np.abs(np.diff(path)), 0.98) > FASTEST_TURN * step_s:
                continue
            found.append(Bearing(column, reading, windows.mean(np.exp(1j * radians))))
    return found


class Search:
    """Looks for the pair of columns that is the position."""

    def __init__(self, columns: Sequence[Column], windows: Windows) -> None:
        self.columns = columns
        self.windows = windows
        self.bearings = bearings(columns, windows)
        self.moved_along: Position | None = None
        """When there is no position: the pair that goes best with a direction column, through a turn."""
        self.means: Array = windows.mean(np.array([column.values for column in columns]).T)
        self._vectors = np.array([b.unit_vectors / np.abs(b.unit_vectors).clip(1e-9) for b in self.bearings])

    def best(self) -> Position | None:
        """Return the pair with the best support; None when no pair has any."""
        latitudes = by_form(axes(self.columns, self.windows, 90.0, 1.0))
        longitudes = by_form(axes(self.columns, self.windows, 360.0, NEAR_POLE))
        looks = [
            look
            for form in latitudes.keys() & longitudes.keys()
            for look in self._first_look(latitudes[form], longitudes[form])
        ]
        ranked = sorted(looks, key=lambda item: -item[0])[:BEST_PAIRS]
        found = [self._judged(Position(lat, lon, self._velocity(lat, lon))) for _, lat, lon in ranked]
        self.moved_along = next((p for p in found if any(r.startswith(ALONG_REASON) for r in p.reasons)), None)
        return max((p for p in found if p.score > 0.0), key=lambda position: position.score, default=None)

    def _velocity(self, latitude: Axis, longitude: Axis) -> Complex:
        """Return the velocity of a pair."""
        north, east = metres_per_degree(float(np.mean(latitude.degrees)))
        result: Complex = latitude.rate * north + 1j * longitude.rate * east
        return result

    def _first_look(self, latitudes: Sequence[Axis], longitudes: Sequence[Axis]) -> Iterator[tuple[float, Axis, Axis]]:
        """Yield the pairs that some direction column or two component columns follow, judged on few samples."""
        thin = slice(None, None, max(1, len(self.windows.inside) // THINNED))
        rates = np.array([axis.rate[thin] for axis in longitudes])
        vectors = np.conj(self._vectors[:, thin]) if self.bearings else np.zeros((0, rates.shape[1]))
        like_north = self._like_a_column([axis.rate for axis in latitudes])
        like_east = self._like_a_column([axis.rate for axis in longitudes])
        for row, latitude in enumerate(latitudes):
            north, east = metres_per_degree(float(np.mean(latitude.degrees)))
            velocities = latitude.rate[thin] * north + 1j * rates * east
            speed = np.abs(velocities)
            median, fastest = np.median(speed, axis=1), speed.max(axis=1)
            flies = (median > SLOWEST_MPS) & (median < FASTEST_MPS) & (fastest < FASTEST_MPS * 1.5)
            moves = speed > STANDS_MPS
            units = np.where(moves, velocities / speed.clip(1e-9), 0.0)
            count = np.maximum(moves.sum(axis=1), LEAST_MOVING * units.shape[1])
            along = np.abs(vectors @ units.T).max(axis=0) / count if len(vectors) else np.zeros(len(longitudes))
            score = np.where(along > ALONG, along, 0.0) + np.where(like_north[row], like_east, 0.0)
            for column in np.flatnonzero(flies & (score > 0.0)):
                if not overlap(latitude.column, longitudes[column].column):
                    yield float(score[column]), latitude, longitudes[column]

    def _like_a_column(self, rates: Sequence[Array]) -> Array:
        """Return for each rate 1 when a column is proportional to it, else 0."""
        table = np.array(rates)
        table /= np.sqrt((table**2).sum(axis=1, keepdims=True)).clip(1e-300)
        means = self.means / np.sqrt((self.means**2).sum(axis=0)).clip(1e-300)
        likeness = np.abs(table @ means).max(axis=1)
        return np.asarray(likeness > np.sqrt(1.0 - (2 * SPEED_MISFIT) ** 2), dtype=float)

    def _judged(self, position: Position) -> Position:
        """Give the pair its score: how many columns move as it says, and how well."""
        direction = self._direction(position)
        parts = self._parts(position)
        speed = self._speed(position)
        if parts or (direction and speed):
            position.score = direction + parts + speed + precision(position.latitude) + precision(position.longitude)
        return position

    def _direction(self, position: Position) -> float:
        """Return how well the best direction column follows the movement, 0 when none does or there is no turn."""
        moves = position.speed > STANDS_MPS
        velocity = position.velocity[moves]
        too_few = len(velocity) < LEAST_MOVING * len(moves)
        if not self.bearings or too_few or turned(np.angle(velocity)) < LEAST_TURN_RAD:
            return 0.0
        along = (np.conj(self._vectors[:, moves]) @ (velocity / np.abs(velocity).clip(1e-9))) / len(velocity)
        own = [
            overlap(b.column, position.latitude.column) or overlap(b.column, position.longitude.column)
            for b in self.bearings
        ]
        fits = ~np.array(own) & (np.abs(along) > ALONG) & (np.abs(np.angle(along)) < MOST_OFFSET_RAD)
        if not fits.any():
            return 0.0
        size = np.where(fits, np.abs(along), 0.0)
        position.reasons.append(f"{ALONG_REASON} {self.bearings[int(size.argmax())].column.label()}")
        return float(size.max())

    def _speed(self, position: Position) -> float:
        """Return 1 less the misfit of the best speed column in a known unit, 0 when there is none."""
        speed = position.speed
        power = (self.means**2).sum(axis=0)
        factors = (self.means.T @ speed) / np.maximum(power, 1e-300)
        misfits = np.sqrt(np.maximum(0.0, (speed @ speed) - factors**2 * power) / (speed @ speed))
        best: tuple[float, str] | None = None
        for index in np.argsort(misfits)[:12]:
            column = self.columns[index]
            if misfits[index] > SPEED_MISFIT:
                break
            reading = closest(float(factors[index]), speeds(column), UNIT_TOLERANCE)
            if reading and not overlap(column, position.latitude.column):
                error = float(np.hypot(misfits[index], factors[index] / reading.factor() - 1.0))
                if best is None or error < best[0]:
                    best = (error, f"{SPEED_REASON} {column.label()} says in {reading.unit}")
        if best is None:
            return 0.0
        position.reasons.append(best[1])
        return 1.0 - 5.0 * best[0]

    def _parts(self, position: Position) -> float:
        """Return 1 less the misfit when the north and the east parts of the movement are both columns."""
        found = []
        for target in (position.velocity.real, position.velocity.imag):
            fits = [(through_origin(target, self.means[:, i]), column) for i, column in enumerate(self.columns)]
            good = [
                (misfit, column)
                for (factor, misfit), column in fits
                if misfit < SPEED_MISFIT * 2 and closest(abs(factor), speeds(column), UNIT_TOLERANCE)
            ]
            if not good:
                return 0.0
            found.append(min(good, key=lambda item: item[0]))
        if found[0][1] is found[1][1] or np.std(position.velocity.imag) < 1.0:
            return 0.0
        position.reasons.append(f"{PARTS_REASON} are {found[0][1].label()} and {found[1][1].label()}")
        return 1.0 - float(found[0][0] + found[1][0])


def overlap(one: Column, other: Column) -> bool:
    """Say whether two columns are one, or share bytes."""
    if one is other:
        return True
    if one.message != other.message:
        return False
    first, second = one.span(), other.span()
    return bool(first and second and first.start < second.stop and second.start < first.stop)


def precision(axis: Axis) -> float:
    """Return a little for a column whose steps are fine, to choose between two readings of the same bytes."""
    steps = np.abs(np.diff(axis.degrees))
    smallest = steps[steps > 0].min() if (steps > 0).any() else 1.0
    return float(np.clip(-np.log10(smallest * 111_000.0), -2.0, 3.0)) * 0.003
