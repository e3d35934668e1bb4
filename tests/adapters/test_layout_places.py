"""What a layout reads and no datagram had: named with its place and the nearest that is there."""

import json
import struct

import msgpack
import pytest

from otherseat.adapters.layout_file import parse
from otherseat.adapters.layout_places import MOST_NAMES, Places


def unseen(layout: str, *datagrams: bytes) -> dict[str, list[str]]:
    """Return what of a layout none of the datagrams had."""
    places = Places(parse(f'name = "sample"\n{layout}', origin="sample.toml"))
    for datagram in datagrams:
        places.look(datagram)
    return places.unseen()


PAIRS = """
kind = "pairs"
[[message]]
[message.fields]
latitude_deg = { key = "p.a" }
altitude_ft = { key = "p.cc" }
pitch_deg = [{ key = "pit" }, { key = "q.a" }]
bank_deg = [{ key = "r.a" }, { key = "r.b" }]
"""


def test_a_key() -> None:
    """Named with the nearest that nothing else reads; of several places one is enough, and an empty value is there."""
    assert {
        "key p.cc was in none of 2 datagrams; there is p.c": ["altitude_ft"],
        "key r.a or r.b was in none of 2 datagrams": ["bank_deg"],
    } == unseen(PAIRS, b"p.a=1,p.c=2,q.a=", b"p.a=1", b"\xff", b"")


TEXT = """
kind = "text"
[[message]]
tag = "POS"
[message.fields]
latitude_deg = { column = "lat" }
longitude_deg = { column = "lonn" }
altitude_ft = { column = 7 }
[[message]]
tag = "AIRS"
[message.fields]
true_airspeed_kt = { column = "lat" }
indicated_airspeed_kt = { column = "ias" }
"""


def test_a_column_and_a_tag_of_text() -> None:
    """By the names in the header, by position and by the first cell; before a header nothing can be told."""
    assert {} == unseen(TEXT, b"POS,1,2,3")
    assert {
        "column lonn was in none of 1 datagram with tag POS; there is lon": ["longitude_deg"],
        "column 7 was in none of 1 datagram with tag POS; there are 0 to 3": ["altitude_ft"],
        "tag AIRS was in none of 1 datagram; there is AIR": ["true_airspeed_kt", "indicated_airspeed_kt"],
    } == unseen(TEXT, b"what,lat,lon,ias\nPOS,1,2,3\nAIR,1,2,3")


TREE = """
kind = "{kind}"
[tree]
tag_key = "{tag_key}"
[[message]]
tag = "fix"
[message.fields]
latitude_deg = {{ key = "own.position.0" }}
longitude_deg = {{ key = "own.positon.1" }}
altitude_ft = {{ key = "own" }}
pitch_deg = {{ key = "pitch" }}
"""
OWN = {"kind": "fix", "own": {"position": [1.0, 2.0]}, "pitch": None}


@pytest.mark.parametrize(
    ("kind", "pack"), [("json", lambda tree: json.dumps(tree).encode()), ("msgpack", msgpack.packb)]
)
def test_a_path_of_a_tree(kind: str, pack: "type[bytes]") -> None:
    """A path leads to a leaf; a null is there and tells nothing; a tag that never comes has its key named."""
    assert {
        "key own.positon.1 was in none of 1 datagram with tag fix; there is own.position.1": ["longitude_deg"],
        "key own was in none of 1 datagram with tag fix; there is own.position.1": ["altitude_ft"],
    } == unseen(TREE.format(kind=kind, tag_key="kind"), pack(OWN), pack({**OWN, "kind": "air"}))
    assert ["tag fix was in none of 1 datagram; there is fixed"] == list(
        unseen(TREE.format(kind=kind, tag_key="kind"), pack({**OWN, "kind": "fixed"}))
    )
    assert ["key knd, which is to hold the tag fix, was in none of 1 datagram"] == list(
        unseen(TREE.format(kind=kind, tag_key="knd"), pack(OWN))
    )


RECORDS = """
kind = "records"
[records]
prefix = "REC"
[[message]]
[message.fields]
latitude_deg = { group = 20, item = 0 }
pitch_deg = { group = 71, item = 0 }
"""


def test_a_group_of_records() -> None:
    """The groups that are there are named."""
    datagram = b"REC" + b"".join(struct.pack("<i8f", group, *range(8)) for group in (20, 17))

    assert {"group 71 was in none of 1 datagram; there are 17, 20": ["pitch_deg"]} == unseen(RECORDS, datagram, b"REC")


def test_bytes_are_always_there() -> None:
    """A binary layout tells nothing."""
    layout = 'kind = "binary"\n[[message]]\n[message.fields]\nlatitude_deg = { at = 0, type = "f64" }\n'

    assert {} == unseen(layout, bytes(8), b"x")


def test_a_field_that_comes_another_way() -> None:
    """What one message brings is not missed in another."""
    assert {} == unseen(
        TREE.format(kind="json", tag_key="kind").partition("longitude")[0]
        + '[[message]]\ntag = "air"\n[message.fields]\nlatitude_deg = { key = "lat" }\n',
        json.dumps({"kind": "air", "lat": 1.0}).encode(),
    )


def test_a_flood_of_names() -> None:
    """However many names come, what the layout reads is found."""
    flood = [
        b",".join(b"k%d=1" % (start + key) for key in range(1_000)) for start in range(0, MOST_NAMES + 2_000, 1_000)
    ]

    assert ["bank_deg"] == [
        field for fields in unseen(PAIRS, *flood, b"p.a=1,p.cc=2,pit=3").values() for field in fields
    ]
