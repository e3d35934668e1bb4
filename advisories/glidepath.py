"""Glidepath: above or below the visual path on final, in degrees, so that it tightens as the runway nears.

glidepath-high  deviation > high_deg; advice to 2 x high_deg, caution beyond. Caution and phrase `glidepath-high-lost`
                when no sink rate within limits regains the path by a gate; below the last one there is none to ask
glidepath-low   deviation < -low_deg; caution to 2 x low_deg, warning beyond, and warning when lower than near_ft.
                Low is always one level more serious than equally high
Silent          inside quiet_nm, where the flare begins and a degree is a few feet; low also while it flies level above
                level_ft, for so a path is met from below. Less than least_ft off is no finding: an altimeter and its
                setting are no better (27 ft for a hectopascal)
Source          0.35 deg is one dot of a standard glideslope display (0.0875 DDM at 0.7 deg full scale for a 3 deg
                path: ICAO Annex 10, vol. I, 3.1.5.6; from memory). The levels are common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.picture import Phase

HIGH = "glidepath-high"
LOW = "glidepath-low"


class GlidepathParams(Params):
    """Thresholds, in degrees from the path."""

    high_deg: float = Field(default=0.4, gt=0, le=3)
    low_deg: float = Field(default=0.35, gt=0, le=3)
    serious: float = Field(default=2.0, gt=1, le=5)
    """Times the limit at which the level rises."""
    near_ft: float = Field(default=300.0, ge=0)
    """Lower than this above the threshold, any low finding is a warning."""
    not_meant: float = Field(default=4.0, gt=1)
    """Times the limit beyond which a runway that no plan names is only flown over."""
    quiet_nm: float = Field(default=0.4, ge=0)
    least_ft: float = Field(default=40.0, ge=0)
    level_ft: float = Field(default=1_000.0, ge=0)
    level_fpm: float = Field(default=300.0, ge=0)
    """Sinking less than this is level."""


class Glidepath:
    """The check for one aircraft."""

    def __init__(self, params: GlidepathParams) -> None:
        self._params = params

    def look(
        self,
        *,
        phase: Phase,
        path_deviation_deg: float,
        height_above_path_ft: float,
        height_above_threshold_ft: float,
        distance_to_threshold_nm: float,
        sink_to_hold_fpm: float,
        sink_to_regain_fpm: float | None = None,
        next_gate_ft: float | None = None,
        vertical_speed_fpm: float | None = None,
        runway_source: str | None = None,
    ) -> Iterable[Finding]:
        """Return high or low, with the sink rate that mends it."""
        params = self._params
        if phase is not Phase.FINAL or distance_to_threshold_nm < params.quiet_nm:
            return
        values: dict[str, float | str] = {"sink_to_hold_fpm": sink_to_hold_fpm}
        if sink_to_regain_fpm is not None and next_gate_ft is not None:
            values |= {"sink_to_regain_fpm": max(sink_to_regain_fpm, 0.0), "next_gate_ft": next_gate_ft}
        share = 1.0 if abs(height_above_path_ft) >= params.least_ft else 0.0
        high = share * path_deviation_deg / params.high_deg
        if runway_source == "track" and high > params.not_meant:
            return
        if path_deviation_deg >= 0.0:
            lost = sink_to_regain_fpm is None and height_above_threshold_ft > min(GATES_FT)
            yield Finding(
                alert=HIGH,
                level=Level.CAUTION if high >= params.serious or lost else Level.ADVICE,
                amount=high,
                phrase=f"{HIGH}-lost" if lost else HIGH,
                values={"height_above_path_ft": height_above_path_ft, **values},
            )
            return
        level = vertical_speed_fpm is not None and vertical_speed_fpm > -params.level_fpm
        if level and height_above_threshold_ft > params.level_ft:
            return
        low = share * -path_deviation_deg / params.low_deg
        serious = low >= params.serious or height_above_threshold_ft < params.near_ft
        yield Finding(
            alert=LOW,
            level=Level.WARNING if serious else Level.CAUTION,
            amount=low,
            phrase=f"{LOW}-near" if serious else LOW,
            values={"height_below_path_ft": -height_above_path_ft, **values},
        )


ADVISORY = Advisory(name="glidepath", alerts=(HIGH, LOW), params=GlidepathParams, make=Glidepath)
