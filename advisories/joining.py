"""Joining: from a vector onto final.

joining-converging   a routine call: how far out and at what angle the track meets the centreline
joining-lead         a routine call, a few seconds before the turn onto the centreline must start
joining-through      caution: a turn that starts now ends more than through_nm beyond the centreline
joining-crossed      caution: it crossed the centreline and flies away from it
joining-inside-gate  advice: established less than the first gate's distance before the threshold
joining-steep        advice: the angle is more than steep_deg, and the join is near
Asked                within within_nm, lower than a plausible final, when the track leads across the planned centreline
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
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.real import DomainError
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.units import FT_PER_NM

CONVERGING, LEAD, THROUGH = "joining-converging", "joining-lead", "joining-through"
CROSSED, INSIDE, STEEP = "joining-crossed", "joining-inside-gate", "joining-steep"
ARRIVING = frozenset({Phase.DESCENT, Phase.APPROACH, Phase.FINAL})
ROLL_S = 3.0
GATE_FT = 1_000.0
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


class Joining:
    """The check for one aircraft."""

    def __init__(self, params: JoiningParams) -> None:
        self._params = params
        self._came_from_nm: float | None = None
        self._armed = False

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
        profile: AircraftProfile,
        heading_true_deg: float | None = None,
        true_airspeed_kt: float | None = None,
        wind_from_true_deg: float | None = None,
        wind_speed_kt: float | None = None,
        magnetic_variation_deg: float | None = None,
    ) -> Iterable[Finding]:
        """Return how the track leads onto final."""
        params, offset_nm = self._params, offset_ft / FT_PER_NM
        if phase not in ARRIVING or runway_source != "plan":
            self._came_from_nm, self._armed = None, False
            return
        if not self._is_joining(offset_nm=offset_nm, course_difference_deg=course_difference_deg):
            return
        if not params.nearest_nm < distance_to_threshold_nm < params.within_nm:
            return
        if height_above_threshold_ft > max(LOW_FT, distance_to_threshold_nm * HIGHEST_FT_PER_NM):
            return
        turn = self._turn(
            course_difference_deg=course_difference_deg,
            groundspeed_kt=groundspeed_kt,
            bank_deg=profile.turn_bank_deg,
            course_deg=arrival_end.course_true_deg,
            air=(heading_true_deg, true_airspeed_kt, wind_from_true_deg, wind_speed_kt),
        )
        way = join(
            distance_to_threshold_nm=distance_to_threshold_nm,
            offset_nm=offset_nm,
            course_difference_deg=course_difference_deg,
            groundspeed_kt=groundspeed_kt,
            turn=turn,
        )
        course_deg = to_magnetic_deg(arrival_end.course_true_deg, magnetic_variation_deg)
        if way is None or way.angle_deg >= RIGHT_ANGLE_DEG + SLACK_DEG:
            yield from self._away(
                offset_nm=offset_nm, course_difference_deg=course_difference_deg, course_deg=course_deg
            )
            return
        if way.time_to_centreline_s < params.announce_s:
            self._came_from_nm = offset_nm
        yield from self._towards(way, side="left" if course_difference_deg > 0.0 else "right", course_deg=course_deg)

    def _is_joining(self, *, offset_nm: float, course_difference_deg: float) -> bool:
        """Say whether final is still to be joined: armed well off the centreline, over once established on it."""
        if abs(offset_nm) >= self._params.armed_from_nm:
            self._armed = True
        elif abs(offset_nm) < ESTABLISHED_NM and abs(course_difference_deg) < ESTABLISHED_DEG:
            self._armed, self._came_from_nm = False, None
        return self._armed

    def _turn(
        self,
        *,
        course_difference_deg: float,
        groundspeed_kt: float,
        bank_deg: float,
        course_deg: float,
        air: tuple[float | None, float | None, float | None, float | None],
    ) -> Turn:
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
            course_difference_deg=course_difference_deg,
            groundspeed_kt=max(groundspeed_kt, 1.0),
            bank_deg=bank_deg,
            roll_s=ROLL_S,
        )

    def _towards(self, way: Join, *, side: str, course_deg: float) -> Iterable[Finding]:
        params = self._params
        near = way.time_to_centreline_s < params.announce_s and way.angle_deg >= params.least_angle_deg
        if not near or way.crossing_distance_nm <= 0.0:
            return
        values: dict[str, float | str] = {
            "to_go_nm": way.crossing_distance_nm,
            "intercept_angle_deg": way.angle_deg,
            "side": side,
            "course_deg": course_deg,
        }
        yield Finding(alert=CONVERGING, level=Level.CALL, amount=1.0, phrase=CONVERGING, values=values)
        if 0.0 <= way.time_to_turn_s <= params.lead_s:
            yield Finding(alert=LEAD, level=Level.CALL, amount=1.0, phrase=LEAD, values=values)
        yield Finding(
            alert=THROUGH,
            level=Level.CAUTION,
            amount=max(way.overshoot_nm, 0.0) / params.through_nm,
            phrase=THROUGH,
            values=values,
        )
        steep = way.angle_deg / params.steep_deg
        yield Finding(alert=STEEP, level=Level.ADVICE, amount=steep, phrase=STEEP, values=values)
        gate_nm = GATE_FT / FT_PER_DEG_NM
        yield Finding(
            alert=INSIDE,
            level=Level.ADVICE,
            amount=gate_nm / max(way.established_distance_nm, 0.1),
            phrase=INSIDE,
            values={"to_go_nm": max(way.established_distance_nm, 0.0)},
        )

    def _away(self, *, offset_nm: float, course_difference_deg: float, course_deg: float) -> Iterable[Finding]:
        """Return that the centreline was crossed and lies behind."""
        came_from_nm = self._came_from_nm
        if came_from_nm is None or came_from_nm * offset_nm >= 0.0:
            return
        going_away = course_difference_deg * offset_nm > 0.0 and abs(course_difference_deg) > self._params.away_deg
        if going_away:
            yield Finding(
                alert=CROSSED,
                level=Level.CAUTION,
                amount=abs(offset_nm) / self._params.away_nm,
                phrase=CROSSED,
                values={"side": "left" if offset_nm > 0.0 else "right", "course_deg": course_deg},
            )


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
