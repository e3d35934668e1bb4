"""Glidepath: above or below the visual path on final, in degrees, so that it tightens as the runway nears.

glidepath-high  deviation > high_deg; advice to 2 x high_deg, caution beyond, and then the phrase `glidepath-high-lost`
                when no sink rate within limits regains the path by a gate; below the last one there is none to ask
glidepath-low   deviation < -low_deg; caution to 2 x low_deg, warning beyond, and warning when lower than near_ft.
                Low is always one level more serious than equally high. The phrase is `glidepath-low-level` where no
                sink at all regains the path by the next gate
Silent          inside quiet_nm, where the flare begins and a degree is a few feet. Low until the path has been met on
                this final, for it is met from below: above level_ft in level flight, and above steps_ft also while it
                comes down to that level. High while it climbs, in a go-around, and while the track is more than
                turning_deg off the course, for it flies farther than the centreline. Less off than the altitude may be
                wrong is no finding: 40 ft, by an altimeter 102 ft, and then a warning needs low_deg beyond those
Flown over      high is silent as well over a runway that no plan names, unless it is meant: the flaps are out; or it
                comes down, so that it would cross the threshold lower than over_ft, or than circuit_ft with the flaps
                known to be in; or it is less than not_meant x high_deg high, and nobody tells the flaps
Source          0.35 deg is one dot of a standard glideslope display (0.0875 DDM at 0.7 deg full scale for a 3 deg
                path: ICAO Annex 10, vol. I, 3.1.5.6; from memory). A circuit is flown at 1,000 ft (AIM 4-3-3), and
                crossed 500 ft above that (FAA-H-8083-3, airport traffic patterns; from memory). The levels and the
                other limits are common practice, no source
"""

from collections.abc import Iterable

from pydantic import Field

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.airdata import altitude_error_ft
from otherseat.advisories.arrival import GATES_FT
from otherseat.advisories.latch import Latch
from otherseat.advisories.levels import Finding, Level, Values
from otherseat.advisories.picture import Phase, Source

HIGH = "glidepath-high"
LOW = "glidepath-low"
LEAST_SINK_FPM = 25.0
"""Less is spoken as none."""


class GlidepathParams(Params):
    """Thresholds, in degrees from the path."""

    high_deg: float = Field(default=0.4, gt=0, le=3)
    low_deg: float = Field(default=0.35, gt=0, le=3)
    serious: float = Field(default=2.0, gt=1, le=5)
    """Times the limit at which the level rises."""
    near_ft: float = Field(default=300.0, ge=0)
    """Lower than this above the threshold, any low finding is a warning."""
    not_meant: float = Field(default=4.0, gt=1)
    """Times the limit beyond which a runway that no plan names is only flown over, unless it is come down to."""
    over_ft: float = Field(default=1_500.0, gt=0)
    """Who would cross the threshold higher than this comes down to something else: to join overhead, or farther on."""
    circuit_ft: float = Field(default=1_000.0, gt=0)
    """The same of somebody whose flaps are known to be in: who is about to land has them out, or comes lower."""
    coming_fpm: float = Field(default=150.0, gt=0)
    """Sinking less than this is no coming down."""
    coming_s: float = Field(default=5.0, ge=0)
    """For so long it must sink that fast: a gust is no descent."""
    flaps_out_ratio: float = Field(default=0.1, gt=0, le=1)
    quiet_nm: float = Field(default=0.4, ge=0)
    level_ft: float = Field(default=1_000.0, ge=0)
    steps_ft: float = Field(default=1_500.0, ge=0)
    level_fpm: float = Field(default=300.0, ge=0)
    """Sinking less than this is level, climbing more a go-around."""
    turning_deg: float = Field(default=15.0, gt=0)


class Glidepath:
    """The check for one aircraft."""

    def __init__(self, params: GlidepathParams) -> None:
        self._params = params
        self._met = False
        self._coming_down = Latch(hold_s=params.coming_s, clear_s=2.0 * params.coming_s, margin=0.3)

    def look(
        self,
        *,
        time_s: float,
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
        course_difference_deg: float = 0.0,
        altitude_source: Source | None = None,
        groundspeed_kt: float | None = None,
        flaps_ratio: float | None = None,
    ) -> Iterable[Finding]:
        """Return high or low, with the sink rate that mends it."""
        params = self._params
        coming_down = self._coming_down.step(time_s=time_s, amount=-(vertical_speed_fpm or 0.0) / params.coming_fpm)
        self._met = phase is Phase.FINAL and (self._met or path_deviation_deg >= -params.low_deg)
        if phase is not Phase.FINAL or distance_to_threshold_nm < params.quiet_nm:
            return
        values = _sink_values(sink_to_hold_fpm, sink_to_regain_fpm, next_gate_ft)
        error_ft = altitude_error_ft(altitude_source)
        off_deg = path_deviation_deg if abs(height_above_path_ft) >= error_ft else 0.0
        if path_deviation_deg < 0.0:
            if self._met or not self._is_below_on_purpose(height_above_threshold_ft, vertical_speed_fpm):
                yield self._low(
                    -off_deg,
                    below_ft=-height_above_path_ft,
                    error_ft=error_ft if altitude_source is Source.COMPUTED else 0.0,
                    height_ft=height_above_threshold_ft,
                    values=values,
                )
            return
        crosses_ft = _crosses_ft(
            height_ft=height_above_threshold_ft,
            distance_nm=distance_to_threshold_nm,
            vertical_speed_fpm=vertical_speed_fpm if coming_down else None,
            groundspeed_kt=groundspeed_kt,
        )
        meant = runway_source != "track" or self._is_meant(off_deg, flaps_ratio=flaps_ratio, crosses_ft=crosses_ft)
        climbing = vertical_speed_fpm is not None and vertical_speed_fpm > params.level_fpm
        if meant and not climbing and abs(course_difference_deg) <= params.turning_deg:
            can_regain = sink_to_regain_fpm is not None or height_above_threshold_ft <= min(GATES_FT)
            yield self._high(off_deg, above_ft=height_above_path_ft, can_regain=can_regain, values=values)

    def _is_meant(self, off_deg: float, *, flaps_ratio: float | None, crosses_ft: float | None) -> bool:
        """Say whether somebody so high means to land on a runway that no plan names. crosses_ft: if it comes down."""
        params = self._params
        if flaps_ratio is not None and flaps_ratio >= params.flaps_out_ratio:
            return True
        below_ft = params.over_ft if flaps_ratio is None else params.circuit_ft
        if crosses_ft is not None and crosses_ft < below_ft:
            return True
        return flaps_ratio is None and off_deg <= params.not_meant * params.high_deg

    def _high(self, off_deg: float, *, above_ft: float, can_regain: bool, values: Values) -> Finding:
        amount = off_deg / self._params.high_deg
        serious = amount >= self._params.serious
        return Finding(
            alert=HIGH,
            level=Level.CAUTION if serious else Level.ADVICE,
            amount=amount,
            phrase=f"{HIGH}-lost" if serious and not can_regain else HIGH,
            values={"height_above_path_ft": above_ft, **values},
        )

    def _low(self, off_deg: float, *, below_ft: float, error_ft: float, height_ft: float, values: Values) -> Finding:
        amount = off_deg / self._params.low_deg
        surely = amount * max(1.0 - error_ft / max(below_ft, 1.0), 0.0) >= 1.0 or error_ft == 0.0
        serious = surely and (amount >= self._params.serious or height_ft < self._params.near_ft)
        regain_fpm = values.get("sink_to_regain_fpm")
        phrase = LOW if regain_fpm is None or float(regain_fpm) >= LEAST_SINK_FPM else f"{LOW}-level"
        return Finding(
            alert=LOW,
            level=Level.WARNING if serious else Level.CAUTION,
            amount=amount,
            phrase=f"{LOW}-near" if serious else phrase,
            values={"height_below_path_ft": below_ft, **values},
        )

    def _is_below_on_purpose(self, height_ft: float, vertical_speed_fpm: float | None) -> bool:
        params = self._params
        level = vertical_speed_fpm is not None and vertical_speed_fpm > -params.level_fpm
        return height_ft > (params.level_ft if level else params.steps_ft)


def _sink_values(hold_fpm: float, regain_fpm: float | None, next_gate_ft: float | None) -> dict[str, float | str]:
    """Return the sink rates that a call may name."""
    values: dict[str, float | str] = {"sink_to_hold_fpm": hold_fpm}
    if regain_fpm is not None and next_gate_ft is not None:
        values |= {"sink_to_regain_fpm": max(regain_fpm, 0.0), "next_gate_ft": next_gate_ft}
    return values


def _crosses_ft(
    *, height_ft: float, distance_nm: float, vertical_speed_fpm: float | None, groundspeed_kt: float | None
) -> float | None:
    """Return how high it would cross the threshold, going on as it does; None when that can't be told."""
    if vertical_speed_fpm is None or not groundspeed_kt:
        return None
    return height_ft + vertical_speed_fpm * distance_nm / groundspeed_kt * 60.0


ADVISORY = Advisory(name="glidepath", alerts=(HIGH, LOW), params=GlidepathParams, make=Glidepath)
