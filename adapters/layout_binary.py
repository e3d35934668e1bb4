"""Layouts of kind "binary": numbers at fixed bytes, with an optional magic, length and checksum.

Refused in order, by name: length, identity, checksum. With several messages the first whose magic and length fit
is taken; a datagram that fits none is refused for what the nearest of them missed.
"""

from collections.abc import Sequence

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.binary_types import Unpack, unpacker
from otherseat.adapters.checksums import CHECKSUMS
from otherseat.adapters.layout_field import FieldSet
from otherseat.adapters.layout_model import Checksum, Layout, Message, Place
from otherseat.advisories.state import Fields


class BinaryMessage:
    """One message of a binary layout, made ready."""

    def __init__(self, message: Message, byte_order: str) -> None:
        self._magic = message.magic_bytes()
        self._magic_at = message.magic_at
        self._exact = message.length
        self._checksum = message.checksum
        self._least = max(place.end() for places in message.fields.values() for place in places)
        self._fields: FieldSet[Unpack] = FieldSet.of(message, lambda place: unpack_of(place, byte_order))

    def misfit(self, datagram: bytes) -> Reason | None:
        """Return why the datagram is not this message, or None when it is."""
        if self._magic and not datagram.startswith(self._magic, self._magic_at):
            return Reason.FOREIGN
        if len(datagram) != (self._exact or len(datagram)) or len(datagram) < self._least:
            return Reason.LENGTH
        return None

    def size_words(self) -> str:
        """Return how long a datagram of it is."""
        return str(self._exact) if self._exact else f"{self._least} or more"

    def read(self, datagram: bytes) -> Fields:
        """Return the fields of a datagram that fits."""
        if self._checksum and not adds_up(datagram, self._checksum):
            raise RejectError(Reason.CHECKSUM)
        return self._fields.read(lambda unpack: unpack(datagram))


class BinaryDecoder:
    """One source's bytes."""

    def __init__(self, layout: Layout) -> None:
        self._messages = [BinaryMessage(message, layout.binary.byte_order) for message in layout.message]
        self._sizes = " or ".join(message.size_words() for message in self._messages)

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return the message in the datagram."""
        reasons = []
        for message in self._messages:
            reason = message.misfit(datagram)
            if reason is None:
                return [message.read(datagram)]
            reasons.append(reason)
        came = f"{len(datagram)} bytes"
        if Reason.LENGTH not in reasons:
            raise RejectError(Reason.FOREIGN, came)
        raise RejectError(
            Reason.LENGTH, f"{came}, the layout has {' or '.join(m.size_words() for m in self._messages)}"
        )


def unpack_of(place: Place, byte_order: str) -> Unpack:
    """Return the function that reads the raw value at the place."""
    start = place.at or 0
    if place.type == "text":
        return lambda datagram: datagram[start : start + place.length].split(b"\0")[0].decode("utf-8", "replace")
    return unpacker(str(place.type), at=start, byte_order=byte_order)


def adds_up(datagram: bytes, checksum: Checksum) -> bool:
    """Say whether the checksum in the datagram is that of its bytes."""
    compute, size = CHECKSUMS[checksum.kind]
    at = checksum.at + len(datagram) if checksum.at < 0 else checksum.at
    end = at if checksum.end is None else checksum.end
    sent = datagram[at : at + size]
    return len(sent) == size and int.from_bytes(sent, checksum.byte_order) == compute(datagram[checksum.begin : end])
