"""`otherseat status`: how the running daemon is, asked at its desk.

Its health tells of the daemon, its standing messages of each aircraft; both are in a snapshot.
"""

from collections.abc import Iterable, Iterator

import click

from otherseat.daemon.addresses import desk_option
from otherseat.daemon.asking import asked_desk
from otherseat.daemon.check_words import sorted_out
from otherseat.daemon.messages import HealthMessage, Kind, SourceHealth, StandingMessage, decode
from otherseat.daemon.source_words import deaf, misfit
from otherseat.daemon.tune import MEANING
from otherseat.daemon.verbs import SnapshotReply


@click.command(epilog="Example: otherseat status --desk tcp://127.0.0.1:47802")
@desk_option
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


def _left_out(source: SourceHealth) -> list[str]:
    """Return a line about values that were left out: what to do, or the bare counts of an accident."""
    counts = ", ".join(f"{name} {count}" for name, count in source.refused_fields.items())
    said = misfit(source) or (f"left out, as out of range: {counts}" if counts else "")
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
