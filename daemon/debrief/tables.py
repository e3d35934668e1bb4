"""Tables: a report in rows of words, the same for HTML and PDF."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from otherseat.advisories.levels import Level
from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.debrief.approach import Approach
from otherseat.daemon.debrief.gates import Verdict
from otherseat.daemon.debrief.reactions import Reaction
from otherseat.daemon.debrief.report import Report
from otherseat.daemon.debrief.wind import WIND

REACTION_NOTE = (
    "Level: as raised, and what it rose to while it stood. Said: how often the voice said it. -: never. "
    "Seconds after the alert. Began to mend: the first clear change of sink (150 fpm), track (8°) or, rolling, of "
    "speed (a tenth). Some alerts have no such sign. Ended: it stood no longer, as after a turn away or a landing; "
    "mended: it was seen to be right again, and that was said."
)


@dataclass(frozen=True, slots=True)
class Table:
    """One table with a title and a note."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def tables(report: Report) -> list[Table]:
    """Return every table that has rows, in the order of the page."""
    made = [*map(_gate, report.verdicts), _alerts(report), _miles(report)]
    return [table for table in made if table.rows]


def figures(report: Report) -> list[tuple[str, str]]:
    """Return the flight in a few figures: name and value."""
    flown, approach = report.flown, report.approach
    found = [
        ("from", flown.plan.plan.departure or "-"),
        ("planned to", flown.plan.plan.destination or "-"),
        ("in the air", duration(report.airborne_s)),
        ("landings", "not known" if report.landings is None else str(report.landings)),
        ("alerts", alert_words(report)),
        *([("said", said_words(report))] if flown.calls else []),
    ]
    if approach is None:
        return found
    planned = flown.plan.arrival
    other = "" if planned is None or planned.name == approach.end.name else f", not {planned.name}"
    found.append(("approach to", f"{approach.end.name}{other}"))
    found += _wind(approach)
    touchdown = approach.touchdown
    if touchdown is not None:
        side = "right" if touchdown.offset_ft >= 0.0 else "left"
        found.append(("touched down", f"{touchdown.beyond_threshold_ft:,.0f} ft beyond the threshold"))
        found.append(("from the centreline", f"{abs(touchdown.offset_ft):.0f} ft {side}"))
        if touchdown.sink_fpm is not None:
            found.append(("sink at touchdown", f"{touchdown.sink_fpm:.0f} fpm"))
        speed_kt = touchdown.indicated_airspeed_kt or touchdown.groundspeed_kt
        if speed_kt is not None:
            kind = "indicated" if touchdown.indicated_airspeed_kt else "over ground"
            found.append(("speed at touchdown", f"{speed_kt:.0f} kt {kind}"))
    return found


def _wind(approach: Approach) -> Iterator[tuple[str, str]]:
    """Yield the last wind of the approach, and whether somebody reported it."""
    track, row = approach.track, approach.last
    from_deg, speed_kt = (float(track[name][row]) for name in WIND)
    if np.isfinite(from_deg) and np.isfinite(speed_kt):
        source = "worked out" if track.computed.issuperset(WIND) else "reported"
        yield "wind at the end", f"from {round(from_deg) % 360:03d}° true, {speed_kt:.0f} kt, {source}"


def alert_words(report: Report) -> str:
    """Return how many alerts there were, by the most serious level that each rose to."""
    counts = Counter(reaction.level for reaction in report.reactions)
    by_level = ", ".join(counted(counts[level.word], level.word) for level in reversed(Level) if counts[level.word])
    return f"{len(report.reactions)}: {by_level}" if by_level else "none"


def said_words(report: Report) -> str:
    """Return how often the voice spoke: of alerts, which it repeats, and of its own, such as a height passed."""
    calls = report.flown.calls
    of_alerts = sum(call.alert_id is not None for call in calls)
    times = f"{len(calls)} time{'' if len(calls) == 1 else 's'}"
    return f"{times}: {of_alerts} of alerts, repeats included, {counted(len(calls) - of_alerts, 'routine call')}"


def counted(count: int, word: str) -> str:
    """Return a count with its word; advice has no plural."""
    return f"{count} {word}" if count == 1 or word == Level.ADVICE.word else f"{count} {word}s"


def alert_lines(report: Report) -> list[str]:
    """Return each alert in one line: when, how serious, what, and how long until it ended."""
    return [
        f"{clock_words(one.raised_s)}  {level_words(one)}: {said_at_last(one)}  {end_words(one)}"
        for one in report.reactions
    ]


def said_at_last(reaction: Reaction) -> str:
    """Return the words as raised, and those that stood there in the end, if they were others."""
    return f"{reaction.text} In the end: {reaction.last_text}" if reaction.last_text else reaction.text


def end_words(reaction: Reaction) -> str:
    """Return how it ended: mended only where that was seen."""
    if reaction.ended_s is None:
        return "stood to the end"
    return f"{'mended' if reaction.mended else 'ended'} after {reaction.ended_s:.0f} s"


def level_words(reaction: Reaction) -> str:
    """Return the level as raised, and the one that it rose to."""
    rose = reaction.level != reaction.first_level
    return f"{reaction.first_level}, rose to {reaction.level}" if rose else reaction.level


def duration(seconds: float) -> str:
    """Return minutes and seconds."""
    whole_s = round(seconds)
    sign = "-" if whole_s < 0 else ""
    return f"{sign}{abs(whole_s) // 60}:{abs(whole_s) % 60:02d}"


def _gate(verdict: Verdict) -> Table:
    marks = {True: "inside", False: "OUTSIDE", None: "not judged"}
    return Table(
        title=f"Gate at {verdict.gate_ft:,.0f} ft: {verdict.word}",
        heads=("", "was", "limit", ""),
        rows=tuple((item.name, item.was, item.limit, marks[item.inside]) for item in verdict.items),
    )


def _alerts(report: Report) -> Table:
    spoken = Counter(call.alert_id for call in report.flown.calls)
    said_of = [(reaction, spoken[reaction.id]) for reaction in report.reactions]
    return Table(
        title="Alerts, and how they were met",
        heads=("", "at", "level", "alert", "said", "began to mend", "acknowledged", "ended"),
        rows=tuple(_alert(number, reaction, said=said) for number, (reaction, said) in enumerate(said_of, start=1)),
        note=REACTION_NOTE,
    )


def _alert(number: int, reaction: Reaction, *, said: int) -> tuple[str, ...]:
    began = _seconds(reaction.began_s) if reaction.has_sign else "no sign"
    return (
        str(number),
        clock_words(reaction.raised_s),
        level_words(reaction),
        said_at_last(reaction),
        str(said),
        began,
        _seconds(reaction.acknowledged_s),
        f"{_seconds(reaction.ended_s)}{', mended' if reaction.mended else ''}",
    )


def _seconds(value: float | None) -> str:
    return "-" if value is None else f"{value:.1f}"


def _miles(report: Report) -> Table:
    return Table(
        title="What the rules of thumb would have said",
        heads=("NM", "height flown", "exact", "300 per NM", "sink flown", "exact", "5 x speed"),
        rows=tuple(
            (
                f"{mile.distance_nm:.0f}",
                f"{mile.height_ft:,.0f}",
                f"{mile.exact_ft:,.0f}",
                f"{mile.rule_ft:,.0f}",
                f"{mile.sink_fpm:,.0f}",
                f"{mile.exact_sink_fpm:,.0f}",
                f"{mile.rule_sink_fpm:,.0f}",
            )
            for mile in report.miles
        ),
        note="Heights in ft above the threshold, sink in fpm; exact and rule for the groundspeed flown there.",
    )
