"""The intake: a datagram in, States out, everything refused counted by its reason. It never raises.

A decoder that fails with anything but RejectError has a fault of its own; that is counted as `faults`, apart from
what the sender did wrong. Lines are logged on change only: when a reason appears after QUIET_S without it.
"""

from collections import Counter

import structlog

from otherseat.adapters.adapter import Decoder, Reason, RejectError
from otherseat.adapters.assembler import Assembler
from otherseat.advisories.state import State

MAX_DATAGRAM_BYTES = 65_507
QUIET_S = 60.0
FIELDS_TOLD = 6
"""So many names say what is wrong with a stream."""


class Intake:
    """One source: its decoder, its assembler and its counters."""

    def __init__(self, decoder: Decoder, *, name: str = "source", assembler: Assembler | None = None) -> None:
        self._decoder = decoder
        self._log = structlog.get_logger().bind(source=name)
        self.assembler = assembler or Assembler()
        self.datagrams = 0
        self.states = 0
        self.faults = 0
        self.refusals: Counter[Reason] = Counter()
        self.details: dict[Reason, str] = {}
        """Of the last refusal for each reason: what was wrong, such as the field; empty when the reason says it all."""
        self._noted_s: dict[str, float] = {}

    def take(self, datagram: bytes, *, received_s: float, peer: object = None) -> list[State]:
        """Return the States that the datagram completes; received_s is the time of receipt, peer only for the log."""
        self.datagrams += 1
        try:
            if not datagram:
                raise RejectError(Reason.EMPTY)  # noqa: TRY301 - one place counts every refusal
            states = self.assembler.take(self._decoder.decode(datagram), received_s=received_s)
        except RejectError as error:
            self.refuse(error, received_s=received_s, peer=peer)
            return []
        except Exception as error:  # noqa: BLE001 - an adapter's own fault must not end the daemon
            self._fault(error, received_s=received_s, peer=peer)
            return []
        self.states += len(states)
        return states

    def refuse(self, error: RejectError, *, received_s: float, peer: object = None) -> None:
        """Count a refusal, and log it when it is news."""
        self.refusals[error.reason] += 1
        self.details[error.reason] = error.detail
        if self._is_news(error.reason, received_s):
            self._log.warning("datagram refused", reason=error.reason.value, detail=error.detail, peer=peer)

    def refused(self) -> list[str]:
        """Return a line for each reason, the commonest first: how often, and what was wrong the last time."""
        return [
            f"{count} refused, {reason.value}{f': {self.details[reason]}' if self.details[reason] else ''}"
            for reason, count in self.refusals.most_common()
        ]

    def refused_fields(self) -> dict[str, int]:
        """Return how often a field's value was left out as out of range or no number; the few commonest, first."""
        return dict(self.assembler.refused_fields.most_common(FIELDS_TOLD))

    def _fault(self, error: Exception, *, received_s: float, peer: object) -> None:
        """Count a fault of the adapter, and log it when it is news."""
        self.faults += 1
        if self._is_news(type(error).__name__, received_s):
            self._log.error("adapter fault", error=repr(error), peer=peer)

    def _is_news(self, what: str, received_s: float) -> bool:
        """Say whether this has not been seen for a while; what keeps coming is not news."""
        last_s = self._noted_s.get(what)
        self._noted_s[what] = received_s
        return last_s is None or received_s - last_s > QUIET_S
