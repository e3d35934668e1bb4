"""Layouts of kind "records": a prefix, then records of one number and some values each.

The number says which group of values follows; groups that the layout does not know are skipped. A datagram need
not bring every group, and every datagram is one message.
"""

import struct
from collections.abc import Sequence

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.binary_types import CODES, order_mark, size_of, unpacker
from otherseat.adapters.layout_field import FieldSet
from otherseat.adapters.layout_model import Layout
from otherseat.advisories.state import Fields


class RecordsDecoder:
    """One source's records."""

    def __init__(self, layout: Layout) -> None:
        cut = layout.records
        self._prefix = cut.prefix.encode()
        self._head = len(self._prefix) + cut.skip
        number_bytes = size_of(cut.number_type)
        self._number = unpacker(cut.number_type, at=0, byte_order=cut.byte_order)
        self._values = struct.Struct(f"{order_mark(cut.byte_order)}{cut.values}{CODES[cut.value_type]}")
        self._values_at = number_bytes
        self._size = number_bytes + self._values.size
        self._messages = [
            FieldSet.of(message, lambda place: (place.group, place.item or 0)) for message in layout.message
        ]
        items = [item for fields in self._messages for _, item in fields.places()]
        if max(items) >= cut.values:
            raise ValueError(f"item {max(items)}: a record has the items 0 to {cut.values - 1}")

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message of all records in the datagram."""
        if not datagram.startswith(self._prefix):
            raise RejectError(Reason.FOREIGN, "another prefix")
        body = datagram[self._head :]
        if not body or len(body) % self._size:
            raise RejectError(Reason.LENGTH, f"{len(body)} bytes are no whole number of records")
        records = {}
        for start in range(0, len(body), self._size):
            record = body[start : start + self._size]
            records[self._number(record)] = self._values.unpack_from(record, self._values_at)

        def value(key: tuple[int | None, int]) -> float | None:
            group = records.get(key[0])
            return None if group is None else group[key[1]]

        return [fields for message in self._messages if (fields := message.read(value))]

    def groups(self, datagram: bytes) -> set[int]:
        """Return the numbers of the records in a datagram that `decode` does not refuse."""
        starts = range(self._head, len(datagram), self._size)
        return {int(self._number(datagram[start : start + self._size])) for start in starts}
