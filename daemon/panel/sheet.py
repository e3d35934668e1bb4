"""Sheet: the ground that the page draws on, as one runway end sees it.

Everything is given in feet along (beyond the anchor's threshold positive) and across (right of its centreline
positive) in the anchor's frame, so that the page needs no geodesy of its own. Courses are true.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.earth import RunwayFrame
from otherseat.advisories.picture import Phase
from otherseat.advisories.runway import RunwayEnd, frame_of
from otherseat.advisories.units import FT_PER_NM, M_PER_FT
from otherseat.daemon.messages import PlanMessage
from otherseat.daemon.panel.trace import Point

MOST_ENDS = 24
BEFORE_FLIGHT = frozenset({Phase.PARKED, Phase.TAXI, Phase.TAKE_OFF})
DEPARTURE_WITHIN_FT = 5.0 * FT_PER_NM


@dataclass(frozen=True, slots=True)
class Anchor:
    """What the sheet is drawn around: a runway end, or a mere place with north as its course."""

    name: str | None
    frame: RunwayFrame
    course_true_deg: float
    elevation_ft: float

    @classmethod
    def at_end(cls, end: RunwayEnd) -> "Anchor":
        """Return the anchor of a runway end."""
        return cls(
            name=end.name, frame=frame_of(end), course_true_deg=end.course_true_deg, elevation_ft=end.elevation_ft
        )

    @classmethod
    def at_point(cls, point: Point) -> "Anchor":
        """Return the anchor of a place without a runway."""
        frame = RunwayFrame.at(
            latitude_deg=point.latitude_deg, longitude_deg=point.longitude_deg, elevation_m=0.0, course_true_deg=0.0
        )
        return cls(name=None, frame=frame, course_true_deg=0.0, elevation_ft=0.0)

    def place_ft(self, *, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
        """Return along and across of a position."""
        along_m, across_m, _ = self.frame.locate(
            latitude_deg=latitude_deg, longitude_deg=longitude_deg, height_m=self.elevation_ft * M_PER_FT
        )
        return round(along_m / M_PER_FT, 1), round(across_m / M_PER_FT, 1)


def choose_anchor(
    *,
    phase: Phase,
    runway: str | None,
    surface_runway: str | None,
    plan: PlanMessage | None,
    ends: dict[str, RunwayEnd],
    here: Point | None,
) -> RunwayEnd | None:
    """Return the end that matters in this phase: before flight the one to leave from, else the one to land on."""
    wanted = [runway]
    if phase in BEFORE_FLIGHT:
        departure = None if plan is None else plan.departure
        leaving = departure if departure is not None and is_near(end=departure, here=here) else None
        wanted = [None if leaving is None else leaving.name, surface_runway, runway]
    return next((ends[name] for name in wanted if name is not None and name in ends), None)


def is_near(*, end: RunwayEnd, here: Point | None) -> bool:
    """Say whether the aircraft may still be about to leave from an end; so it may where its place is not known."""
    if here is None:
        return True
    along_ft, across_ft = Anchor.at_end(end).place_ft(latitude_deg=here.latitude_deg, longitude_deg=here.longitude_deg)
    return max(abs(along_ft), abs(across_ft)) <= DEPARTURE_WITHIN_FT


def known_ends(*, plan: PlanMessage | None, near: Iterable[RunwayEnd]) -> dict[str, RunwayEnd]:
    """Return every end that can be drawn, the plan's first."""
    planned: list[RunwayEnd] = []
    if plan is not None:
        planned = [end for end in (plan.arrival, plan.departure) if end is not None]
        planned += plan.destination.ends if plan.destination is not None else ()
    ends: dict[str, RunwayEnd] = {}
    for end in (*planned, *near):
        ends.setdefault(end.name, end)
    return dict(list(ends.items())[:MOST_ENDS])


def sheet(*, anchor: Anchor, ends: dict[str, RunwayEnd], plan: PlanMessage | None) -> dict[str, Any]:
    """Return the sheet as the page gets it."""
    end = ends.get(anchor.name or "")
    drawn: dict[str, Any] = {
        "anchor": anchor.name,
        "course_deg": round(anchor.course_true_deg, 2),
        "elevation_ft": anchor.elevation_ft,
        "ends": [_end(anchor=anchor, end=each) for each in ends.values()],
    }
    if end is not None:
        planned_deg = None if plan is None else plan.plan.path_angle_deg
        drawn["angle_deg"] = end.path_angle_deg if planned_deg is None else planned_deg
        drawn["crossing_ft"] = end.threshold_crossing_height_ft
        drawn["length_ft"] = end.length_ft
    if plan is None:
        return drawn
    drawn["planned"] = [end.name for end in (plan.departure, plan.arrival) if end is not None]
    if plan.destination is not None:
        place = plan.destination
        drawn["field"] = {
            "ident": place.ident,
            "name": place.name,
            "place_ft": anchor.place_ft(latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg),
        }
    drawn["fixes"] = [
        {
            "name": fix.name,
            "place_ft": anchor.place_ft(latitude_deg=fix.latitude_deg, longitude_deg=fix.longitude_deg),
        }
        for fix in plan.plan.route
    ]
    return drawn


def _end(*, anchor: Anchor, end: RunwayEnd) -> dict[str, Any]:
    return {
        "name": end.name,
        "runway": end.runway,
        "place_ft": anchor.place_ft(latitude_deg=end.latitude_deg, longitude_deg=end.longitude_deg),
        "opposite": end.opposite,
        "turned_deg": round(difference_deg(end.course_true_deg, anchor.course_true_deg), 3),
        "length_ft": end.length_ft,
        "width_ft": end.width_ft,
        "displaced_ft": end.displaced_ft,
    }
