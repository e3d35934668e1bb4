"""Phase of flight from on-ground, speed, height and where the runway is.

parked    on the ground, under 1 kt
taxi      on the ground, slower than take-off speeds
take-off  on the ground from 40 kt up, having started from the ground; in the air until 400 ft above it. Where nobody
          tells the ground, a roll goes on until 60 ft above where it was slower than 35 kt
climb     climbing faster than 300 ft/min for 10 s, until slower than 210 ft/min for 20 s
descent   sinking likewise
cruise    none of these
approach  within 12 NM of the destination and lower than 3,000 ft above it, once 500 ft below the highest level
          flown or at circuit height; a low cruise past the field is still a cruise. A field that no plan names is
          approached only by a track that leads to within 5 NM of it, and circuit height is none farther away
final     tracking to the runway in use within 40 deg, inside its 12 deg cone (or 0.3 NM), within 10 NM, seen from the
          threshold less than 9 deg up, once it sinks or has come down
landed    on the ground after flight, until slower than 15 kt: jets leave a runway at 30 and more

After the CAST/ICAO taxonomy (Phase of Flight, Definitions and Usage Notes; from memory) an approach begins at the
initial approach fix, or by eye with the entry of the circuit or 1,000 ft above the runway; before that it is en route.
Who is led past or around a planned field is past that fix; where there is no plan nobody knows of one.

The figures are common practice, no source; they only say in which phase an alert may stand, never how bad it is.
"""

import math
from dataclasses import dataclass

from otherseat.advisories.latch import Latch
from otherseat.advisories.picture import Phase
from otherseat.advisories.state import State
from otherseat.advisories.units import FT_PER_NM

ON_THE_GROUND = frozenset({Phase.PARKED, Phase.TAXI, Phase.TAKE_OFF, Phase.LANDED})
PARKED_BELOW_KT = 1.0
TAKE_OFF_FROM_KT = 40.0
LANDED_UNTIL_KT = 15.0
AIRBORNE_FROM_KT = 35.0
CLEAR_OF_GROUND_FT = 400.0
ROLLING_WITHIN_FT = 60.0
"""A runway of 2,000 ft that rises by 2 % takes two thirds of it."""
LEVEL_WITHIN_FPM = 300.0
LEVEL_MARGIN = 0.3
BEGUN_AFTER_S = 10.0
OVER_AFTER_S = 20.0
"""With 10 s, 67 recorded arrivals hear 74 calls of the top of descent and not 68, four of them a third one and not two
(tests/real_traffic, the plan with the airfield alone)."""
APPROACH_WITHIN_NM = 12.0
APPROACH_BELOW_FT = 3_000.0
FINAL_WITHIN_NM = 10.0
BEYOND_THRESHOLD_NM = -0.5
FINAL_STEEPEST = math.tan(math.radians(9.0))
FINAL_SHORT_NM = 1.0
FINAL_TRACK_DEG = 40.0
FINAL_CONE = math.tan(math.radians(12.0))
FINAL_HALF_WIDTH_NM = 0.3
GROUND_CONTACT_FT = 12.0
CIRCUIT_BELOW_FT = 1_600.0
CIRCUIT_WITHIN_NM = 5.0
DESCENT_BEGUN_FT = 500.0


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """What the phase needs to know about the runway in use and the destination; None for not known."""

    distance_to_threshold_nm: float | None = None
    offset_nm: float | None = None
    course_difference_deg: float | None = None
    height_above_field_ft: float | None = None
    distance_to_field_nm: float | None = None
    nearest_to_field_nm: float | None = None
    """How near the present track leads to a field that no plan names; None when the plan names it."""


class Ground:
    """One aircraft on the ground or in the air, over time; whoever judges that judges it here."""

    def __init__(self) -> None:
        self._on_ground = False
        self._slow_ft: float | None = None
        """Where it was last too slow to fly, on the ground."""

    def step(
        self, *, reported: bool | None, height_agl_ft: float | None, groundspeed_kt: float, altitude_ft: float | None
    ) -> bool:
        """Say whether it is on the ground now; altitude_ft is to be compared with others of the same source."""
        told = reported is not None or height_agl_ft is not None
        now = is_on_ground(reported=reported, height_agl_ft=height_agl_ft, groundspeed_kt=groundspeed_kt)
        if now and groundspeed_kt < AIRBORNE_FROM_KT:
            self._slow_ft = altitude_ft
        self._on_ground = now or (not told and self._on_ground and self._is_rolling(altitude_ft))
        return self._on_ground

    def _is_rolling(self, altitude_ft: float | None) -> bool:
        """Judge by altitude whether who was on the ground still is, where nothing tells the ground."""
        if altitude_ft is None or self._slow_ft is None:
            return False
        return altitude_ft < self._slow_ft + ROLLING_WITHIN_FT


class PhaseTracker:
    """One aircraft's phase over time."""

    def __init__(self) -> None:
        self.phase: Phase | None = None
        self.on_ground = False
        self._ground = Ground()
        self._climbing = Latch(hold_s=BEGUN_AFTER_S, clear_s=OVER_AFTER_S, margin=LEVEL_MARGIN)
        self._sinking = Latch(hold_s=BEGUN_AFTER_S, clear_s=OVER_AFTER_S, margin=LEVEL_MARGIN)
        self._left_ground_ft: float | None = None
        self._top_ft: float | None = None

    def step(self, *, state: State, groundspeed_kt: float, sink_fpm: float, where: Whereabouts) -> Phase:
        """Return the phase at this state."""
        climbing = self._climbing.step(time_s=state.time_s, amount=-sink_fpm / LEVEL_WITHIN_FPM)
        sinking = self._sinking.step(time_s=state.time_s, amount=sink_fpm / LEVEL_WITHIN_FPM)
        self.on_ground = self._ground.step(
            reported=state.on_ground,
            height_agl_ft=state.height_agl_ft,
            groundspeed_kt=groundspeed_kt,
            altitude_ft=any_altitude_ft(state),
        )
        if self.on_ground:
            self.phase = self._on_ground(groundspeed_kt=groundspeed_kt)
            self._left_ground_ft = self._top_ft = any_altitude_ft(state)
        else:
            self._top_ft = highest_ft(self._top_ft, any_altitude_ft(state))
            self.phase = self._in_air(state=state, climbing=climbing, sinking=sinking, where=where)
        return self.phase

    def _on_ground(self, *, groundspeed_kt: float) -> Phase:
        came_down = self.phase is not None and self.phase not in ON_THE_GROUND
        if (came_down or self.phase is Phase.LANDED) and groundspeed_kt >= LANDED_UNTIL_KT:
            return Phase.LANDED
        if groundspeed_kt >= TAKE_OFF_FROM_KT:
            return Phase.TAKE_OFF
        return Phase.TAXI if groundspeed_kt >= PARKED_BELOW_KT else Phase.PARKED

    def _in_air(self, *, state: State, climbing: bool, sinking: bool, where: Whereabouts) -> Phase:
        if self._is_just_off(state):
            return Phase.TAKE_OFF
        if climbing:
            return Phase.CLIMB
        if sinking or self._has_come_down(state=state, where=where):
            if is_final(where):
                return Phase.FINAL
            if is_approach(where):
                return Phase.APPROACH
        return Phase.DESCENT if sinking else Phase.CRUISE

    def _has_come_down(self, *, state: State, where: Whereabouts) -> bool:
        """Tell an arrival from a low cruise: at circuit height, or below the highest level flown."""
        if is_at_circuit_height(where):
            return True
        altitude_ft = any_altitude_ft(state)
        if self._top_ft is None or altitude_ft is None:
            return True
        return altitude_ft < self._top_ft - DESCENT_BEGUN_FT

    def _is_just_off(self, state: State) -> bool:
        altitude_ft = any_altitude_ft(state)
        if self.phase is not Phase.TAKE_OFF or self._left_ground_ft is None or altitude_ft is None:
            return False
        return altitude_ft - self._left_ground_ft < CLEAR_OF_GROUND_FT


def any_altitude_ft(state: State) -> float | None:
    """Return an altitude to be compared with another of the same simulator: true, or else as shown, or by pressure."""
    for altitude_ft in (state.altitude_ft, state.indicated_altitude_ft, state.pressure_altitude_ft):
        if altitude_ft is not None:
            return altitude_ft
    return None


def highest_ft(top_ft: float | None, altitude_ft: float | None) -> float | None:
    """Return the higher of two altitudes, either of which may be missing."""
    known = [value for value in (top_ft, altitude_ft) if value is not None]
    return max(known, default=None)


def is_on_ground(*, reported: bool | None, height_agl_ft: float | None, groundspeed_kt: float) -> bool:
    """Return the report, or else a judgement from height above ground, or else from speed alone."""
    if reported is not None:
        return reported
    if height_agl_ft is not None:
        return height_agl_ft < GROUND_CONTACT_FT
    return groundspeed_kt < AIRBORNE_FROM_KT


def is_final(where: Whereabouts) -> bool:
    """Say whether the aircraft is on final for the runway in use."""
    distance_nm, offset_nm = where.distance_to_threshold_nm, where.offset_nm
    if distance_nm is None or offset_nm is None or where.course_difference_deg is None:
        return False
    if where.height_above_field_ft is not None:
        steepness = where.height_above_field_ft / (max(distance_nm, FINAL_SHORT_NM) * FT_PER_NM)
        if steepness > FINAL_STEEPEST:
            return False
    return (
        BEYOND_THRESHOLD_NM < distance_nm <= FINAL_WITHIN_NM
        and abs(where.course_difference_deg) <= FINAL_TRACK_DEG
        and abs(offset_nm) <= max(FINAL_HALF_WIDTH_NM, distance_nm * FINAL_CONE)
    )


def is_at_circuit_height(where: Whereabouts) -> bool:
    """Say whether the aircraft is as low as a circuit; of a field that no plan names, also as near."""
    if where.height_above_field_ft is None or where.height_above_field_ft >= CIRCUIT_BELOW_FT:
        return False
    if where.nearest_to_field_nm is None or where.distance_to_field_nm is None:
        return True
    return where.distance_to_field_nm <= CIRCUIT_WITHIN_NM


def is_approach(where: Whereabouts) -> bool:
    """Say whether the aircraft is low and near the field, and where no plan names that, on the way to it."""
    if where.height_above_field_ft is None or where.distance_to_field_nm is None:
        return False
    if where.nearest_to_field_nm is not None and where.nearest_to_field_nm > CIRCUIT_WITHIN_NM:
        return False
    return where.height_above_field_ft < APPROACH_BELOW_FT and where.distance_to_field_nm < APPROACH_WITHIN_NM
