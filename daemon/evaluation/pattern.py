"""Pattern: a runway end as a pilot flies around it, and the legs of circuits, vectors and finals.

Places are given as the runway sees them: to_go_nm before the threshold, right_nm right of the centreline looking
in the landing direction. `side` is +1 for a circuit to the right of the runway, -1 to the left.
"""

from dataclasses import dataclass, replace

from otherseat.advisories import path
from otherseat.advisories.angles import normal_deg
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.flight_model.guidance import turn_radius_nm
from otherseat.daemon.flight_model.legs import ROLL_S, Along, Base, Final, Leg, Line, Turn
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.model import Placement
from otherseat.daemon.flight_model.runway_legs import GoAround, Land, TakeOff
from otherseat.daemon.flight_model.world import beside, line_of

EASED_NM = 0.3
"""How far before the path is met an aircraft in level flight takes its approach flaps and is eased onto it."""
SLOWED = 1.08
MOST_SINK_FPM = 930.0
"""A stable approach allows 1,000 ft/min (FSF ALAR briefing note 7.1); whoever means to stay below aims for less."""


@dataclass(frozen=True, slots=True)
class Steady:
    """An altitude and a speed at which several legs are flown."""

    altitude_ft: float
    airspeed_kt: float
    flaps: float = 0.0

    def put_on(self, line: Line, *, along_nm: float, ground_ft: float) -> Placement:
        """Put the aircraft so far beyond a line's point, flying along it."""
        return beside(
            line=line,
            along_nm=along_nm,
            altitude_ft=self.altitude_ft,
            airspeed_kt=self.airspeed_kt,
            ground_ft=ground_ft,
        )

    def along(
        self,
        line: Line,
        *,
        until_nm: float,
        offset_ft: float = 0.0,
        keep_to_it: bool = True,
        drifts: float = 0.0,
    ) -> Along:
        """Fly a line, or only its course, or so many times the drift into the wind of it, until beyond its point."""
        return Along(
            line=line,
            altitude_ft=self.altitude_ft,
            airspeed_kt=self.airspeed_kt,
            until_along_nm=until_nm,
            offset_ft=offset_ft,
            flaps=self.flaps,
            keep_to_it=keep_to_it,
            drifts=drifts,
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

    def turn_nm(self, airspeed_kt: float) -> float:
        """Return how far before a line a turn of a right angle onto it must start, without wind."""
        radius_nm = turn_radius_nm(groundspeed_kt=airspeed_kt, bank_deg=self.handling.usual_bank_deg)
        return radius_nm + airspeed_kt / 3_600.0 * ROLL_S

    @property
    def slow_kt(self) -> float:
        """The speed between circuit and approach: on base, and level before the path is met."""
        return min(self.handling.circuit_kt, SLOWED * self.handling.approach_kt)

    def final(
        self, *, altitude_ft: float, angle_deg: float | None = None, until_nm: float = 0.4
    ) -> tuple[Final, Final]:
        """Level to the path, then down it; a path of another angle meets the same threshold."""
        flown = self.end if angle_deg is None else replace(self.end, path_angle_deg=angle_deg)
        begin_nm = self.meets_path_nm(altitude_ft, angle_deg=angle_deg) + EASED_NM
        level = Final(
            end=flown,
            airspeed_kt=self.slow_kt,
            flaps=self.handling.approach_flaps / 2.0,
            until_to_go_nm=begin_nm,
            altitude_ft=altitude_ft,
        )
        return level, self._down(flown, until_nm=until_nm)

    def _down(self, end: RunwayEnd, *, until_nm: float = 0.4) -> Final:
        return Final(
            end=end,
            airspeed_kt=self.handling.approach_kt,
            flaps=self.handling.approach_flaps,
            until_to_go_nm=until_nm,
            sink_fpm=MOST_SINK_FPM,
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
        crosswind = self.line(to_go_nm=0.0, right_nm=0.0, turned_deg=90.0 * self.side)
        downwind = self.line(to_go_nm=0.0, right_nm=self.side * self.wide_nm, turned_deg=180.0)
        common = Steady(altitude_ft=altitude_ft, airspeed_kt=handling.circuit_kt)
        return (
            up,
            common.turn(crosswind.course_true_deg, right=right),
            common.along(crosswind, until_nm=self.wide_nm - self.turn_nm(handling.circuit_kt), keep_to_it=False),
            common.turn(downwind.course_true_deg, right=right),
            common.along(downwind, until_nm=0.0),
            *self.base_and_final(downwind=downwind, base_nm=base_nm),
        )

    def base_and_final(self, *, downwind: Line, base_nm: float) -> tuple[Leg, ...]:
        """From abeam the threshold: down to where the path is met, base, onto the centreline, down the path."""
        half = self.handling.approach_flaps / 2.0
        base_deg = normal_deg(self.end.course_true_deg - 90.0 * self.side)
        level_ft = min(self.end.elevation_ft + self.height_ft, self.path_altitude_ft(base_nm + self.wide_nm))
        slowing = Steady(altitude_ft=level_ft, airspeed_kt=self.slow_kt, flaps=half)
        return (
            slowing.along(downwind, until_nm=base_nm - self.turn_nm(self.slow_kt)),
            slowing.turn(base_deg, right=self.side > 0),
            Base(
                end=self.end,
                course_true_deg=base_deg,
                altitude_ft=level_ft,
                airspeed_kt=self.slow_kt,
                flaps=half,
            ),
            self._down(self.end),
        )
