"""The study itself: cut the stream, find the position, then whatever the movement explains."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from otherseat.adapters import dis, mavlink, nmea
from otherseat.adapters.adapter import Adapter, RejectError
from otherseat.adapters.identify import lacking
from otherseat.adapters.identify.air import AirStudy
from otherseat.adapters.identify.airspeed import claim_airspeeds
from otherseat.adapters.identify.bytes import cut_bytes, cut_records
from otherseat.adapters.identify.columns import Column, Cut, onto
from otherseat.adapters.identify.ground import claim_groundspeed
from otherseat.adapters.identify.height import TOLD, best_height, claim_height
from otherseat.adapters.identify.position import Position, Search, overlap
from otherseat.adapters.identify.rows import Datagrams, as_text, cut_pairs, cut_text, cut_tree
from otherseat.adapters.identify.scale import LEAST_SPAN_M, Ground, GroundElevation, Judge
from otherseat.adapters.identify.signals import Array, Windows, correlation
from otherseat.adapters.identify.timebase import Timebase, other_paces, real_time
from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict
from otherseat.adapters.identify.vertical import Climb

STANDARDS: tuple[Adapter, ...] = (nmea.ADAPTER, dis.ADAPTER, mavlink.ADAPTER)
TRIED = 200
READ_SHARE = 0.9
SAMPLES = 1_200
SHORTEST_S = 20.0
LEAST_DATAGRAMS = 60
MOST_DATAGRAMS = 20_000
ROLLS = 0.4
"""Slower than this share of its speed it is on the ground, or about to be."""
HARDLY = 0.02
APART_S = 1e-4
NO_CLOCK = "; at real speed, that is: no column is a clock that would tell another pace"

UNSIGNED = {
    *("heading_true_deg", "heading_magnetic_deg", "track_true_deg"),
    *("groundspeed_kt", "indicated_airspeed_kt", "true_airspeed_kt"),
}
"""Fields without a sign; where a direction does go below zero its numbers did, and read alike in one way only."""
BOTH_WAYS = 0.9
"""Above this it only climbed, or only descended: fuel falls as the temperature does then."""

Looked = tuple[Search, Position | None]
Studied = tuple[Timebase, list[Column], Looked | None]
BETTER = 0.1
"""By so much the movement must fit better for a stream to count as played at another pace."""


@dataclass(frozen=True, slots=True)
class Helped:
    """What is known besides the stream."""

    units: Mapping[str, str] = field(default_factory=dict)
    """By field of height.TOLD and airspeed.AIRSPEEDS: the unit that a person says it is in."""
    ground_m: GroundElevation | None = None
    """The elevation of the airfield at a place."""
    so_far: bool = False
    """More comes: a verdict on what came so far says of nothing that the stream has none."""


@np.errstate(over="ignore", invalid="ignore")  # bytes that are no number read as huge ones, and are dropped for it
def identify(datagrams: Datagrams, *, helped: Helped | None = None) -> Verdict:
    """Return what can be said about a stream; datagrams are (time of receipt in seconds, bytes), in order."""
    datagrams = apart([item for item in datagrams if item[1]][:MOST_DATAGRAMS])
    verdict = Verdict(facts=facts(datagrams))
    if len(datagrams) < LEAST_DATAGRAMS or verdict.facts["seconds"] < SHORTEST_S:
        verdict.cannot_tell.append(f"anything: less than {SHORTEST_S:.0f} s or {LEAST_DATAGRAMS} datagrams came")
        return verdict
    verdict.known_as = standard(datagrams)
    if verdict.known_as:
        return verdict
    cut = cut_stream(datagrams)
    if cut is None or not cut.columns:
        verdict.cannot_tell.append("anything: no number in it varies the way a measured one does")
        return verdict
    verdict.shape = cut.shape
    study(cut, verdict, helped or Helped())
    return verdict


def apart(datagrams: Datagrams) -> Datagrams:
    """Return them with no two received at once, as after a stall: every sample has a time of its own."""
    later: list[tuple[float, bytes]] = []
    before_s = -math.inf
    for received_s, datagram in datagrams:
        before_s = max(received_s, before_s + APART_S)
        later.append((before_s, datagram))
    return later


def facts(datagrams: Datagrams) -> dict[str, object]:
    """Return counts of the stream."""
    seconds = datagrams[-1][0] - datagrams[0][0] if datagrams else 0.0
    sizes = Counter(len(datagram) for _, datagram in datagrams)
    rate = len(datagrams) / seconds if seconds > 0 else 0.0
    return {"datagrams": len(datagrams), "seconds": seconds, "rate_hz": rate, "sizes": sizes.most_common(5)}


def standard(datagrams: Datagrams) -> str:
    """Return the name of the open standard that the stream follows, empty when it follows none that we read."""
    sample = [datagram for _, datagram in datagrams[:TRIED]]
    for adapter in STANDARDS:
        decoder, fine = adapter.make({}), 0
        for datagram in sample:
            try:
                fine += bool(decoder.decode(datagram))
            except RejectError:
                continue
        if fine >= READ_SHARE * len(sample):
            return adapter.name
    return ""


def cut_stream(datagrams: Datagrams) -> Cut | None:
    """Return the stream's columns, by the first shape that it has."""
    tree = cut_tree(datagrams)
    if tree:
        return tree
    lines = as_text(datagrams)
    if lines is not None:
        return cut_pairs(lines) or cut_text(lines)
    return cut_records(datagrams) or cut_bytes(datagrams)


def study(cut: Cut, verdict: Verdict, helped: Helped) -> None:
    """Fill the verdict with claims about the columns."""
    grid_s, columns = on_grid(cut)
    timebase = real_time(columns, grid_s)
    varying, looked = look(columns, timebase)
    if timebase.clock is None:
        timebase, varying, looked = at_best_pace(columns, grid_s, (timebase, varying, looked))
    verdict.pace = timebase.pace
    if timebase.clock:
        verdict.claims.append(timebase.clock)
    if looked is None:
        verdict.cannot_tell.append("anything: too few columns vary")
        return
    search, position = looked
    if position is None or (cut.shape.kind == "binary" and not lacking.has_turned(position)):
        lacks = lacking.for_a_position(search, columns, so_far=helped.so_far)
        verdict.cannot_tell.append(lacks + ("" if timebase.clock else NO_CLOCK))
        verdict.advice = lacking.GET_A_GROUNDSPEED if lacking.no_groundspeed(search) else ""
        return
    flown, flying = in_flight(search, position)
    claim_position(flying, verdict)
    claim_motion(flown, flying, verdict, Ground.of(search, position, helped.ground_m), helped.units)
    claimed = [claim.column for claim in verdict.claims]
    if cut.shape.kind != "binary":
        verdict.unexplained = [c.label() for c in varying if not any(overlap(c, each) for each in claimed)]


def look(columns: Sequence[Column], timebase: Timebase) -> tuple[list[Column], Looked | None]:
    """Return the columns that vary, and what a search among them finds; None when they are too few."""
    clock = timebase.clock
    varying = [c for c in columns if np.ptp(c.values) > 0.0 and not (clock and overlap(c, clock.column))]
    varying = [c for c in varying if c.place.get("type") != "u64"]  # eight bytes of whole number are a clock's
    windows = Windows(timebase.times_s)
    if len(varying) < 3 or len(windows.inside) < LEAST_DATAGRAMS:  # noqa: PLR2004 - a position and what confirms it
        return varying, None
    return varying, best_search(varying, windows)


def at_best_pace(columns: Sequence[Column], grid_s: Array, by_receipt: Studied) -> Studied:
    """Return the pace at which the position moves as its speeds say: that of receipt, unless another fits better."""
    best, best_score = by_receipt, score_of(by_receipt) + BETTER
    for timebase in other_paces(columns, grid_s):
        studied = (timebase, *look(columns, timebase))
        if score_of(studied) > best_score and is_sure(studied):
            best, best_score = studied, score_of(studied)
    return best


def is_sure(studied: Studied) -> bool:
    """Say whether the position is beyond doubt: so much it takes to believe in another pace."""
    looked = studied[2]
    return bool(looked and looked[1] and not lacking.to_be_sure(looked[1]))


def score_of(studied: Studied) -> float:
    """Return how well the position is supported, 0 when there is none."""
    looked = studied[2]
    return looked[1].score if looked and looked[1] else 0.0


def best_search(columns: Sequence[Column], windows: Windows) -> tuple[Search, Position | None]:
    """Return the search that found the best position: over all columns, or over those of one byte order."""
    orders = sorted(
        {column.order for column in columns if column.order and column.span().stop - column.span().start > 1}
    )
    results = []
    for order in orders or [""]:
        single = [c for c in columns if not order or c.order == order or len(c.span()) == 1 or not c.span()]
        if single:
            search = Search(single, windows)
            results.append((search, search.best()))
    return max(results, key=lambda item: item[1].score if item[1] else -1.0)


def on_grid(cut: Cut) -> tuple[Array, list[Column]]:
    """Return common times and every column on them: those of the message that comes most often, thinned out."""
    main = max(cut.columns, key=lambda raw: len(raw.times_s))
    times_s = main.times_s
    step = max(1, len(times_s) // SAMPLES)
    grid_s = times_s[::step]
    return grid_s, [onto(raw, grid_s) for raw in cut.columns]


def claim_position(position: Position, verdict: Verdict) -> None:
    """Claim latitude and longitude."""
    missing = lacking.to_be_sure(position)
    certainty = Certainty.LIKELY if missing else Certainty.SURE
    why = "; ".join(position.reasons)
    for name, axis in (("latitude_deg", position.latitude), ("longitude_deg", position.longitude)):
        verdict.claims.append(Claim(name, axis.column, axis.reading.unit, certainty, why, scale=axis.reading.scale))
    if missing:
        verdict.cannot_tell.append(missing)


def in_flight(search: Search, position: Position) -> tuple[Search, Position]:
    """Return search and position without the time that it stood or rolled slowly: no law of flight holds there."""
    fast = position.speed > ROLLS * np.quantile(position.speed, 0.9)
    if fast.mean() > 1.0 - HARDLY:
        return search, position
    return Search(search.columns, search.windows.only(fast)), replace(position, velocity=position.velocity[fast])


def claim_motion(
    search: Search, position: Position, verdict: Verdict, ground: Ground | None, told: Mapping[str, str]
) -> None:
    """Claim speeds, directions, altitude, vertical speed, attitude and air."""
    air = AirStudy(search, position)
    air.components()
    air.reserve()
    air.directions()
    air.bank()
    heights = {name: unit for name, unit in told.items() if name in TOLD}
    height = best_height(search, air, Judge(search, air, ground), heights)
    if height:
        claim_height(height, air)
    settled = height.climb if height and not height.is_open else None
    air.reserved.clear()
    claim_groundspeed(air, (height.climb, *height.others) if height else ())
    claim_airspeeds(air, settled.altitude_m if settled else None, told)
    air.pitch(settled.climb_mps if settled else None)
    verdict.up_and_down = settled is not None and goes_both_ways(search, settled)
    if settled and verdict.up_and_down:
        claim_air(search, air, settled)
    verdict.claims += [without_sign(claim) for claim in air.claims]
    verdict.cannot_tell += air.cannot_tell


def without_sign(claim: Claim) -> Claim:
    """Return the claim with the bytes read without a sign, where the field has none and the numbers are the same.

    With one a heading in hundredths of a degree jumps at 328 degrees, and a speed may too.
    """
    if claim.field not in UNSIGNED:
        return claim
    size = str(claim.column.place.get("type", ""))[1:]
    places = [place for place in claim.column.unsigned if str(place["type"])[1:] == size]
    column = replace(claim.column, place=places[0]) if places else claim.column
    return replace(claim, column=column, others=tuple(without_sign(other) for other in claim.others))


def goes_both_ways(search: Search, climb: Climb) -> bool:
    """Say whether it climbed and descended, and by so much that temperature and pressure tell."""
    times_s = search.windows.times_s[search.windows.inside]
    metres = climb.altitude_m
    return bool(np.ptp(metres) >= LEAST_SPAN_M and abs(correlation(metres, times_s)) <= BOTH_WAYS)


def claim_air(search: Search, air: AirStudy, climb: Climb) -> None:
    """Claim temperature and pressure outside: they change with height as they do in the standard atmosphere."""
    metres = climb.altitude_m
    standard_k = 288.15 - 0.0065 * metres
    standard_hpa = 1013.25 * (standard_k / 288.15) ** 5.25588
    for index, column in enumerate(search.columns):
        mean = search.means[:, index]
        if air.taken(column) or abs(correlation(mean, metres)) < 0.98 or column.whole:  # noqa: PLR2004
            continue
        for unit, factor, offset in (("K", 1.0, 0.0), ("C", 1.0, 273.15), ("F", 5 / 9, 255.372), ("R", 5 / 9, 0.0)):
            kelvin = mean * factor + offset
            slope = float(np.polyfit(metres, kelvin, 1)[0])
            if np.abs(kelvin - standard_k).max() < 30.0 and -0.0105 < slope < -0.004:  # noqa: PLR2004 - near the standard
                why = f"falls by {-slope * 1000:.1f} K a kilometre"
                air.claims.append(Claim("outside_air_temperature_c", column, unit, Certainty.LIKELY, why))
                break
        for unit, factor in (("hPa", 1.0), ("inHg", 33.8639), ("psf", 0.478803), ("Pa", 0.01), ("kPa", 10.0)):
            if not air.taken(column) and np.abs(mean * factor / standard_hpa - 1.0).max() < 0.04:  # noqa: PLR2004
                why = "is the pressure of the standard atmosphere at this height, within 4%"
                air.claims.append(Claim("static_pressure_hpa", column, unit, Certainty.LIKELY, why))
                break
