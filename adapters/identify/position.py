"""Which columns are latitude and longitude: those whose movement is what the other columns say.

Every pair of columns, in every unit that keeps it on the globe and its speed below FASTEST_MPS, gives a velocity
over the ground. It is the position when that velocity has the direction of a heading or track column through a
turn, or its north and east parts are columns, and when its size is a speed column in a known unit. Metres to a
degree by the radii of curvature of WGS-84.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from otherseat.adapters.derive import metres_per_degree
from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import Reading, angles, closest, in_degrees, speeds
from otherseat.adapters.identify.signals import Array, Complex, Windows, through_origin, turned

FASTEST_MPS = 700.0
SLOWEST_MPS = 3.0
LEAST_TURN_RAD = np.radians(45.0)
SPEED_MISFIT = 0.03
UNIT_TOLERANCE = 0.02
ALONG = 0.93
"""A direction column points along the movement when the mean of the cosine of the difference is above this."""
MOST_OFFSET_RAD = np.radians(45.0)
"""Of a direction column against the movement: magnetic variation and drift together."""
MOST_CANDIDATES = 60


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


def axes(columns: Sequence[Column], windows: Windows, limit_deg: float) -> Iterator[Axis]:
    """Yield every column and unit that stays on the globe and moves as slowly as an aircraft does."""
    for column in columns:
        readings = [*angles(column), Reading("ddmm"), *([Reading("ddmm", 1e-4)] if column.whole else [])]
        for reading in readings:
            degrees = in_degrees(column, reading)
            if np.abs(degrees).max() > limit_deg or np.ptp(degrees) == 0.0:
                continue
            rate = windows.slope(degrees)
            fastest = np.abs(rate).max() * 111_000.0
            if SLOWEST_MPS * 0.3 < fastest < FASTEST_MPS * 60.0:
                yield Axis(column, reading, degrees, rate)


def bearings(columns: Sequence[Column], windows: Windows) -> list[Bearing]:
    """Return every column and unit that may be a direction: it covers part of a circle, and at no wild rate."""
    found = []
    for column in columns:
        for reading in angles(column):
            radians = np.radians(in_degrees(column, reading))
            if radians.min() < -np.pi - 0.02 or radians.max() > 2.0 * np.pi + 0.02:
                continue
            steps = np.abs(np.diff(np.unwrap(radians)))
            if turned(radians) < 0.5 * LEAST_TURN_RAD or np.quantile(steps, 0.98) > 0.2:  # noqa: PLR2004 - rad a sample
                continue
            found.append(Bearing(column, reading, windows.mean(np.exp(1j * radians))))
    return found


class Search:
    """Looks for the pair of columns that is the position."""

    def __init__(self, columns: Sequence[Column], windows: Windows) -> None:
        self.columns = columns
        self.windows = windows
        self.bearings = bearings(columns, windows)
        self.means: Array = windows.mean(np.array([column.values for column in columns]).T)
        self._vectors = np.array([b.unit_vectors / np.abs(b.unit_vectors).clip(1e-9) for b in self.bearings])

    def best(self) -> Position | None:
        """Return the pair with the best support; None when no pair has any."""
        found = [p for p in self._pairs() if p.score > 0.0]
        if not found:
            return None
        return max(found, key=lambda position: position.score)

    def _pairs(self) -> Iterator[Position]:
        """Yield every pair that moves like an aircraft, with its score."""
        latitudes = list(axes(self.columns, self.windows, 90.0))[: MOST_CANDIDATES * 4]
        longitudes = list(axes(self.columns, self.windows, 360.0))[: MOST_CANDIDATES * 4]
        inside = self.windows.inside
        for latitude in latitudes:
            north, east = metres_per_degree_at(latitude.degrees[inside])
            northward = latitude.rate * north
            if np.abs(northward).max() > FASTEST_MPS:
                continue
            for longitude in longitudes:
                if longitude.column is latitude.column or overlap(longitude.column, latitude.column):
                    continue
                velocity = northward + 1j * longitude.rate * east
                speed = np.abs(velocity)
                if not SLOWEST_MPS < np.median(speed) < FASTEST_MPS or speed.max() > FASTEST_MPS * 1.5:
                    continue
                yield self._judged(Position(latitude, longitude, velocity))

    def _judged(self, position: Position) -> Position:
        """Give the pair its score: how many columns move as it says, and how well."""
        direction = self._direction(position)
        parts = self._parts(position)
        speed = self._speed(position)
        if not direction and not parts:
            return position
        position.score = direction + parts + speed if speed or parts else 0.0
        position.score += precision(position.latitude) + precision(position.longitude)
        return position

    def _direction(self, position: Position) -> float:
        """Return how well the best direction column follows the movement, 0 when none does or there is no turn."""
        velocity = position.velocity
        if not self.bearings or turned(np.angle(velocity)) < LEAST_TURN_RAD:
            return 0.0
        along = (np.conj(self._vectors) @ (velocity / np.abs(velocity).clip(1e-9))) / len(velocity)
        own = [
            overlap(b.column, position.latitude.column) or overlap(b.column, position.longitude.column)
            for b in self.bearings
        ]
        fits = ~np.array(own) & (np.abs(along) > ALONG) & (np.abs(np.angle(along)) < MOST_OFFSET_RAD)
        if not fits.any():
            return 0.0
        size = np.where(fits, np.abs(along), 0.0)
        position.reasons.append(f"moves along {self.bearings[int(size.argmax())].column.label()}")
        return float(size.max())

    def _speed(self, position: Position) -> float:
        """Return 1 less the misfit of the best speed column in a known unit, 0 when there is none."""
        speed = position.speed
        power = (self.means**2).sum(axis=0)
        factors = (self.means.T @ speed) / np.maximum(power, 1e-300)
        misfits = np.sqrt(np.maximum(0.0, (speed @ speed) - factors**2 * power) / (speed @ speed))
        for index in np.argsort(misfits)[:12]:
            column = self.columns[index]
            if misfits[index] > SPEED_MISFIT:
                break
            reading = closest(float(factors[index]), speeds(column), UNIT_TOLERANCE)
            if reading and not overlap(column, position.latitude.column):
                position.reasons.append(f"as fast as {column.label()} says in {reading.unit}")
                return 1.0 - 5.0 * float(misfits[index])
        return 0.0

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
        position.reasons.append(f"its parts are {found[0][1].label()} and {found[1][1].label()}")
        return 1.0 - float(found[0][0] + found[1][0])


def metres_per_degree_at(latitude_deg: Array) -> tuple[float, float]:
    """Return metres to a degree north and east in the middle of the flight."""
    return metres_per_degree(float(np.mean(latitude_deg)))


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
