"""`otherseat status`: how the running daemon is, asked at its desk.

Its health tells of the daemon, its standing messages of each aircraft; both are in a snapshot.
"""

from collections.abc import Iterable, Iterator

import click

from otherseat.adapters.adapter import Reason
from otherseat.daemon.asking import asked_desk
from otherseat.daemon.check_words import sorted_out
from otherseat.daemon.messages import HealthMessage, Kind, SourceHealth, StandingMessage, decode
from otherseat.daemon.sockets import DESK
from otherseat.daemon.tune import MEANING
from otherseat.daemon.verbs import SnapshotReply

SEVERAL = 5
QUIET_S = 5.0
"""So long without anything usable is no gap between two datagrams."""
ACCIDENT = 0.05
"""Values that can't be true, as a share of the datagrams: below it they are an accident, such as a simulator that loads
(common practice, no source)."""
UNREADABLE = frozenset({Reason.LENGTH, Reason.FOREIGN, Reason.ENCODING, Reason.CHECKSUM, Reason.SYNTAX, Reason.RANGE})
"""What a layout for something else makes of a datagram."""


@click.command(epilog="Example: otherseat status --desk tcp://127.0.0.1:47802")
@click.option("--desk", default=DESK, envvar="OTHERSEAT_DESK", show_default=True, help="Where the desk stands.")
def status(desk: str) -> None:
    """How the running daemon is: what it receives, whom it speaks for, how much is said, what is switched off.

    Exit code 1 when no daemon answers.
    """
    health: HealthMessage = asked_desk(desk, "status")
    snapshot: SnapshotReply = asked_desk(desk, "snapshot")
    for line in [*report(health), *tuned(standing_of(snapshot))]:
        click.echo(line)


def standing_of(snapshot: SnapshotReply) -> list[StandingMessage]:
    """Return how things stand with each aircraft, by name."""
    told = [
        decode(topic.encode(), packed).body
        for topic, packed in snapshot.frames
        if topic.startswith(f"{Kind.STANDING.value}.")
    ]
    return sorted(told, key=lambda standing: standing.aircraft)


def tuned(standings: Iterable[StandingMessage]) -> Iterator[str]:
    """Yield for each aircraft how much is said, and which checks are off."""
    for standing in standings:
        yield f"{standing.aircraft}: {standing.verbosity.value} ({MEANING[standing.verbosity.value]})"
        yield from (f"  off: {name}, {why}" for name, why in sorted_out(standing.live).off.items())


def deaf(source: SourceHealth) -> str:
    """Return why a source gives no states, or none any more, and what to do, in one sentence; "" when it gives some."""
    if source.states:
        quiet = source.age_s is not None and source.age_s >= QUIET_S
        asked = (
            "does the simulator still send, and the same format?"
            if source.refused
            else "does the simulator still send?"
        )
        return f"nothing that can be used comes any more: {asked}" if quiet else ""
    if not source.datagrams and not source.refused:
        return "nothing has come: is the simulator's export on, and to this address and port?"
    reason = max(source.refused, key=lambda each: source.refused[each], default="")
    if Reason.HEADER.value in source.refused:
        why = "waiting for the header line that names the columns: start the simulator's export again, it comes first"
        return why + _or_another(source, Reason.HEADER)
    if reason in {unreadable.value for unreadable in UNREADABLE}:
        return f"no datagram can be used ({reason}): is it the right layout?{_or_another(source, Reason(reason))}"
    return f"no datagram can be used ({reason})" if reason else "nothing complete has come yet"


def _or_another(source: SourceHealth, reason: Reason) -> str:
    """Return what finds out the format, once so much was refused that it is no accident; "" before."""
    if source.refused[reason.value] < SEVERAL:
        return ""
    return f"; or it is another format: `otherseat identify {_where(source)}` finds out (end `otherseat fly` first)"


def _where(source: SourceHealth) -> str:
    """Return how a command names the address of a source."""
    host, _, port = source.address.rpartition(":")
    return port if host == "127.0.0.1" else source.address


def misfit(source: SourceHealth) -> str:
    """Return what can't be true of the stream as it is read, and what to do; "" while that may be an accident.

    Numbers without a mark or a checksum are read at the wrong places without complaint, as long as the length is right.
    """
    least = max(SEVERAL, ACCIDENT * source.datagrams)
    odd = [f"{name} {count} times" for name, count in source.refused_fields.items() if count >= least]
    if not odd:
        return ""
    told = f"left out, as out of range or no number, in {source.datagrams} datagrams: {', '.join(odd)}"
    if source.adapter != "layout":
        return f"{told}; this is probably not the format that {source.adapter} reads"
    check = f"`otherseat layout check {source.name} --against {_where(source)}`"
    return (
        f"{told}; the layout probably does not fit this stream: {check} shows what it reads (end `otherseat fly` first)"
    )


def _left_out(source: SourceHealth) -> list[str]:
    """Return a line about values that were left out: what to do, or the bare counts of an accident."""
    counts = ", ".join(f"{name} {count}" for name, count in source.refused_fields.items())
    said = misfit(source) or (f"left out, as out of range or no number: {counts}" if counts else "")
    return [f"  {said}"] if said else []


def report(health: HealthMessage) -> list[str]:
    """Return the health of a daemon in lines of plain words."""
    lines = [f"{health.seat}: version {health.version}, up {health.uptime_s:.0f} s"]
    for source in health.sources:
        age = "nothing yet" if source.age_s is None else f"last {source.age_s:.1f} s ago"
        lines.append(
            f"source {source.name} at {source.address}: {source.datagrams} datagrams, {source.states} states, {age}"
        )
        lines += [f"  {why}" for why in (deaf(source),) if why]
        lines += [f"  refused, {reason}: {count}" for reason, count in sorted(source.refused.items())]
        lines += _left_out(source)
    lines.append(f"aircraft: {', '.join(health.aircraft) or 'none yet'}{' (silent)' if health.silent else ''}")
    lines.append(f"voice: {health.voice}{' (muted)' if health.muted else ''}")
    lines += [f"switched off: {name}, {why}" for name, why in sorted(health.benched.items())]
    return lines
