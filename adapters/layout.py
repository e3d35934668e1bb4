"""The layout adapter: any stream that a TOML file can describe.

Options: `layout`, the name of a packaged layout (config/layouts/NAME.toml) or the path of a file.
The kind of the layout picks the reader: adapters/layout_text.py, layout_pairs.py, layout_tree.py (JSON and msgpack),
layout_binary.py and layout_records.py.
"""

from collections.abc import Callable, Mapping
from typing import Any

from otherseat.adapters.adapter import Adapter, Decoder
from otherseat.adapters.layout_binary import BinaryDecoder
from otherseat.adapters.layout_file import load
from otherseat.adapters.layout_model import Layout
from otherseat.adapters.layout_pairs import PairsDecoder
from otherseat.adapters.layout_records import RecordsDecoder
from otherseat.adapters.layout_text import TextDecoder
from otherseat.adapters.layout_tree import JsonDecoder, MsgpackDecoder

READERS: dict[str, Callable[[Layout], Decoder]] = {
    "text": TextDecoder,
    "pairs": PairsDecoder,
    "json": JsonDecoder,
    "msgpack": MsgpackDecoder,
    "binary": BinaryDecoder,
    "records": RecordsDecoder,
}


def decoder_of(layout: Layout) -> Decoder:
    """Return a fresh decoder for one source that sends in this layout."""
    return READERS[layout.kind](layout)


def make(options: Mapping[str, Any]) -> Decoder:
    """Return a decoder for the options of a source; ValueError says what is wrong with them."""
    extra = set(options) - {"layout"}
    name = options.get("layout")
    if extra or not isinstance(name, str):
        raise ValueError("the layout adapter takes one option, layout: the name of a packaged layout or a file")
    return decoder_of(load(name))


ADAPTER = Adapter(name="layout", summary="any stream that a layout file (TOML) describes", make=make)
