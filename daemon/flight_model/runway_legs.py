"""Legs on and off a runway: the ends of a flight, and the way back from one.

TakeOff   from standing to a height above the runway
GoAround  from final, straight ahead, up to a height
Land      flare, touch down, stop
"""

from dataclasses import dataclass, field

from otherseat.advisories.path import sink_rate_to_hold_fpm
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.flight_model.guidance import Spot, bank_to_centreline, sink_to_path, spot
from otherseat.daemon.flight_model.legs import INTERCEPT_DEG, climb_pitch, steer
from otherseat.daemon.flight_model.loops import Demand, Handling, clamp
from otherseat.daemon.flight_model.model import View

STOPPED_KT = 1.0
SHUFFLING_KT = 3.0
SHUFFLING_S = 10.0
"""Braked and slower than that for so long it stands, though the model's wheels shuffle on."""
FASTER_KT = 10.0
"""So much faster than the approach a go-around is flown: first it climbs, then it gains speed."""


@dataclass(slots=True)
class TakeOff:
    """Full power, keep the centreline, rotate, climb away straight."""

    end: RunwayEnd
    until_height_ft: float

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """On the ground steer; in the air keep the line at the climbing speed."""
        place = spot(view=view, end=self.end)
        if view.on_ground:
            pitch_deg = handling.climb_pitch_deg if view.airspeed_kt >= handling.rotate_kt else 0.0
            return Demand(
                heading_true_deg=steer(end=self.end, place=place),
                pitch_deg=pitch_deg,
                throttle=1.0,
                flaps=handling.take_off_flaps,
            )
        bank = bank_to_centreline(
            view=view, end=self.end, place=place, handling=handling, most_deg=INTERCEPT_DEG, most_bank_deg=10.0
        )
        pitch_deg = climb_pitch(view=view, handling=handling)
        return Demand(bank_deg=bank, pitch_deg=pitch_deg, throttle=1.0, flaps=handling.take_off_flaps)

    def done(self, *, view: View) -> bool:
        """Say whether it is high enough."""
        return view.altitude_ft - self.end.elevation_ft >= self.until_height_ft


@dataclass(slots=True)
class GoAround:
    """From final: full power, climb away along the centreline."""

    end: RunwayEnd
    until_height_ft: float

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Climb straight ahead."""
        place = spot(view=view, end=self.end)
        bank = bank_to_centreline(
            view=view, end=self.end, place=place, handling=handling, most_deg=INTERCEPT_DEG, most_bank_deg=10.0
        )
        pitch_deg = climb_pitch(view=view, handling=handling, airspeed_kt=handling.approach_kt + FASTER_KT)
        return Demand(bank_deg=bank, pitch_deg=pitch_deg, throttle=1.0, flaps=handling.take_off_flaps)

    def done(self, *, view: View) -> bool:
        """Say whether it is high enough."""
        return view.altitude_ft - self.end.elevation_ft >= self.until_height_ft


@dataclass(slots=True)
class Land:
    """Down the last of the path, flare, touch down, stop on the centreline; or only touch."""

    end: RunwayEnd
    touch_only: bool = False
    _touched: bool = field(default=False, init=False)
    _rolled_s: float = field(default=0.0, init=False)
    """When it was last faster than a shuffle."""

    def demand(self, *, view: View, handling: Handling) -> Demand:
        """Fly the path, then the flare, then the roll-out."""
        place = spot(view=view, end=self.end)
        self._touched = self._touched or view.on_ground
        self._rolled_s = view.time_s if view.groundspeed_kt > SHUFFLING_KT else self._rolled_s
        if self._touched:
            return self._roll_out(view=view, place=place, handling=handling)
        bank = bank_to_centreline(
            view=view, end=self.end, place=place, handling=handling, most_deg=10.0, most_bank_deg=12.0
        )
        wheels_ft = view.height_agl_ft - handling.standing_ft
        if wheels_ft > handling.flare_ft:
            sink = sink_to_path(view=view, end=self.end, place=place, most_fpm=900.0)
            return Demand(
                bank_deg=bank,
                vertical_speed_fpm=sink,
                airspeed_kt=handling.approach_kt,
                flaps=handling.approach_flaps,
            )
        sink = flare_sink_fpm(view=view, wheels_ft=wheels_ft, flare_ft=handling.flare_ft)
        return Demand(
            bank_deg=clamp(bank, -5.0, 5.0), vertical_speed_fpm=sink, throttle=0.0, flaps=handling.approach_flaps
        )

    def _roll_out(self, *, view: View, place: Spot, handling: Handling) -> Demand:
        return Demand(
            heading_true_deg=steer(end=self.end, place=place),
            pitch_deg=0.0,
            throttle=0.0,
            brakes=handling.braking if view.groundspeed_kt < handling.brake_below_kt else 0.0,
        )

    def done(self, *, view: View) -> bool:
        """Say whether it has stopped, or touched when that is all."""
        stands = view.groundspeed_kt <= STOPPED_KT or view.time_s - self._rolled_s > SHUFFLING_S
        return self._touched and (self.touch_only or stands)


TOUCHDOWN_FPM = 90.0
FLARE_FROM_DEG = 3.0


def flare_sink_fpm(*, view: View, wheels_ft: float, flare_ft: float) -> float:
    """Return the vertical speed of a flare that starts at the path's sink and dies away with height."""
    path_fpm = sink_rate_to_hold_fpm(groundspeed_kt=view.groundspeed_kt, angle_deg=FLARE_FROM_DEG)
    share = clamp(wheels_ft / flare_ft, 0.0, 1.0)
    return -(TOUCHDOWN_FPM + share * max(path_fpm - TOUCHDOWN_FPM, 0.0))
