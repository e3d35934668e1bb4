"""Destination passed: the nearest point is behind, the distance grows, and nobody has begun to come down.

Raised   while cruising or climbing, once past by advice_nm or by advice_s of flight, whichever is more; caution and
         warning as the overshoot grows. Escalates until acknowledged or until the distance shrinks again
Quiet    when the nearest point was farther than abeam_nm (a leg of the route that led elsewhere), on approach, final
         and on the ground, and in the descent until slack times the limits: arrivals are led past their airfield
         on downwind, many of them for 5 to 16 NM, all of them normal
Cleared  when the aircraft flies towards the destination again
Source   common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.angles import to_magnetic_deg
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase

PASSED = "destination-passed"


class DestinationParams(Params):
    """Overshoots in nautical miles beyond the nearest point."""

    advice_nm: float = Field(default=1.0, gt=0)
    caution_nm: float = Field(default=2.5, gt=0)
    warning_nm: float = Field(default=4.0, gt=0)
    abeam_nm: float = Field(default=8.0, gt=0)
    slack_in_descent: float = Field(default=8.0, ge=1)
    away_kt: float = Field(default=20.0, gt=0)
    """Slower than this away from the destination counts as not going away: a turn, a hold."""


class Destination:
    """The check for one aircraft."""

    def __init__(self, params: DestinationParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        destination: str,
        distance_to_destination_nm: float,
        bearing_to_destination_deg: float,
        closing_speed_kt: float,
        past_destination_nm: float | None = None,
        magnetic_variation_deg: float | None = None,
    ) -> Iterable[Finding]:
        """Return how far the destination is behind."""
        params = self._params
        slack = {Phase.CRUISE: 1.0, Phase.CLIMB: 1.0, Phase.DESCENT: params.slack_in_descent}.get(phase)
        if slack is None or past_destination_nm is None or closing_speed_kt > -params.away_kt:
            return
        if distance_to_destination_nm - past_destination_nm > params.abeam_nm:
            return
        past_nm = past_destination_nm / slack
        if past_nm >= params.warning_nm:
            level, phrase = Level.WARNING, f"{PASSED}-warning"
        elif past_nm >= params.caution_nm:
            level, phrase = Level.CAUTION, f"{PASSED}-caution"
        else:
            level, phrase = Level.ADVICE, PASSED
        yield Finding(
            alert=PASSED,
            level=level,
            amount=past_nm / params.advice_nm,
            phrase=phrase,
            values={
                "destination": destination,
                "past_nm": past_destination_nm,
                "distance_nm": distance_to_destination_nm,
                "bearing_deg": to_magnetic_deg(bearing_to_destination_deg, magnetic_variation_deg),
            },
        )


ADVISORY = Advisory(name="destination", alerts=(PASSED,), params=DestinationParams, make=Destination)
