"""Which columns are groundspeed, track, heading, airspeed, bank and pitch, once the movement is known.

Groundspeed and track are the size and direction of the velocity itself. An airspeed V with a heading h satisfies
velocity = c V (cos h + i sin h) + wind, with one complex c and one wind for the whole flight: the size of c gives
the unit and tells true from indicated airspeed (their ratio is that of the densities), its angle is the magnetic
variation. Bank follows from the turn, tan(bank) = V turn rate / g, pitch from the climb angle.
"""

from dataclasses import dataclass

import numpy as np

from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import Reading, angles, closest, speeds, within
from otherseat.adapters.identify.position import Bearing, Position, Search, overlap
from otherseat.adapters.identify.signals import (
    Array,
    Complex,
    correlation,
    middle_angle,
    through_origin,
    turned,
    wrapped,
)
from otherseat.adapters.identify.verdict import Certainty, Claim, within_words

GRAVITY_MPS2 = 9.80665
SURELY = 0.005
EXACT = 0.015
"""Misfit of a column that is the size of the velocity itself."""
UNIT_TOLERANCE = 0.015
LOOSE_ANGLE = 0.5
SLIP = 0.2
"""How far slips and gusts may falsify the size of an angle."""
RARELY = 0.1
"""An angle in parts of a circle must fit better by this than one in a decimal unit."""
TRACK_RAD = np.radians(1.5)
TRUE_NORTH_RAD = np.radians(1.0)
AIR_MISFIT = 0.05
TELLS = 0.7
"""By this factor an airspeed must fit better than a constant; else it is as well a temperature in kelvin."""
NORTH_SHARE = 0.002
"""Of readings of the same bytes that fit alike, the one that is turned less is better: a number of sixteen bits without
a sign, read with one, is a direction turned by 15 degrees past the half of them."""
FULL_TURN_RAD = np.radians(60.0)
WIND_SHARE = 0.03
"""A wind of less than this share of the speed does not tell ground from air."""


NOT_KEPT = "it changes with the place, so the layout has none; `otherseat fly` has its own for where you are"

SpeedFit = tuple[float, Column, Reading]
"""How far off, which column, in which unit."""


@dataclass(frozen=True, slots=True, eq=False)
class AirFit:
    """One airspeed column with one heading column."""

    speed: Column
    heading: Bearing
    factor: complex
    wind: complex
    misfit: float
    steady: float
    """The misfit of an airspeed that never changes, with the same heading."""

    @property
    def is_told(self) -> bool:
        """Say whether the column is known to be an airspeed: at a steady speed every number that hardly varies fits."""
        return self.misfit < TELLS * self.steady


class AirStudy:
    """Claims about speeds and directions of one found position."""

    def __init__(self, search: Search, position: Position) -> None:
        self.search = search
        self.position = position
        self.claims: list[Claim] = []
        self.cannot_tell: list[str] = []
        self.turn = turned(np.angle(position.velocity))
        self.reserved: list[Column] = []

    def reserve(self) -> None:
        """Keep the column that goes best with the speed over the ground, until it is known what it is."""
        self._air = self._fit_air()
        self.reserved = [column for _, column, _ in self.speed_fits(self.position.speed)[:1]]

    def taken(self, column: Column) -> bool:
        """Say whether a claim holds the column, or bytes of it, already."""
        own = (self.position.latitude.column, self.position.longitude.column, *self.reserved)
        return any(overlap(column, each) for each in (*own, *(claim.column for claim in self.claims)))

    def speed_fits(self, target: Array) -> list[SpeedFit]:
        """Return the columns that are proportional to a speed in a known unit, best first."""
        found = []
        for index, column in enumerate(self.search.columns):
            if self.taken(column):
                continue
            factor, misfit = through_origin(target, self.search.means[:, index])
            most = EXACT if column.whole else 2.0 * EXACT  # whole numbers have many scales, of which one fits by chance
            reading = closest(factor, speeds(column), UNIT_TOLERANCE) if misfit < most else None
            if reading:
                found.append((off(factor, reading, misfit) + coarseness(column), column, reading))
        return sorted(found, key=lambda item: item[0])

    def components(self) -> None:
        """Claim the columns that are the north and east parts of the velocity."""
        parts = {"velocity_north_kt": self.position.velocity.real, "velocity_east_kt": self.position.velocity.imag}
        claims = []
        for name, target in parts.items():
            best: Claim | None = None
            least = 3 * EXACT
            for index, column in enumerate(self.search.columns):
                if self.taken(column):
                    continue
                factor, misfit = through_origin(target, self.search.means[:, index])
                reading = closest(abs(factor), speeds(column), UNIT_TOLERANCE)
                if reading and off(factor, reading, misfit) + coarseness(column) < least:
                    least = off(factor, reading, misfit) + coarseness(column)
                    why = f"this part of the movement, {within_words(misfit)}"
                    best = Claim(
                        name, column, reading.unit, Certainty.SURE, why, reading.scale, 1 if factor > 0 else -1
                    )
            if best:
                claims.append(best)
        if len(claims) == len(parts) and self.turn > FULL_TURN_RAD:
            self.claims += claims

    def directions(self) -> None:
        """Claim track and heading."""
        movement = np.angle(self.position.velocity)
        errors = []
        for bearing in self.search.bearings:
            if self.taken(bearing.column):
                continue
            difference = wrapped(movement - np.angle(bearing.unit_vectors))
            offset = middle_angle(difference)
            spread = float(np.std(wrapped(difference - offset)))
            errors.append((spread + coarseness(bearing.column), offset, bearing))
        exact = [e for e in errors if e[0] < TRACK_RAD and abs(e[1]) < TRUE_NORTH_RAD]
        windy = self.air is not None and self._is_windy(self.air)
        if exact:
            spread, _, bearing = min(exact, key=lambda e: e[0])
            certainty = Certainty.SURE if windy and self.turn > FULL_TURN_RAD else Certainty.LIKELY
            why = f"the position moves this way, within {np.degrees(spread):.1f} deg"
            lone = not windy and not any(not overlap(e[2].column, bearing.column) for e in exact)
            self._claim_bearing("heading_true_deg" if lone else "track_true_deg", bearing, certainty, why)
            if not windy:
                self.cannot_tell.append("track or heading: there was hardly any wind; fly a turn in a steady wind")
        self._heading()

    def _heading(self) -> None:
        """Claim the heading of the air fit, true or magnetic by its angle to the movement through the air."""
        if self.air is None or self.taken(self.air.heading.column):
            return
        variation = float(np.angle(self.air.factor))
        name = "heading_true_deg" if abs(variation) < TRUE_NORTH_RAD else "heading_magnetic_deg"
        sure = self._is_windy(self.air) and self.turn > FULL_TURN_RAD and self.air.misfit < AIR_MISFIT / 2
        far = not TRUE_NORTH_RAD / 2 < abs(variation) < 2 * TRUE_NORTH_RAD
        speed = self.air.speed.label() if self.air.is_told else "a steady airspeed"
        why = f"with {speed} and a steady wind it gives the movement, {within_words(self.air.misfit)}"
        if name == "heading_magnetic_deg":
            why += f"; turned by {np.degrees(variation):+.1f} deg, the magnetic variation here: {NOT_KEPT}"
        self._claim_bearing(name, self.air.heading, Certainty.SURE if sure and far else Certainty.LIKELY, why)

    def _claim_bearing(self, name: str, bearing: Bearing, certainty: Certainty, why: str) -> None:
        self.claims.append(
            Claim(name, bearing.column, bearing.reading.unit, certainty, why, scale=bearing.reading.scale)
        )

    @property
    def air(self) -> AirFit | None:
        """Return the best fit of an airspeed and a heading, when one is good."""
        if not hasattr(self, "_air"):
            self._air = self._fit_air()
        return self._air

    def _fit_air(self) -> AirFit | None:
        """Fit every pair of a speed and a direction that are not those over the ground."""
        movement, speed = np.angle(self.position.velocity), self.position.speed
        found: list[AirFit] = []
        calm: list[AirFit] = []
        candidates = [(i, c) for i, c in enumerate(self.search.columns) if self.may_be_airspeed(i)]
        for bearing in self.search.bearings:
            off = wrapped(movement - np.angle(bearing.unit_vectors))
            if self.taken(bearing.column) or np.abs(np.mean(np.exp(1j * off))) < 0.8:  # noqa: PLR2004 - not along at all
                continue
            exact = float(np.std(off)) < TRACK_RAD / 2
            for index, column in candidates:
                if overlap(column, bearing.column):
                    continue
                factor, misfit = through_origin(speed, self.search.means[:, index])
                as_over_ground = exact and misfit < EXACT / 2
                if as_over_ground and closest(factor, speeds(column), UNIT_TOLERANCE):
                    continue
                fit = self._fit(column, index, bearing)
                if fit.misfit < AIR_MISFIT:
                    (calm if as_over_ground else found).append(fit)
        # what runs in proportion to the speed over the ground, along the track, says something only in a calm
        best = min(found or calm, key=roughness, default=None)
        if best is None or self._is_windy(best):
            return best
        # a number that runs with the speed over the ground, but not in proportion, fits along the track without a wind;
        # a heading that fits better at one airspeed and in a wind says that there is one
        windy = [fit for fit in found if self._is_windy(fit) and min(fit.misfit, fit.steady) < best.misfit]
        return min(windy, key=roughness, default=best)

    def _is_windy(self, fit: AirFit) -> bool:
        """Say whether there is a wind by this fit that tells ground from air."""
        return bool(abs(fit.wind) > WIND_SHARE * np.median(self.position.speed))

    def may_be_airspeed(self, index: int) -> bool:
        """Say whether a column is always positive, near the speed over the ground in a unit, and not taken."""
        column, mean = self.search.columns[index], self.search.means[:, index]
        if self.taken(column) or mean.min() <= 0.0:
            return False
        ratio = float(np.median(self.position.speed) / np.median(mean))
        return closest(ratio, speeds(column), 0.6) is not None and float(np.std(mean) / np.mean(mean)) < 0.5  # noqa: PLR2004 - an airspeed does not halve and double

    def _fit(self, column: Column, index: int, bearing: Bearing) -> AirFit:
        """Return the least-squares fit of velocity = factor * speed * direction + wind."""
        steady = self._through_air(bearing.unit_vectors)[2]
        return AirFit(column, bearing, *self._through_air(self.search.means[:, index] * bearing.unit_vectors), steady)

    def _through_air(self, moving: Complex) -> tuple[complex, complex, float]:
        """Return the factor of a movement through the air, the wind, and how badly the two give that over ground."""
        one = np.ones_like(moving)
        solution, *_ = np.linalg.lstsq(np.stack([moving, one], axis=1), self.position.velocity, rcond=None)
        error = self.position.velocity - solution[0] * moving - solution[1]
        misfit = float(np.sqrt(np.mean(np.abs(error) ** 2)) / np.sqrt(np.mean(self.position.speed**2)))
        return complex(solution[0]), complex(solution[1]), misfit

    def airspeed_fits(self) -> list[AirFit]:
        """Return the columns that fit as airspeed with the heading found, best first."""
        if self.air is None:
            return []
        fits = [self._fit(c, i, self.air.heading) for i, c in enumerate(self.search.columns) if self.may_be_airspeed(i)]
        near = max(2.0 * self.air.misfit, 0.02)
        good = [fit for fit in fits if fit.is_told and fit.misfit < near and not self.taken(fit.speed)]
        return sorted(good, key=lambda fit: fit.misfit + coarseness(fit.speed))

    @staticmethod
    def excesses(fit: AirFit) -> list[float]:
        """Return true airspeed over the column's, for each unit that it may be in."""
        return [abs(fit.factor) / reading.factor() for reading in speeds(fit.speed)]

    def bank(self) -> None:
        """Claim the column that is the bank of the turns: the sideways acceleration over gravity is its tangent."""
        windows = self.search.windows
        times_s = windows.times_s[windows.inside]
        velocity = self.position.velocity
        pull = smooth(np.gradient(velocity.real, times_s)) + 1j * smooth(np.gradient(velocity.imag, times_s))
        ahead = velocity if self.air is None else self.air.heading.unit_vectors * self.air.factor
        wanted = np.arctan((pull * np.conj(ahead / np.abs(ahead).clip(1e-9))).imag / GRAVITY_MPS2)
        self._claim_angle("bank_deg", wanted, least=0.9, why="the turns need this bank", clear=0.93)

    def pitch(self, climb_mps: Array | None) -> None:
        """Claim the column that goes up and down with the climb angle."""
        if climb_mps is None:
            return
        wanted = np.arcsin(np.clip(climb_mps / np.maximum(self.position.speed, 1.0), -0.7, 0.7))
        self._claim_angle("pitch_deg", wanted, least=0.8, why="it goes with the climb angle", clear=2.0)

    def _claim_angle(self, name: str, wanted: Array, *, least: float, why: str, clear: float) -> None:
        """Claim the angle column that goes best with what is wanted, by correlation and size."""
        found = []
        for index, column in enumerate(self.search.columns):
            mean = self.search.means[:, index]
            if self.taken(column) or np.ptp(mean) == 0.0 or len(column.span()) == 1:
                continue  # one byte that goes with a climb is any number's, the engine's most of all
            alike = correlation(mean, wanted)
            if abs(alike) >= least:
                found.append((abs(alike) - coarseness(column), column, float(np.polyfit(mean, wanted, 1)[0])))
        for alike, column, slope in sorted(found, key=lambda item: -item[0]):
            readings = angle_readings(column, np.degrees(abs(slope)))
            if not readings:
                continue
            single = len(within(np.degrees(abs(slope)), angles(column), SLIP)) == 1
            certainty = Certainty.SURE if alike > clear and single else Certainty.LIKELY
            reading, sign = readings[0], 1 if slope > 0 else -1
            self.claims.append(Claim(name, column, reading.unit, certainty, why, reading.scale, sign))
            return


def angle_readings(column: Column, degrees_a_step: float) -> list[Reading]:
    """Return the readings near a measured size that keep the angle below the vertical, best first."""
    near = within(degrees_a_step, angles(column), LOOSE_ANGLE)
    fitting = [r for r in near if np.abs(column.values).max() * r.factor() < 90.0]  # noqa: PLR2004 - the vertical
    return sorted(fitting, key=lambda r: abs(np.log(r.factor() / degrees_a_step)) + (r.unit == "turns") * RARELY)


def roughness(fit: AirFit) -> float:
    """Return how badly a fit fits; coarse columns a little worse, and those turned away from true north."""
    turned_away = NORTH_SHARE * abs(float(np.angle(fit.factor)))
    return fit.misfit + coarseness(fit.speed) + coarseness(fit.heading.column) + turned_away


def off(factor: float, reading: Reading, misfit: float) -> float:
    """Return how far a column is off in all: the misfit, and the error of its unit against the factor measured."""
    return float(np.hypot(misfit, abs(factor) / reading.factor() - 1.0))


def smooth(values: Array) -> Array:
    """Return the mean of seven neighbours."""
    return np.convolve(values, np.ones(7) / 7.0, mode="same")


def density_ratio(altitude_m: Array) -> Array:
    """Return true over equivalent airspeed in the standard atmosphere (ICAO Doc 7488, troposphere)."""
    temperature = 1.0 - 2.25577e-5 * np.clip(altitude_m, -500.0, 11_000.0)
    result: Array = 1.0 / np.sqrt(temperature**4.25588)
    return result


def coarseness(column: Column) -> float:
    """Return a small penalty for coarse steps, to choose between readings of the same bytes."""
    steps = np.abs(np.diff(column.values))
    spread = float(np.ptp(column.values))
    if spread == 0.0 or not (steps > 0).any():
        return 1.0
    return float(np.clip(steps[steps > 0].min() / spread, 0.0, 0.05)) * 0.2
