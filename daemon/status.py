"""`otherseat status`: how the running daemon is, asked at its desk."""

import click

from otherseat.adapters.adapter import Reason
from otherseat.daemon.asking import asked_desk
from otherseat.daemon.messages import HealthMessage, SourceHealth
from otherseat.daemon.sockets import DESK


@click.command(epilog="Example: otherseat status --desk tcp://127.0.0.1:47802")
@click.option("--desk", default=DESK, envvar="OTHERSEAT_DESK", show_default=True, help="Where the desk stands.")
def status(desk: str) -> None:
    """How the running daemon is: what it receives, whom it speaks for, what is switched off.

    Exit code 1 when no daemon answers.
    """
    health: HealthMessage = asked_desk(desk, "status")
    for line in report(health):
        click.echo(line)


def deaf(source: SourceHealth) -> str:
    """Return why a source gives no states at all, and what to do, in one sentence; "" when it gives some."""
    if source.states:
        return ""
    if not source.datagrams and not source.refused:
        return "nothing has come: is the simulator's export on, and to this address and port?"
    if Reason.HEADER.value in source.refused:
        return "waiting for the header line that names the columns: start the simulator's export again, it comes first"
    reason = max(source.refused, key=lambda each: source.refused[each], default="")
    return f"no datagram can be used ({reason}): is it the right layout?" if reason else "nothing complete has come yet"


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
    lines.append(f"aircraft: {', '.join(health.aircraft) or 'none yet'}{' (silent)' if health.silent else ''}")
    lines.append(f"voice: {health.voice}{' (muted)' if health.muted else ''}")
    lines += [f"switched off: {name}, {why}" for name, why in sorted(health.benched.items())]
    return lines
