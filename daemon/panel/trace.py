"""Trace: where an aircraft has been, thinned, so that a page that opens late can draw it.

A point is kept when it is STEP_NM or STEP_FT from the last one; when LIMIT points are kept every second one of the
older half goes. A jump of more than JUMP_NM, or time running backwards, starts a new trace.
"""

from dataclasses import dataclass, field

from otherseat.advisories import geodesic

LIMIT = 600
STEP_NM = 0.03
STEP_FT = 100.0
JUMP_NM = 1.5


@dataclass(frozen=True, slots=True)
class Point:
    """One place on the trace."""

    time_s: float
    latitude_deg: float
    longitude_deg: float
    altitude_ft: float | None


@dataclass(slots=True)
class Trace:
    """One aircraft's way so far."""

    points: list[Point] = field(default_factory=list)

    def add(self, point: Point) -> bool:
        """Take in where the aircraft is; return whether the trace began anew."""
        if not self.points:
            self.points.append(point)
            return True
        last = self.points[-1]
        moved_nm = distance_nm(last, point)
        if point.time_s < last.time_s or moved_nm > JUMP_NM + speed_allowance_nm(last, point):
            self.points = [point]
            return True
        if moved_nm >= STEP_NM or climbed_ft(last, point) >= STEP_FT:
            self.points.append(point)
            if len(self.points) > LIMIT:
                half = LIMIT // 2
                self.points = self.points[:half:2] + self.points[half:]
        return False


def distance_nm(a: Point, b: Point) -> float:
    """Return the distance between two points over the ground."""
    return geodesic.distance_nm_and_course_deg(
        from_latitude_deg=a.latitude_deg,
        from_longitude_deg=a.longitude_deg,
        to_latitude_deg=b.latitude_deg,
        to_longitude_deg=b.longitude_deg,
    )[0]


def speed_allowance_nm(a: Point, b: Point) -> float:
    """Return how far any aircraft of ours may fly between two points: 1,500 kt."""
    return (b.time_s - a.time_s) * 1_500.0 / 3_600.0


def climbed_ft(a: Point, b: Point) -> float:
    """Return how much the altitude differs, 0 when one is not known."""
    return 0.0 if a.altitude_ft is None or b.altitude_ft is None else abs(a.altitude_ft - b.altitude_ft)
