"""A verdict in words, and as a layout file."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from otherseat.adapters.identify.verdict import Certainty, Claim, Verdict

SIZE_WORDS = 5
HEADINGS = {
    Certainty.SURE: "Sure of",
    Certainty.LIKELY: "Likely, check it",
    Certainty.GUESS: "A guess, left out of the layout",
}
HINT = "Fly or taxi for two minutes: a turn of 90 deg or more each way, a climb, a descent, a change of speed."


def toml(value: Any) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, str):
        return json.dumps(value)
    return str(value).lower() if isinstance(value, bool) else repr(value)


def words(verdict: Verdict) -> str:
    """Return what was found out, for a person."""
    return "\n".join(lines(verdict)) + "\n"


def lines(verdict: Verdict) -> Iterator[str]:
    """Yield the report line by line."""
    facts = verdict.facts
    sizes = ", ".join(f"{count} of {size} bytes" for size, count in list(facts["sizes"])[:SIZE_WORDS])
    yield f"{facts['datagrams']} datagrams in {facts['seconds']:.0f} s, {facts['rate_hz']:.1f} a second: {sizes}"
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
    for certainty, heading in HEADINGS.items():
        claims = [claim for claim in verdict.claims if claim.certainty is certainty]
        if claims:
            yield f"{heading}:"
            yield from (f"  {claim_words(claim)}" for claim in claims)
    if verdict.cannot_tell:
        yield "Can't tell:"
        yield from (f"  {text}" for text in dict.fromkeys(verdict.cannot_tell))
    if verdict.unexplained:
        yield f"Varies, and nothing here explains it: {', '.join(verdict.unexplained)}"
    if not verdict.found():
        yield HINT


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
    return f"{claim.field}: {claim.column.label()}{order}, {claim.unit}{scale}{sign}: {claim.why}"


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
        claims = [c for c in verdict.claims if c.column.message == index and c.certainty is not Certainty.GUESS]
        if claims:
            out += message_lines(said, claims)
    return "\n".join(out)


def section_of(verdict: Verdict) -> dict[str, Any]:
    """Return the table that says how the stream is cut; the byte order is that of the position."""
    section = dict(verdict.shape.section) if verdict.shape else {}
    latitude = verdict.claim("latitude_deg")
    if verdict.shape and verdict.shape.kind == "binary" and latitude and latitude.column.order:
        section["byte_order"] = latitude.column.order
    return section


def message_lines(said: Mapping[str, Any], claims: list[Claim]) -> list[str]:
    """Return one message of the layout."""
    out = ["[[message]]", *(f"{key} = {toml(value)}" for key, value in said.items()), "[message.fields]"]
    for claim in claims:
        out += [f"# {claim.certainty.value}: {claim.why}", f"{claim.field} = {toml(claim.place())}"]
    return [*out, ""]
