"""Senders: who sends to a port, and whether more than one keeps sending.

Two programs that send to one port make a mixture that nothing can be worked out of. A simulator that is started again
may get another port, and then its old one is heard no more: only who comes back after another, several times, counts.
"""

from collections import Counter

from otherseat.adapters.listener import Received

RETURNS = 3
"""So often each must have come back: a late datagram or two are no second program (common practice, no source)."""

Sender = tuple[str, int]


class Senders:
    """The senders of one listening."""

    def __init__(self) -> None:
        self._returns: Counter[Sender] = Counter()
        """How often each came back after another."""
        self._lasting: list[Sender] = []
        """Those that came back often enough."""
        self._last: Sender | None = None

    def note(self, received: Received) -> bool:
        """Note who sent a datagram; return whether one more sender is certain now, and it is news for a person."""
        sender = (received.peer, received.peer_port)
        if sender == self._last:
            return False
        self._last = sender
        self._returns[sender] += sender in self._returns
        if self._returns[sender] != RETURNS:
            return False
        self._lasting.append(sender)
        return len(self._lasting) > 1

    def words(self) -> str:
        """Return that more than one keeps sending, and what to do; "" when that isn't so."""
        if len(self._lasting) < 2:  # noqa: PLR2004 - one sender is as it should be
            return ""
        names = [f"[{peer}]:{port}" if ":" in peer else f"{peer}:{port}" for peer, port in self._lasting]
        return (
            f"Datagrams come from {len(names)} senders by turns, {' and '.join(names)}: if they are different "
            "programs, end all but one, or have the others send to another port; mixed, they can't be worked out"
        )
