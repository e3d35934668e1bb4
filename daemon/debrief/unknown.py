"""Unknown: what a debrief could not know, and what it took instead. Said on the page, never left to be guessed."""

from collections.abc import Iterator

import numpy as np

from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.debrief.airspeed import INDICATED
from otherseat.daemon.debrief.approach import LOWEST_FT, PRESSURE, Approach, contact
from otherseat.daemon.debrief.flown import Flown
from otherseat.daemon.debrief.reactions import last_silence_s
from otherseat.daemon.debrief.track import Track
from otherseat.daemon.debrief.wind import WIND

GAP_TOLD_S = 5.0
MISSING = (
    ("indicated_airspeed_kt", "no indicated airspeed: speed is not judged"),
    ("bank_deg", "no bank angle: wings are not judged"),
    ("wind_speed_kt", "no wind was reported, and none can be worked out"),
)


def unknown(flown: Flown, approach: Approach | None) -> list[str]:
    """Return what was not known, in sentences without a full stop."""
    return [
        *_approach(flown, approach),
        *_heights(flown.track, approach),
        *_numbers(flown.track),
        *_plan(flown),
        *_recording(flown),
    ]


def _approach(flown: Flown, approach: Approach | None) -> Iterator[str]:
    if not np.isfinite(contact(flown.track)).any():
        yield "neither ground contact nor height above ground was reported: no touchdown can be told"
        yield "the time in the air is judged by speed and altitude"
    elif approach is not None and approach.touchdown is None:
        yield "no touchdown was seen: the approach is judged to its lowest point"
    if approach is None:
        yield f"no approach was flown below {LOWEST_FT:,.0f} ft above a known runway"


def _heights(track: Track, approach: Approach | None) -> Iterator[str]:
    if track.altitude_from == "altitude_ft":
        return
    name = track.altitude_from.removesuffix("_ft").replace("_", " ")
    if track.altitude_from == PRESSURE and approach is not None and approach.height_error_ft is not None:
        yield f"heights are by {name}, less the {approach.height_error_ft:.0f} ft that it showed on the runway"
    elif track.altitude_from == PRESSURE:
        yield f"heights are by {name}, wrong by an error that nobody knows: the path is not judged"
    else:
        yield f"no true altitude was reported: heights are by {name}, as wrong as its setting"


def _numbers(track: Track) -> Iterator[str]:
    for name in sorted(track.computed.difference(WIND, {INDICATED})):
        yield f"{name.rpartition('_')[0].replace('_', ' ')} was worked out from positions"
    if INDICATED in track.computed:
        yield "no indicated airspeed was reported: it was worked out from true airspeed, altitude and temperature"
    if track.computed.issuperset(WIND):
        yield "no wind was reported: it was worked out from airspeed, heading and the way over the ground"
    yield from (told for name, told in MISSING if not track.known(name))


def _plan(flown: Flown) -> Iterator[str]:
    if flown.plan.destination is None:
        yield "no destination was planned"
    if flown.plan.plan.approach_speed_kt is None:
        kind = "the usual aircraft" if flown.plan.profile is None else f"a {flown.plan.profile.name}"
        yield f"no approach speed was planned: that of {kind} was taken"


def _recording(flown: Flown) -> Iterator[str]:
    if not flown.told:
        yield "nobody was listening: no alerts and calls are in the recording"
    gaps = int((np.diff(flown.track["time_s"]) > GAP_TOLD_S).sum())
    if gaps:
        yield f"{gaps} gaps of more than {GAP_TOLD_S:.0f} s in the recording"
    silent_s = last_silence_s(alerts=flown.alerts, track=flown.track)
    if silent_s is not None:
        yield f"the simulator fell silent before {clock_words(silent_s)}, and the recording ends with that"
    if flown.damage is not None:
        yield f"the recording ends early ({flown.damage})"
