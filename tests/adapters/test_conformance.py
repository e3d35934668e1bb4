"""Every adapter under the conformance kit, and the kit on adapters that misbehave.

A long run, of any number of datagrams:  pytest -n 0 -m long tests/adapters/test_conformance.py
"""

import json
import struct
from collections.abc import Mapping, Sequence
from typing import Any

import msgpack
import pytest

from otherseat.adapters import dis, layout, mavlink, nmea
from otherseat.adapters.adapter import Adapter
from otherseat.adapters.conformance import ConformanceError, check
from otherseat.adapters.layout_file import parse
from tests.adapters import streams, test_layout_kinds, test_layout_text
from tests.adapters.flown import fly

SHORT_RUN = 100_000
LONG_RUN = 3_000_000


def by_layout(text: str) -> Adapter:
    """Return an adapter that reads by the layout in the text."""
    found = parse(text, origin="sample.toml")
    return Adapter(name=found.kind, summary="", make=lambda _: layout.decoder_of(found))


def few(stream: Sequence[tuple[float, bytes]]) -> list[bytes]:
    """Return the first few datagrams of a stream."""
    return [datagram for _, datagram in stream[:4]]


SMALL = streams.rows(fly(0, 1.0))
NAME = 'name = "sample"\n'
TREE = {"type": "fix", "own": {"position": [1.5, -2]}}
RECORD = b"ROWS*" + struct.pack("<i4f", 9, 1.5, 2, 3000, 4) + struct.pack("<i4f", 4, 0, 0, 0, -999)
BINARY = NAME + test_layout_kinds.BINARY.format(order="little", semicircle=2.0**-31).replace("checksum", "# checksum")

ADAPTERS: dict[str, tuple[Adapter, Mapping[str, Any], list[bytes]]] = {
    "jsbsim": (layout.ADAPTER, {"layout": "jsbsim"}, few(streams.jsbsim(SMALL))),
    "nmea": (nmea.ADAPTER, {}, few(streams.nmea(SMALL))),
    "dis": (dis.ADAPTER, {}, few(streams.dis(SMALL))),
    "mavlink": (mavlink.ADAPTER, {}, few(streams.mavlink(SMALL))),
    "text": (by_layout(test_layout_text.BY_NAME), {}, [b"wow,noise,alt,lat\n", b"1,9,304.8,1.0\n"]),
    "pairs": (by_layout(NAME + test_layout_kinds.PAIRS), {}, [b"gs: 185.2;x:9; gear:on\n"]),
    "json": (by_layout(NAME + test_layout_kinds.TREE.format(kind="json")), {}, [json.dumps(TREE).encode()]),
    "msgpack": (by_layout(NAME + test_layout_kinds.TREE.format(kind="msgpack")), {}, [msgpack.packb(TREE)]),
    "binary": (by_layout(BINARY), {}, [b"ZK" + bytes(29)]),
    "records": (by_layout(NAME + test_layout_kinds.RECORDS), {}, [RECORD]),
}


def foreign_to(name: str) -> list[bytes]:
    """Return the datagrams of all the others."""
    return [datagram for other, (_, _, samples) in ADAPTERS.items() if other != name for datagram in samples]


@pytest.mark.parametrize("name", ADAPTERS)
def test_conforms(name: str) -> None:
    """Messages, nothing, or a named refusal: over a hundred thousand hostile datagrams nothing else comes out."""
    adapter, options, samples = ADAPTERS[name]

    assert SHORT_RUN <= check(
        adapter, options=options, samples=samples, foreign=foreign_to(name), random_datagrams=SHORT_RUN
    )


@pytest.mark.long
@pytest.mark.timeout(7200)
@pytest.mark.parametrize("name", ADAPTERS)
def test_conforms_for_long(name: str) -> None:
    """The same, thirty times as many."""
    adapter, options, samples = ADAPTERS[name]

    check(adapter, options=options, samples=samples, foreign=foreign_to(name), random_datagrams=LONG_RUN)


class Returns:
    """A decoder that returns or raises what it was given."""

    def __init__(self, what: Any) -> None:
        self._what = what

    def decode(self, datagram: bytes) -> Any:  # noqa: ARG002 - the protocol's
        """Do it."""
        if isinstance(self._what, Exception):
            raise self._what
        return self._what


@pytest.mark.parametrize(
    ("what", "complaint"),
    [
        pytest.param(ZeroDivisionError(), "raised ZeroDivisionError", id="raises"),
        pytest.param([{"height": 1.0}], "unknown field 'height'", id="unknown-field"),
        pytest.param([{"pitch_deg": None}], "NoneType for pitch_deg", id="none"),
        pytest.param([7], "returned a int", id="no-map"),
    ],
)
def test_the_kit_finds_what_is_wrong(what: Any, complaint: str) -> None:
    """A decoder that breaks the contract is told how, with the datagram."""
    adapter = Adapter(name="bad", summary="", make=lambda _: Returns(what))

    with pytest.raises(ConformanceError, match=complaint):
        check(adapter, options={}, samples=[b"abc"], random_datagrams=1)
