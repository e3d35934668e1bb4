"""Hold advice: how to enter the planned hold and fly it in this wind, and how long the fuel lasts there.

hold-advice     a routine call, announce_s before the fix: entry, outbound heading, time
hold-endurance  a routine call with it, when fuel and flow are known: until the reserve is left
Turns           3 deg/s, or what 30 degrees of bank give if less: AIM 5-3-8 (through holding.py)
Source          entry sectors, AIM 5-3-8 (through holding.py); the 30 min reserve, 14 CFR 91.151 (day VFR)
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories import geodesic, holding
from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.angles import difference_deg, to_magnetic_deg
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedHold, ResolvedPlan
from otherseat.advisories.real import DomainError

ADVICE = "hold-advice"
ENDURANCE = "hold-endurance"
ENROUTE = frozenset({Phase.CLIMB, Phase.CRUISE, Phase.DESCENT, Phase.APPROACH})
TOWARDS_DEG = 60.0


class HoldAdviceParams(Params):
    """When it is said, and what is kept back."""

    announce_s: float = Field(default=90.0, gt=0)
    reserve_h: float = Field(default=0.5, ge=0)


class HoldAdvice:
    """The check for one aircraft."""

    def __init__(self, params: HoldAdviceParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        plan: ResolvedPlan,
        latitude_deg: float,
        longitude_deg: float,
        groundspeed_kt: float,
        track_true_deg: float,
        altitude_ft: float,
        heading_true_deg: float,
        true_airspeed_kt: float,
        wind_from_true_deg: float | None = None,
        wind_speed_kt: float | None = None,
        magnetic_variation_deg: float | None = None,
        fuel_kg: float | None = None,
        fuel_flow_kg_per_h: float | None = None,
    ) -> Iterable[Finding]:
        """Return the hold as it would be flown."""
        hold = plan.hold
        if hold is None or phase not in ENROUTE or groundspeed_kt <= 0.0:
            return
        distance_nm, bearing_deg = geodesic.quick_distance_nm_and_course_deg(
            from_latitude_deg=latitude_deg,
            from_longitude_deg=longitude_deg,
            to_latitude_deg=hold.latitude_deg,
            to_longitude_deg=hold.longitude_deg,
        )
        to_go_s = distance_nm / groundspeed_kt * 3_600.0
        if to_go_s > self._params.announce_s or abs(difference_deg(bearing_deg, track_true_deg)) > TOWARDS_DEG:
            return
        wind = (wind_from_true_deg or 0.0, wind_speed_kt or 0.0)
        values = flown(
            hold,
            heading_true_deg=heading_true_deg,
            true_airspeed_kt=true_airspeed_kt,
            altitude_ft=altitude_ft,
            wind=wind,
            variation_deg=magnetic_variation_deg,
        )
        if values is not None:
            yield Finding(alert=ADVICE, level=Level.CALL, amount=1.0, phrase=ADVICE, values=values)
        if fuel_kg is not None and fuel_flow_kg_per_h:
            reserve_kg = self._params.reserve_h * fuel_flow_kg_per_h
            yield _endurance(fuel_kg=fuel_kg, reserve_kg=reserve_kg, flow_kg_per_h=fuel_flow_kg_per_h)


def _endurance(*, fuel_kg: float, reserve_kg: float, flow_kg_per_h: float) -> Finding:
    endurance_s = holding.endurance_s(fuel_kg=fuel_kg, reserve_kg=reserve_kg, fuel_flow_kg_per_h=flow_kg_per_h)
    return Finding(alert=ENDURANCE, level=Level.CALL, amount=1.0, phrase=ENDURANCE, values={"endurance_s": endurance_s})


def flown(
    hold: ResolvedHold,
    *,
    heading_true_deg: float,
    true_airspeed_kt: float,
    altitude_ft: float,
    wind: tuple[float, float],
    variation_deg: float | None,
) -> dict[str, float | str] | None:
    """Return entry, outbound heading (magnetic when the variation is known) and time; None in too much wind."""
    right_turns = hold.hold.turns == "right"
    leg_s = hold.hold.leg_min * 60.0 if hold.hold.leg_min is not None else holding.leg_s(altitude_ft=altitude_ft)
    try:
        way = holding.hold(
            inbound_course_deg=hold.inbound_true_deg,
            right_turns=right_turns,
            true_airspeed_kt=true_airspeed_kt,
            wind_from_deg=wind[0],
            wind_speed_kt=wind[1],
            inbound_leg_s=leg_s,
            rate_deg_per_s=holding.turn_rate_deg_per_s(true_airspeed_kt=true_airspeed_kt, flight_director=False),
        )
    except DomainError:
        return None
    entry = holding.entry(
        inbound_course_deg=hold.inbound_true_deg, heading_deg=heading_true_deg, right_turns=right_turns
    )
    return {
        "entry": entry.value,
        "outbound_heading_deg": to_magnetic_deg(way.outbound_heading_deg, variation_deg),
        "leg_time_s": way.outbound_timed_s,
    }


ADVISORY = Advisory(name="hold-advice", alerts=(ADVICE, ENDURANCE), params=HoldAdviceParams, make=HoldAdvice)
