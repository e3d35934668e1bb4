"""Heading bug: on the planned runway with the bug set to something else.

heading-bug  advice when lined up on the planned end and the bug is more than limit_deg off its magnetic course
Why          the bug is the pilot's own reminder of the runway; a bug set for another one is how wrong runways begin
Source       common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.angles import difference_deg, to_magnetic_deg
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.runway import RunwayEnd

BUG = "heading-bug"
STANDING = frozenset({Phase.PARKED, Phase.TAXI})


class HeadingBugParams(Params):
    """How far off is too far."""

    limit_deg: float = Field(default=10.0, gt=0, le=90)


class HeadingBug:
    """The check for one aircraft."""

    def __init__(self, params: HeadingBugParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        heading_bug_deg: float,
        magnetic_variation_deg: float,
        departure_end: RunwayEnd,
        surface_end: RunwayEnd,
    ) -> Iterable[Finding]:
        """Return how far off the bug is."""
        if phase not in STANDING or surface_end != departure_end:
            return
        runway_deg = to_magnetic_deg(departure_end.course_true_deg, magnetic_variation_deg)
        yield Finding(
            alert=BUG,
            level=Level.ADVICE,
            amount=abs(difference_deg(heading_bug_deg, runway_deg)) / self._params.limit_deg,
            phrase=BUG,
            values={"heading_bug_deg": heading_bug_deg % 360.0, "runway_heading_deg": runway_deg},
        )


ADVISORY = Advisory(name="heading-bug", alerts=(BUG,), params=HeadingBugParams, make=HeadingBug)
