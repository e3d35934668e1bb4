"""Destination passed: the nearest point is behind, the distance grows, and nobody has begun to come down.

Raised   in the cruise once past by advice_nm; caution and warning as the overshoot grows. Escalates until acknowledged
         or until the distance shrinks again. Past is how much farther than the nearest point; when that was within
         overhead_nm, how far it lies behind along the track, for beside the airfield the distance grows late
Later    by downwind_s of flight instead of advice_nm when somebody is at work: descending, climbing, or come_down_ft
         below the highest level flown, also while it is held level; turned_deg away from where it was flown towards (a
         hold, a downwind); after a final there (a missed approach); in a local flight, which left from there and stays
         within local_nm. Arrivals are led past their airfield on downwind: of 96 recorded ones 41 flew 5 to 16 NM past
         it, the longest for about 250 s, all of them normal
Quiet    without a planned destination; when the nearest point was farther than abeam_nm (a leg of the route that led
         elsewhere); on approach, final and on the ground
Cleared  when the aircraft flies towards the destination again
Source   common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.angles import difference_deg, to_magnetic_deg
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.phase import ON_THE_GROUND
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import ResolvedPlan

PASSED = "destination-passed"
ENROUTE = frozenset({Phase.CLIMB, Phase.CRUISE, Phase.DESCENT})


class DestinationParams(Params):
    """Overshoots in nautical miles beyond the nearest point."""

    advice_nm: float = Field(default=1.0, gt=0)
    caution_nm: float = Field(default=2.5, gt=0)
    warning_nm: float = Field(default=4.0, gt=0)
    overhead_nm: float = Field(default=2.0, ge=0)
    abeam_nm: float = Field(default=8.0, gt=0)
    downwind_s: float = Field(default=270.0, gt=0)
    """So long past an arrival may fly before advice; the other levels follow in proportion."""
    come_down_ft: float = Field(default=1_000.0, gt=0)
    turned_deg: float = Field(default=60.0, gt=0, lt=180)
    local_nm: float = Field(default=12.0, gt=0)
    away_kt: float = Field(default=20.0, gt=0)
    """Slower than this away from the destination counts as not going away: a turn, a hold."""


class Destination:
    """The check for one aircraft."""

    def __init__(self, params: DestinationParams) -> None:
        self._params = params
        self._destination: str | None = None
        self._top_ft: float | None = None
        self._towards_deg: float | None = None
        self._was_final = False
        self._is_local = False

    def look(
        self,
        *,
        phase: Phase,
        plan: ResolvedPlan,
        destination: str,
        distance_to_destination_nm: float,
        bearing_to_destination_deg: float,
        closing_speed_kt: float,
        groundspeed_kt: float,
        track_true_deg: float,
        altitude_ft: float | None = None,
        past_destination_nm: float | None = None,
        magnetic_variation_deg: float | None = None,
    ) -> Iterable[Finding]:
        """Return how far the destination is behind."""
        params = self._params
        self._remember(destination=destination, phase=phase, distance_nm=distance_to_destination_nm)
        came_down = self._has_come_down(altitude_ft)
        turned = self._has_turned(track_deg=track_true_deg, bearing_deg=bearing_to_destination_deg)
        if plan.destination is None or phase not in ENROUTE:
            return
        if past_destination_nm is None or closing_speed_kt > -params.away_kt:
            return
        if distance_to_destination_nm - past_destination_nm > params.abeam_nm:
            return
        at_work = came_down or turned or self._was_final or self._is_local or phase is not Phase.CRUISE
        gone_nm = past_destination_nm
        if not at_work and distance_to_destination_nm - past_destination_nm <= params.overhead_nm:
            behind_nm = distance_to_destination_nm * min(-closing_speed_kt / groundspeed_kt, 1.0)
            gone_nm = max(past_destination_nm, behind_nm)
        past_nm = gone_nm / (self._patience(groundspeed_kt) if at_work else 1.0)
        level, phrase = self._how_far(past_nm)
        yield Finding(
            alert=PASSED,
            level=level,
            amount=past_nm / params.advice_nm,
            phrase=phrase,
            values={
                "destination": destination,
                "past_nm": gone_nm,
                "distance_nm": distance_to_destination_nm,
                "bearing_deg": to_magnetic_deg(bearing_to_destination_deg, magnetic_variation_deg),
            },
        )

    def _patience(self, groundspeed_kt: float) -> float:
        """Return how many times later it is said while somebody is at work."""
        return max(1.0, groundspeed_kt * self._params.downwind_s / 3_600.0 / self._params.advice_nm)

    def _how_far(self, past_nm: float) -> tuple[Level, str]:
        if past_nm >= self._params.warning_nm:
            return Level.WARNING, f"{PASSED}-warning"
        if past_nm >= self._params.caution_nm:
            return Level.CAUTION, f"{PASSED}-caution"
        return Level.ADVICE, PASSED

    def _remember(self, *, destination: str, phase: Phase, distance_nm: float) -> None:
        """Note a final and a take-off there; another destination begins anew."""
        if destination != self._destination:
            self._destination, self._towards_deg = destination, None
            self._was_final = self._is_local = False
        self._was_final = self._was_final or phase is Phase.FINAL
        left_from = phase in ON_THE_GROUND and distance_nm < AT_THE_FIELD_NM
        self._is_local = left_from or (self._is_local and distance_nm < self._params.local_nm)

    def _has_turned(self, *, track_deg: float, bearing_deg: float) -> bool:
        """Say whether the track is another than that on which it was last flown towards."""
        if abs(difference_deg(bearing_deg, track_deg)) < TOWARDS_DEG:
            self._towards_deg = track_deg
        return self._towards_deg is not None and (
            abs(difference_deg(self._towards_deg, track_deg)) > self._params.turned_deg
        )

    def _has_come_down(self, altitude_ft: float | None) -> bool:
        if altitude_ft is None:
            return False
        self._top_ft = altitude_ft if self._top_ft is None else max(self._top_ft, altitude_ft)
        return altitude_ft <= self._top_ft - self._params.come_down_ft


TOWARDS_DEG = 45.0
AT_THE_FIELD_NM = 3.0

ADVISORY = Advisory(name="destination", alerts=(PASSED,), params=DestinationParams, make=Destination)
