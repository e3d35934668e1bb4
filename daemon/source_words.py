"""What is said of a source that gives nothing, or what can't be true, and what to do about it: one sentence each."""

from otherseat.adapters.adapter import Reason
from otherseat.daemon.messages import SourceHealth

SEVERAL = 5
QUIET_S = 5.0
"""So long without anything usable is no gap between two datagrams."""
ACCIDENT = 0.05
"""Values that can't be true, as a share of the datagrams: below it they are an accident, such as a simulator that loads
(common practice, no source)."""
FIRST = "end `otherseat fly` first"
"""A port is one program's."""
UNREADABLE = frozenset({Reason.LENGTH, Reason.FOREIGN, Reason.ENCODING, Reason.CHECKSUM, Reason.SYNTAX, Reason.RANGE})
"""What a layout for something else makes of a datagram."""


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
    return f"; or it is another format: `otherseat identify {_where(source)}` finds out ({FIRST})"


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
    told = f"left out, as out of range, in {source.datagrams} datagrams: {', '.join(odd)}"
    if source.adapter != "layout":
        return f"{told}; this is probably not the format that {source.adapter} reads"
    return f"{told}; the layout probably does not fit this stream: {checking(source)} shows what it reads ({FIRST})"


def checking(source: SourceHealth) -> str:
    """Return the command that checks the layout of a source against its stream, once `otherseat fly` has ended."""
    return f"`otherseat layout check {source.name} --against {_where(source)}`"
