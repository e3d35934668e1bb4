"""While listening: what is known by now, what is still open and what flight would settle it, and when all is known.

Settled  position, airspeed and a direction are sure, an altitude and a speed over the ground are there, and so is the
         vertical speed, unless the stream has none: an altitude that was found is one whose slope was looked for. It
         went up and down: what changes with height, the temperature outside above all, shows itself then
"""

from otherseat.adapters.identify.airspeed import AIRSPEEDS
from otherseat.adapters.identify.lacking import IF_FLOWN
from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict, plain

SURELY = {"latitude_deg", "longitude_deg"}
DIRECTIONS = ("heading_true_deg", "heading_magnetic_deg", "track_true_deg")
WITH_HEIGHT = "what changes with height, such as the temperature outside: climb and descend, 200 ft or more"
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
        and verdict.up_and_down
    )


def is_all_there(verdict: Verdict) -> bool:
    """Say whether there is no more to look for, though an airspeed may be one or another, as at this height it is."""
    fields = {claim.field for claim in verdict.claims}
    return verdict.up_and_down and verdict.found() and any(field in fields for field in AIRSPEEDS)


def fingerprint(verdict: Verdict) -> tuple[str, ...]:
    """Return every claim without its reason, to compare two studies of one stream."""
    return tuple(sorted(print_of(claim) for claim in verdict.claims) or [verdict.known_as])


def print_of(claim: Claim) -> str:
    """Return what one study claims, to find it in another."""
    return f"{claim.field} {claim.place()} {claim.certainty}"


def known_names(verdict: Verdict, before: tuple[str, ...]) -> list[str]:
    """Return what a pilot knows by now: what two studies in a row are sure of; before: the first one's fingerprint.

    What only one study found is likely: it may be bytes that passed for a speed while little was flown.
    """
    unsure = {
        plain(claim.field)
        for claim in verdict.written()
        if claim.certainty is not Certainty.SURE or print_of(claim) not in before
    }
    return [name for name in dict.fromkeys(plain(claim.field) for claim in verdict.written()) if name not in unsure]


def so_far(verdict: Verdict, before: tuple[str, ...] = ()) -> list[str]:
    """Return what is known by now and what is only likely, and a line for everything that is open."""
    if verdict.known_as:
        return [f"this is an open standard, {verdict.known_as}"]
    known = known_names(verdict, before)
    likely = [name for name in dict.fromkeys(plain(claim.field) for claim in verdict.written()) if name not in known]
    open_ones = [text.partition(IF_FLOWN)[0] for text in dict.fromkeys(verdict.cannot_tell)]
    if not verdict.up_and_down and any(claim.field == "altitude_ft" for claim in verdict.written()):
        open_ones.append(WITH_HEIGHT)
    return [
        f"known: {', '.join(known) or 'nothing yet'}" + (f"; likely so far: {', '.join(likely)}" if likely else ""),
        *(f"open: {text}" for text in open_ones),
    ]
