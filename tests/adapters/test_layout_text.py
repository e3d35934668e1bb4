"""Text layouts: header lines, positions, tags, units, and the refusals."""

import pytest

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.layout import decoder_of, make
from otherseat.adapters.layout_file import LayoutError, parse
from otherseat.adapters.layout_text import TextDecoder

BY_NAME = """
name = "sample"
kind = "text"
[[message]]
[message.fields]
latitude_deg = { column = "lat", unit = "rad" }
altitude_ft = { column = "alt", unit = "m", missing = [-1, "none"] }
on_ground = { column = "wow" }
"""

BY_POSITION = """
name = "sample"
kind = "text"
[text]
delimiter = " "
[[message]]
tag = "POS"
[message.fields]
latitude_deg = { column = 1 }
longitude_deg = { column = 2, sign = -1 }
[[message]]
tag = "AIR"
[message.fields]
outside_air_temperature_c = { column = 1, unit = "F" }
"""


def decoder(text: str) -> TextDecoder:
    """Return a decoder of the layout in the text."""
    made = decoder_of(parse(text, origin="sample.toml"))
    assert isinstance(made, TextDecoder)
    return made


def test_header_by_name() -> None:
    """A line that names two of the columns is the header, in any order and with foreign columns between."""
    reading = decoder(BY_NAME)
    reading.decode(b"wow,noise,alt,lat\n")

    assert [{"latitude_deg": pytest.approx(57.29577951), "altitude_ft": pytest.approx(1000.0), "on_ground": True}] == (
        reading.decode(b"1, 9, 304.8, 1.0\n")
    )


@pytest.mark.parametrize("word", [b"-1", b"-1.000", b"none", b""])
def test_missing_value(word: bytes) -> None:
    """A value that means "not told" leaves the field out."""
    reading = decoder(BY_NAME)

    assert [{"latitude_deg": 0.0, "on_ground": False}] == reading.decode(b"wow,alt,lat\n0," + word + b",0\n")


def test_tags_pick_the_message() -> None:
    """The first column picks the message; 212 F is 100 C, and sign turns west-positive longitudes round."""
    reading = decoder(BY_POSITION)

    assert [{"latitude_deg": 1.5, "longitude_deg": -2.5}, {"outside_air_temperature_c": pytest.approx(100.0)}] == (
        reading.decode(b"POS  1.5\t2.5\nAIR 212\n")
    )


@pytest.mark.parametrize(
    ("datagram", "reason"),
    [
        pytest.param(b" \n", Reason.EMPTY, id="blank"),
        pytest.param(b"\xff\xfe", Reason.ENCODING, id="not-utf-8"),
        pytest.param(b"1,2,3\n", Reason.HEADER, id="no-header-yet"),
        pytest.param(b"wow,alt,lat\n1,2\n", Reason.LENGTH, id="a-column-short"),
        pytest.param(b"wow,alt,lat\n1,2,x\n", Reason.SYNTAX, id="no-number"),
    ],
)
def test_refusals(datagram: bytes, reason: Reason) -> None:
    """What can't be used is refused by a named reason."""
    with pytest.raises(RejectError) as refused:
        decoder(BY_NAME).decode(datagram)

    assert reason is refused.value.reason


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        pytest.param(('"lat",', '"lat", spin = 1,'), "sample.toml, line 6: message.0.fields.latitude_deg", id="key"),
        pytest.param(("altitude_ft", "altitud_ft"), "line 7: message.0.fields.altitud_ft: no such field", id="field"),
        pytest.param(('"m"', '"hPa"'), "line 7: message.0.fields.altitude_ft: hPa is a unit of pressure", id="unit"),
        pytest.param(('"text"', '"tekst"'), "sample.toml, line 3: kind", id="kind"),
        pytest.param(('"lat"', '"lat'), "sample.toml: ", id="toml"),
    ],
)
def test_layout_errors_point_at_the_line(change: tuple[str, str], complaint: str) -> None:
    """A layout that is no use is refused in a line that says where."""
    with pytest.raises(LayoutError) as refused:
        parse(BY_NAME.replace(*change), origin="sample.toml")

    assert complaint in str(refused.value)


def test_options() -> None:
    """The adapter names the nearest packaged layout when there is none of that name."""
    with pytest.raises(ValueError, match="did you mean jsbsim"):
        make({"layout": "jsbsm"})
    with pytest.raises(ValueError, match="takes one option"):
        make({"lay": "jsbsim"})
