"""A verdict in words, and as a layout file."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict

HEADINGS = {
    Certainty.SURE: "Sure of",
    Certainty.LIKELY: "Likely, check it",
    Certainty.OPEN: "Open, not in the layout until you choose",
}
WHAT_TO_FLY = (
    "a turn of 90 degrees or more each way, a climb and a descent, half a minute each and level in between (you may "
    "turn on the way), and 20 kt faster and back"
)
HINT = (
    f"Fly for two minutes: {WHAT_TO_FLY}.\n"
    "Needed in the stream: a position, a direction and a groundspeed (or the velocities north and east)."
)


def toml(value: Any) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, str):
        return json.dumps(value)
    return str(value).lower() if isinstance(value, bool) else repr(value)


def words(verdict: Verdict, *, remark: str = "") -> str:
    """Return what was found out, for a person; remark: of how the stream came, a line below the counts."""
    first, *others = lines(verdict)
    return "\n".join([first, *([remark] if remark else []), *others]) + "\n"


def lines(verdict: Verdict) -> Iterator[str]:
    """Yield the report line by line."""
    yield counts(verdict.facts)
    if not verdict.facts["datagrams"]:
        return
    if verdict.known_as:
        yield f'This is an open standard that is read without a layout: adapter = "{verdict.known_as}"'
        return
    if verdict.shape:
        said = ", ".join(f"{key} {value!r}" for key, value in verdict.shape.section.items())
        yield f"Kind: {verdict.shape.kind}" + (f" ({said})" if said else "") + counting(verdict)
    if verdict.pace != 1.0:
        faster = "faster" if verdict.pace > 1.0 else "slower"
        yield f"Played {faster} than real time, {verdict.pace:.3g} times as fast: worked out by its own clock"
    if not verdict.found():
        yield "Nothing found that a layout could be made of."
    yield from claim_lines(verdict)
    if verdict.cannot_tell:
        yield "Can't tell:"
        yield from (f"  {text}" for text in dict.fromkeys(verdict.cannot_tell))
    if verdict.unexplained:
        yield f"Varies, and nothing here explains it: {', '.join(verdict.unexplained)}"
    if not verdict.found():
        yield verdict.advice or HINT


def claim_lines(verdict: Verdict) -> Iterator[str]:
    """Yield the claims, the sure ones first."""
    for certainty, heading in HEADINGS.items():
        claims = [claim for claim in verdict.claims if claim.certainty is certainty]
        if claims:
            yield f"{heading}:"
            yield from (f"  {claim_words(claim)}" for claim in claims)


def counts(facts: Mapping[str, Any]) -> str:
    """Return how many datagrams came, how often and how long they are."""
    if not facts["datagrams"]:
        return "Nothing found: no datagram came that has anything in it."
    return (
        f"{facts['datagrams']} datagrams in {facts['seconds']:.0f} s, {facts['rate_hz']:.1f} a second"
        f"{lengths(facts['sizes'], of=facts['datagrams'])}"
    )


def lengths(sizes: Sequence[tuple[int, int]], *, of: int) -> str:
    """Return how long so many datagrams are; sizes: of the commonest lengths in bytes, with how often each came."""
    if len(sizes) == 1:
        return f", each {sizes[0][0]} bytes long"
    shown = [f"{size} bytes ({times(count)})" for size, count in sizes]
    others = of - sum(count for _, count in sizes)
    return f"; lengths: {', '.join([*shown, *([f'others ({times(others)})'] if others else [])])}"


def times(count: int) -> str:
    """Return how often."""
    return "once" if count == 1 else f"{count} times"


def counting(verdict: Verdict) -> str:
    """Return from where places are counted, as in the layout; "" where they have names."""
    columns = [claim.column.place for claim in verdict.claims]
    if any(isinstance(place.get("column"), int) for place in columns):
        return "; columns count from 0"
    return "; bytes count from 0" if any("at" in place for place in columns) else ""


def claim_words(claim: Claim) -> str:
    """Return one claim in words."""
    order = f" ({claim.column.order} endian)" if claim.column.order and "at" in claim.column.place else ""
    scale = f" x {claim.scale:.7g}" if claim.scale != 1.0 else ""
    sign = ", sign reversed" if claim.sign < 0 else ""
    others = "".join(f" or {other_words(claim, other)}" for other in claim.others)
    return f"{claim.field}: {claim.column.label()}{order}, {claim.unit}{scale}{sign}{others}: {claim.why}"


def other_words(claim: Claim, other: Claim) -> str:
    """Return what else a column may be: the field only when there are several."""
    scale = f" x {other.scale:.7g}" if other.scale != 1.0 else ""
    alone = all(each.field == claim.field for each in claim.others)
    return f"{other.unit}{scale}" if alone else f"{other.field}, {other.unit}{scale}"


def layout_text(verdict: Verdict, *, name: str) -> str:
    """Return the layout file; ValueError when nothing worth a layout was found."""
    shape = verdict.shape
    if shape is None or not verdict.found():
        raise ValueError("nothing was found that a layout could be made of")
    out = [
        "# Worked out from a capture. Check what is only likely before you rely on it.",
        f"name = {toml(name)}",
        'summary = "identified stream"',
        f"kind = {toml(shape.kind)}",
        "",
    ]
    section = section_of(verdict)
    if section:
        out += [f"[{ {'json': 'tree', 'msgpack': 'tree'}.get(shape.kind, shape.kind) }]"]
        out += [f"{key} = {toml(value)}" for key, value in section.items()] + [""]
    for index, said in enumerate(shape.messages):
        written = [claim for claim in verdict.written() if claim.column.message == index]
        unset = [claim for claim in verdict.open() if claim.column.message == index]
        if written or unset:
            out += message_lines(said, written, unset)
    return "\n".join(out)


def section_of(verdict: Verdict) -> dict[str, Any]:
    """Return the table that says how the stream is cut; the byte order is that of the position."""
    section = dict(verdict.shape.section) if verdict.shape else {}
    latitude = verdict.claim("latitude_deg")
    if verdict.shape and verdict.shape.kind == "binary" and latitude and latitude.column.order:
        section["byte_order"] = latitude.column.order
    return section


def message_lines(said: Mapping[str, Any], claims: Sequence[Claim], unset: Sequence[Claim]) -> list[str]:
    """Return one message of the layout; a message with nothing but open fields is a comment as a whole."""
    mark = "" if claims else "# "
    out = [f"{mark}{line}" for line in ("[[message]]", *(f"{k} = {toml(v)}" for k, v in said.items()))]
    out.append(f"{mark}[message.fields]")
    for claim in claims:
        out += [f"# {claim.certainty.value}: {claim.why}", f"{claim.field} = {toml(claim.place())}"]
    for claim in unset:
        out += [f"# open: {claim.why}", "# Take the # and the blank after it from one of these lines:"]
        out += [f"# {each.field} = {toml(each.place())}" for each in (claim, *claim.others)]
    return [*out, ""]


def missing(verdict: Verdict) -> list[str]:
    """Return what the layout leaves out for a person to choose, one line a field, with the ways to choose."""
    found = []
    several = Counter(claim.field for claim in verdict.open())
    for claim in verdict.open():
        choices = [claim, *claim.others]
        fields = list(dict.fromkeys(each.field for each in choices))
        units = list(dict.fromkeys(each.unit for each in choices))
        if len(fields) > 1:
            found.append(f"{claim.column.label()} is {' or '.join(fields)}")
        elif several[claim.field] > 1 or len(choices) == 1:
            found.append(f"{claim.field} may be {claim.column.label()}, in {' or '.join(units)}")
        else:
            found.append(f"{claim.field} is in {' or '.join(units)}")
    return found
