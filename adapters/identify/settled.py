"""While listening: what is known by now, what is still open and what flight would settle it, and when all is known.

Settled  position, airspeed and a direction are sure, an altitude and a speed over the ground are there, and so is the
         vertical speed, unless the stream has none: an altitude that was found is one whose slope was looked for
"""

from otherseat.adapters.identify.lacking import IF_FLOWN
from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict, plain

SURELY = {"latitude_deg", "longitude_deg"}
AIRSPEEDS = ("indicated_airspeed_kt", "true_airspeed_kt")
DIRECTIONS = ("heading_true_deg", "heading_magnetic_deg", "track_true_deg")
OVER_GROUND = ("groundspeed_kt", "velocity_north_kt")


def is_settled(verdict: Verdict) -> bool:
    """Say whether more flying would add nothing that a pilot needs."""
    if verdict.known_as:
        return True
    sure = {claim.field for claim in verdict.claims if claim.certainty is Certainty.SURE}
    unsure = {claim.field for claim in verdict.claims} - sure
    written = {claim.field for claim in verdict.written()}
    return (
        not verdict.open()
        and sure >= SURELY
        and any(field in sure for field in AIRSPEEDS)
        and any(field in sure for field in DIRECTIONS)
        and any(field in written for field in OVER_GROUND)
        and "altitude_ft" in written
        and "vertical_speed_fpm" not in unsure
    )


def fingerprint(verdict: Verdict) -> tuple[str, ...]:
    """Return every claim without its reason, to compare two studies of one stream."""
    return tuple(sorted(print_of(claim) for claim in verdict.claims) or [verdict.known_as])


def print_of(claim: Claim) -> str:
    """Return what one study claims, to find it in another."""
    return f"{claim.field} {claim.place()} {claim.certainty}"


def so_far(verdict: Verdict, before: tuple[str, ...] = ()) -> list[str]:
    """Return what is known by now and what is only likely, and a line for everything that is open.

    before: the fingerprint of the study before. What only one study found is likely: it may be bytes that passed for a
    speed while little was flown.
    """
    if verdict.known_as:
        return [f"this is an open standard, {verdict.known_as}"]
    written = verdict.written()
    sure = [claim for claim in written if claim.certainty is Certainty.SURE and print_of(claim) in before]
    unsure = {plain(claim.field) for claim in written if claim not in sure}
    names = dict.fromkeys(plain(claim.field) for claim in written)
    known, likely = ([name for name in names if (name in unsure) is each] for each in (False, True))
    return [
        f"known: {', '.join(known) or 'nothing yet'}" + (f"; likely so far: {', '.join(likely)}" if likely else ""),
        *(f"open: {text.partition(IF_FLOWN)[0]}" for text in dict.fromkeys(verdict.cannot_tell)),
    ]
