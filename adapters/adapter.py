"""The adapter contract: datagrams in, fields of a State out.

A decoder turns one datagram into the messages that stand in it, each a map of State field names to values in the
State's own units (converted once, here). It opens no socket and reads no clock. A datagram that it cannot use
raises RejectError with a named reason, and nothing else ever escapes.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol

from otherseat.advisories.state import Fields


class Reason(StrEnum):
    """Why a datagram, or a part of it, was refused."""

    PEER = "peer not allowed"
    RATE = "over the rate limit"
    EMPTY = "empty"
    LENGTH = "wrong length"
    FOREIGN = "not this format"
    HEADER = "waiting for the header line"
    ENCODING = "wrong encoding"
    CHECKSUM = "checksum differs"
    SYNTAX = "can't be read"
    RANGE = "value out of range"


class RejectError(Exception):
    """They erred: this datagram can't be used. `detail` may name the field."""

    def __init__(self, reason: Reason, detail: str = "") -> None:
        self.reason = reason
        self.detail = detail
        super().__init__(f"{reason.value}: {detail}" if detail else reason.value)


class Decoder(Protocol):
    """One source's decoder; it may remember what earlier datagrams said, such as a header line."""

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return the messages in one datagram, or raise RejectError. No message at all is no error."""
        ...


@dataclass(frozen=True, slots=True)
class Adapter:
    """What an entry point in the group otherseat.adapters names."""

    name: str
    summary: str
    make: Callable[[Mapping[str, Any]], Decoder]
    """Make a decoder from the source's options in the settings; raise ValueError when they are no use."""
