"""Layouts of kind "pairs": key=value, one or many in a line, one or many lines in a datagram.

A key that the layout does not know is skipped; a datagram without any known key is not ours. What has no value
after its key ("lat=") is not told. Of a key that comes twice the last counts.
"""

from collections.abc import Sequence

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.layout_field import FieldSet
from otherseat.adapters.layout_model import Layout
from otherseat.adapters.layout_text import text_of
from otherseat.advisories.state import Fields

MAX_PAIRS = 4_096


class PairsDecoder:
    """One source's pairs."""

    def __init__(self, layout: Layout) -> None:
        self._pairs = layout.pairs
        self._messages = [FieldSet.of(message, lambda place: place.key or "") for message in layout.message]
        self._known = {key for fields in self._messages for key in fields.places()}

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Return one message for each of the layout's that has a key in the datagram."""
        raw = self.cut(text_of(datagram, ends_with=self._pairs.ends_with))
        if not self._known & raw.keys():
            raise RejectError(Reason.FOREIGN, "no known key")
        return [fields for message in self._messages if (fields := message.read(raw.get))]

    def cut(self, text: str) -> dict[str, str]:
        """Return the datagram's pairs."""
        between = self._pairs.between
        pieces = text.split() if between == " " else [p for line in text.splitlines() for p in line.split(between)]
        if len(pieces) > MAX_PAIRS:
            raise RejectError(Reason.LENGTH, "too many pairs")
        cut = (piece.partition(self._pairs.joined_by) for piece in pieces)
        return {key.strip(): value.strip() for key, joint, value in cut if joint}
