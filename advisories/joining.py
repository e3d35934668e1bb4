"""Joining: from a vector onto final.

joining-converging   a routine call: how far out and at what angle the track meets the centreline
joining-lead         a routine call, a few seconds before the turn onto the centreline must start
joining-through      caution: a turn that starts now ends more than through_nm beyond the centreline
joining-crossed      caution: it crossed the centreline and flies away from it
joining-inside-gate  advice: established less than the gate's distance before the threshold; the gate is the profile's,
                     by instruments or by eye as the plan and the weather say
joining-steep        advice: the angle is more than steep_deg as the turn comes near
Asked                within within_nm, lower than a plausible final, when the track leads across the planned centreline
Silent               steep and inside-gate while a turn towards the course is under way, and after a base leg: a track
                     square to the course, low and near as a circuit is, in visual flight
Bank                 the profile's turn_bank_deg, at most a standard-rate turn's; wind is taken in when it is known
Source               geometry in joins.py; 30 deg is the usual intercept (FAA Order JO 7110.65, 5-9-2, from memory); the
                     other limits are common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.angles import to_magnetic_deg
from otherseat.advisories.joins import Join, Turn, join, turn_in_still_air, turn_in_wind
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan, on_instruments
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.real import DomainError
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM

CONVERGING, LEAD, THROUGH = "joining-converging", "joining-lead", "joining-through"
CROSSED, INSIDE, STEEP = "joining-crossed", "joining-inside-gate", "joining-steep"
ARRIVING = frozenset({Phase.DESCENT, Phase.APPROACH, Phase.FINAL})
ROLL_S = 3.0
HIGHEST_FT_PER_NM = 700.0
LOW_FT = 2_000.0


class JoiningParams(Params):
    """When it is said."""

    within_nm: float = Field(default=15.0, gt=0)
    nearest_nm: float = Field(default=1.5, ge=0)
    """A circuit's base leg nearer than this is flown by eye."""
    announce_s: float = Field(default=60.0, gt=0)
    lead_s: float = Field(default=8.0, gt=0)
    through_nm: float = Field(default=0.3, gt=0)
    away_nm: float = Field(default=0.35, gt=0)
    away_deg: float = Field(default=8.0, gt=0)
    least_angle_deg: float = Field(default=10.0, gt=0)
    armed_from_nm: float = Field(default=0.5, gt=0)
    """Nearer to the centreline than this a side-step is no join."""
    steep_deg: float = Field(default=50.0, gt=0, lt=90)
    steep_s: float = Field(default=15.0, gt=0)
    """So long before the turn must start the angle is what it will be."""
    turning_deg: float = Field(default=8.0, gt=0)
    """Banked so far towards the course it is turning."""
    base_deg: float = Field(default=60.0, gt=0)
    base_nm: float = Field(default=6.0, gt=0)
    """Nearer than this, lower than LOW_FT and squarer than base_deg is a base leg."""


class Joining:
    """The check for one aircraft."""

    def __init__(self, params: JoiningParams) -> None:
        self._params = params
        self._came_from_nm: float | None = None
        self._armed = False
        self._by_base = False

    def look(
        self,
        *,
        phase: Phase,
        distance_to_threshold_nm: float,
        offset_ft: float,
        course_difference_deg: float,
        groundspeed_kt: float,
        height_above_threshold_ft: float,
        arrival_end: RunwayEnd,
        runway_source: str,
        plan: ResolvedPlan,
        profile: AircraftProfile,
        heading_true_deg: float | None = None,
        true_airspeed_kt: float | None = None,
        wind_from_true_deg: float | None = None,
        wind_speed_kt: float | None = None,
        magnetic_variation_deg: float | None = None,
        bank_deg: float = 0.0,
    ) -> Iterable[Finding]:
        """Return how the track leads onto final."""
        offset_nm, by_eye = offset_ft / FT_PER_NM, not on_instruments(plan)
        if phase not in ARRIVING or runway_source != "plan":
            self._came_from_nm, self._armed, self._by_base = None, False, False
            return
        joining = self._is_joining(offset_nm=offset_nm, difference_deg=course_difference_deg)
        if not joining or not self._is_near(distance_nm=distance_to_threshold_nm, height_ft=height_above_threshold_ft):
            return
        course_deg = arrival_end.course_true_deg
        air = (heading_true_deg, true_airspeed_kt, wind_from_true_deg, wind_speed_kt)
        turn = _turn(
            course_difference_deg, groundspeed_kt, bank_deg=profile.turn_bank_deg, course_deg=course_deg, air=air
        )
        way = join(
            distance_to_threshold_nm=distance_to_threshold_nm,
            offset_nm=offset_nm,
            course_difference_deg=course_difference_deg,
            groundspeed_kt=groundspeed_kt,
            turn=turn,
        )
        course_deg = to_magnetic_deg(course_deg, magnetic_variation_deg)
        if way is None or way.angle_deg >= RIGHT_ANGLE_DEG + SLACK_DEG:
            yield from self._away(offset_nm=offset_nm, difference_deg=course_difference_deg, course_deg=course_deg)
            return
        side = "left" if course_difference_deg > 0.0 else "right"
        yield from self._towards(way, offset_nm=offset_nm, side=side, course_deg=course_deg)
        turning = (bank_deg if side == "right" else -bank_deg) >= self._params.turning_deg
        if not self._is_by_base(way, low=height_above_threshold_ft < LOW_FT, by_eye=by_eye) and not turning:
            gate_ft = profile.visual_gate_ft if by_eye else profile.instrument_gate_ft
            yield from self._late(way, side=side, course_deg=course_deg, gate_ft=gate_ft)

    def _is_by_base(self, way: Join, *, low: bool, by_eye: bool) -> bool:
        """Say whether final is joined by a circuit's base leg; remembered until it is joined."""
        base = low and way.crossing_distance_nm < self._params.base_nm and way.angle_deg > self._params.base_deg
        self._by_base = by_eye and (self._by_base or base)
        return self._by_base

    def _is_near(self, *, distance_nm: float, height_ft: float) -> bool:
        """Say whether this may be an arrival: neither too far, nor in the circuit, nor too high for it."""
        if not self._params.nearest_nm < distance_nm < self._params.within_nm:
            return False
        return height_ft <= max(LOW_FT, distance_nm * HIGHEST_FT_PER_NM)

    def _is_joining(self, *, offset_nm: float, difference_deg: float) -> bool:
        """Say whether final is still to be joined: armed well off the centreline, over once established on it."""
        if abs(offset_nm) >= self._params.armed_from_nm:
            self._armed = True
        elif abs(offset_nm) < ESTABLISHED_NM and abs(difference_deg) < ESTABLISHED_DEG:
            self._armed, self._came_from_nm, self._by_base = False, None, False
        return self._armed

    def _towards(self, way: Join, *, offset_nm: float, side: str, course_deg: float) -> Iterable[Finding]:
        if way.time_to_centreline_s < self._params.announce_s:
            self._came_from_nm = offset_nm
        if not self._is_soon(way):
            return
        values = _values(way, side=side, course_deg=course_deg)
        yield Finding(alert=CONVERGING, level=Level.CALL, amount=1.0, phrase=CONVERGING, values=values)
        if 0.0 <= way.time_to_turn_s <= self._params.lead_s:
            yield Finding(alert=LEAD, level=Level.CALL, amount=1.0, phrase=LEAD, values=values)
        amount = max(way.overshoot_nm, 0.0) / self._params.through_nm
        yield Finding(alert=THROUGH, level=Level.CAUTION, amount=amount, phrase=THROUGH, values=values)

    def _late(self, way: Join, *, side: str, course_deg: float, gate_ft: float) -> Iterable[Finding]:
        """Return that the turn will be steep, or end inside the gate."""
        if not self._is_soon(way):
            return
        if way.time_to_turn_s <= self._params.steep_s:
            yield Finding(
                alert=STEEP,
                level=Level.ADVICE,
                amount=way.angle_deg / self._params.steep_deg,
                phrase=STEEP,
                values=_values(way, side=side, course_deg=course_deg),
            )
        yield Finding(
            alert=INSIDE,
            level=Level.ADVICE,
            amount=gate_ft / FT_PER_DEG_NM / max(way.established_distance_nm, 0.1),
            phrase=INSIDE,
            values={"to_go_nm": max(way.established_distance_nm, 0.0)},
        )

    def _is_soon(self, way: Join) -> bool:
        near = way.time_to_centreline_s < self._params.announce_s and way.angle_deg >= self._params.least_angle_deg
        return near and way.crossing_distance_nm > 0.0

    def _away(self, *, offset_nm: float, difference_deg: float, course_deg: float) -> Iterable[Finding]:
        """Return that the centreline was crossed and lies behind."""
        came_from_nm = self._came_from_nm
        if came_from_nm is None or came_from_nm * offset_nm >= 0.0:
            return
        going_away = difference_deg * offset_nm > 0.0 and abs(difference_deg) > self._params.away_deg
        if going_away:
            yield Finding(
                alert=CROSSED,
                level=Level.CAUTION,
                amount=abs(offset_nm) / self._params.away_nm,
                phrase=CROSSED,
                values={"side": "left" if offset_nm > 0.0 else "right", "course_deg": course_deg},
            )


def _turn(
    difference_deg: float,
    groundspeed_kt: float,
    *,
    bank_deg: float,
    course_deg: float,
    air: tuple[float | None, float | None, float | None, float | None],
) -> Turn:
    """Return the turn onto the course, in the wind when heading, airspeed and wind are known."""
    heading_deg, airspeed_kt, wind_from_deg, wind_kt = air
    if heading_deg is not None and airspeed_kt and wind_from_deg is not None and wind_kt is not None:
        try:
            return turn_in_wind(
                heading_deg=heading_deg,
                course_deg=course_deg,
                true_airspeed_kt=airspeed_kt,
                bank_deg=bank_deg,
                wind_from_deg=wind_from_deg,
                wind_speed_kt=wind_kt,
                roll_s=ROLL_S,
            )
        except DomainError:  # more wind than airspeed: the groundspeed has to do
            pass
    return turn_in_still_air(
        course_difference_deg=difference_deg,
        groundspeed_kt=max(groundspeed_kt, 1.0),
        bank_deg=bank_deg,
        roll_s=ROLL_S,
    )


def _values(way: Join, *, side: str, course_deg: float) -> dict[str, float | str]:
    return {
        "to_go_nm": way.crossing_distance_nm,
        "intercept_angle_deg": way.angle_deg,
        "side": side,
        "course_deg": course_deg,
    }


RIGHT_ANGLE_DEG = 90.0
SLACK_DEG = 15.0
ESTABLISHED_NM = 0.12
ESTABLISHED_DEG = 6.0
FT_PER_DEG_NM = 318.0
"""Height of a 3 deg path per nautical mile."""

ADVISORY = Advisory(
    name="joining",
    alerts=(CONVERGING, LEAD, THROUGH, CROSSED, INSIDE, STEEP),
    params=JoiningParams,
    make=Joining,
)
