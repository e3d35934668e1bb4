"""Plan remarks: what is no error in a plan and worth knowing before it is flown."""

from collections.abc import Iterator

from otherseat.advisories.plan import ResolvedPlan

LOW_CRUISE_FT = 500.0
"""Less above the surface is no cruise: aircraft keep that much away from it but to take off and land (14 CFR 91.119 c,
from memory)."""


def remarks(plan: ResolvedPlan) -> Iterator[str]:
    """Yield each remark, a sentence each."""
    for end in (plan.departure, plan.arrival):
        if end is not None and end.estimated:
            yield f"{end.name} lies at an estimate: no path and no alignment is checked there"
    yield from low_cruise(plan)


def low_cruise(plan: ResolvedPlan) -> Iterator[str]:
    """Yield that the cruise is hardly above the higher of the two airfields, or below it.

    It is no error: a cruise planned before stands when in flight the destination becomes a higher one.
    """
    fields = [field for field in (plan.departure_airfield, plan.destination) if field is not None]
    field, cruise_ft = max(fields, key=lambda each: each.elevation_ft, default=None), plan.plan.cruise_altitude_ft
    if field is None or cruise_ft is None:
        return
    above_ft = cruise_ft - field.elevation_ft
    if above_ft <= 0.0:
        lies = f"{field.ident}, which lies at {field.elevation_ft:,.0f} ft"
        yield f"the cruise at {cruise_ft:,.0f} ft is not above {lies}"
    elif above_ft < LOW_CRUISE_FT:
        yield f"the cruise at {cruise_ft:,.0f} ft is only {above_ft:.0f} ft above {field.ident}"
