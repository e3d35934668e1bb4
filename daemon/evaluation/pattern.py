"""Pattern: a runway end as a pilot flies around it, and the legs of circuits, vectors and finals.

Places are given as the runway sees them: to_go_nm before the threshold, right_nm right of the centreline looking
in the landing direction. `side` is +1 for a circuit to the right of the runway, -1 to the left.
"""

from dataclasses import dataclass, replace

from otherseat.advisories import path
from otherseat.advisories.angles import normal_deg
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.flight_model.legs import Along, Final, GoAround, Land, Leg, Line, TakeOff, Turn
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.model import Placement
from otherseat.daemon.flight_model.world import beside, line_of

CLEAN_DESCENT_NM = 0.6
"""How far before the path is met an aircraft in level flight takes its approach flaps."""


@dataclass(frozen=True, slots=True)
class Steady:
    """An altitude and a speed at which several legs are flown."""

    altitude_ft: float
    airspeed_kt: float
    flaps: float = 0.0

    def along(self, line: Line, *, until_nm: float, offset_ft: float = 0.0, keep_to_it: bool = True) -> Along:
        """Fly a line, or only its course, until so far beyond its point."""
        return Along(
            line=line,
            altitude_ft=self.altitude_ft,
            airspeed_kt=self.airspeed_kt,
            until_along_nm=until_nm,
            offset_ft=offset_ft,
            flaps=self.flaps,
            keep_to_it=keep_to_it,
        )

    def turn(self, course_true_deg: float, *, right: bool) -> Turn:
        """Turn to a course."""
        return Turn(
            course_true_deg=course_true_deg,
            right=right,
            altitude_ft=self.altitude_ft,
            airspeed_kt=self.airspeed_kt,
            flaps=self.flaps,
        )


@dataclass(frozen=True, slots=True)
class Pattern:
    """One runway end, one aircraft, and the size of the patterns that it flies there."""

    end: RunwayEnd
    handling: Handling
    side: int
    wide_nm: float
    """From runway to downwind."""
    height_ft: float
    """Of the circuit, above the field."""

    def line(self, *, to_go_nm: float, right_nm: float, turned_deg: float) -> Line:
        """Return the line through a place, turned from the runway's course."""
        latitude_deg, longitude_deg = line_of(self.end).position(
            along_ft=-to_go_nm * FT_PER_NM, across_ft=right_nm * FT_PER_NM
        )
        return Line.through(
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            course_true_deg=normal_deg(self.end.course_true_deg + turned_deg),
        )

    def aloft(self, *, line: Line, altitude_ft: float, airspeed_kt: float) -> Placement:
        """Put the aircraft at a line's point, flying along it."""
        return beside(
            line=line, along_nm=0.0, altitude_ft=altitude_ft, airspeed_kt=airspeed_kt, ground_ft=self.end.elevation_ft
        )

    def path_altitude_ft(self, to_go_nm: float) -> float:
        """Return the altitude of the path."""
        return self.end.elevation_ft + path.path_height_ft(
            distance_nm=to_go_nm,
            angle_deg=self.end.path_angle_deg,
            threshold_crossing_height_ft=self.end.threshold_crossing_height_ft,
        )

    def meets_path_nm(self, altitude_ft: float, *, angle_deg: float | None = None) -> float:
        """Return how far out an altitude meets the path."""
        return path.gate_distance_nm(
            gate_height_ft=altitude_ft - self.end.elevation_ft,
            angle_deg=angle_deg or self.end.path_angle_deg,
            threshold_crossing_height_ft=self.end.threshold_crossing_height_ft,
        )

    def final(self, *, altitude_ft: float, angle_deg: float | None = None, until_nm: float = 0.4) -> tuple[Leg, Leg]:
        """Level to the path, then down it; a path of another angle meets the same threshold."""
        flown = self.end if angle_deg is None else replace(self.end, path_angle_deg=angle_deg)
        handling = self.handling
        begin_nm = self.meets_path_nm(altitude_ft, angle_deg=angle_deg) + CLEAN_DESCENT_NM / 4.0
        return (
            Final(
                end=flown,
                airspeed_kt=handling.circuit_kt,
                flaps=handling.approach_flaps / 2.0,
                until_to_go_nm=begin_nm,
                altitude_ft=altitude_ft,
            ),
            Final(
                end=flown,
                airspeed_kt=handling.approach_kt,
                flaps=handling.approach_flaps,
                until_to_go_nm=until_nm,
                sink_fpm=handling.sink_fpm + 300.0,
            ),
        )

    def land(self) -> Leg:
        """Land and stop."""
        return Land(end=self.end)

    def circuit(self, *, base_nm: float, again: bool = False) -> tuple[Leg, ...]:
        """Climb out, crosswind, downwind, base, down the final: all but the landing.

        again: the aircraft is already airborne, going around.
        """
        handling, altitude_ft = self.handling, self.end.elevation_ft + self.height_ft
        right = self.side > 0
        up: Leg = (GoAround if again else TakeOff)(end=self.end, until_height_ft=0.7 * self.height_ft)
        turn_nm = handling.circuit_kt / 60.0 / 3.1  # radius of a standard-rate turn: kt / (60 pi)
        crosswind = self.line(to_go_nm=0.0, right_nm=0.0, turned_deg=90.0 * self.side)
        downwind = self.line(to_go_nm=0.0, right_nm=self.side * self.wide_nm, turned_deg=180.0)
        base = self.line(to_go_nm=base_nm, right_nm=self.side * self.wide_nm, turned_deg=-90.0 * self.side)
        common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
        return (
            up,
            common.turn(crosswind.course_true_deg, right=right),
            common.along(crosswind, until_nm=self.wide_nm - turn_nm, keep_to_it=False),
            common.turn(downwind.course_true_deg, right=right),
            common.along(downwind, until_nm=0.0),
            *self.base_and_final(downwind=downwind, base=base, base_nm=base_nm, turn_nm=turn_nm),
        )

    def base_and_final(self, *, downwind: Line, base: Line, base_nm: float, turn_nm: float) -> tuple[Leg, ...]:
        """From abeam the threshold: start down, turn base, turn final onto the path, follow it."""
        handling, right, half = self.handling, self.side > 0, self.handling.approach_flaps / 2.0
        high_ft, low_ft = self.end.elevation_ft + self.height_ft, self.path_altitude_ft(base_nm)
        slow_kt = 0.5 * (handling.circuit_kt + handling.approach_kt)
        first_ft, second_ft = 0.4 * high_ft + 0.6 * low_ft, low_ft - 20.0
        first = Steady(altitude_ft=first_ft, airspeed_kt=slow_kt, flaps=half)
        second = Steady(altitude_ft=second_ft, airspeed_kt=slow_kt, flaps=half)
        return (
            first.along(downwind, until_nm=base_nm - turn_nm),
            first.turn(base.course_true_deg, right=right),
            second.along(base, until_nm=self.wide_nm - 1.15 * turn_nm),
            second.turn(self.end.course_true_deg, right=right),
            Final(
                end=self.end,
                airspeed_kt=handling.approach_kt,
                flaps=handling.approach_flaps,
                until_to_go_nm=0.4,
                sink_fpm=handling.sink_fpm + 300.0,
            ),
        )
