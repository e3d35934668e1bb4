"""Text layouts: header lines, positions, tags, units, and the refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

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
        pytest.param(
            ('{ column = "lat",', '{ colum = "lat",'),
            "sample.toml, line 6: message.0.fields.latitude_deg.colum: no such key; did you mean column?",
            id="key",
        ),
        pytest.param(
            ('{ column = "lat", unit = "rad" }', '[{ column = "lat" }, { colum = "la" }]'),
            "sample.toml, line 6: message.0.fields.latitude_deg.1.colum: no such key; did you mean column?",
            id="key in a list",
        ),
        pytest.param(
            ("[[message]]", "[text]\ndelimeter = ','\n[[message]]"),
            "text.delimeter: no such key; did you mean delimiter?",
            id="key of a table",
        ),
        pytest.param(("name =", "nam ="), "line 2: nam: no such key; did you mean name?", id="key at the top"),
        pytest.param(
            ("[[message]]", "[[message]]\ntagg = 'A'"),
            "message.0.tagg: no such key; did you mean tag?",
            id="key of a message",
        ),
        pytest.param(("altitude_ft", "altitud_ft"), "line 7: message.0.fields.altitud_ft: no such field", id="field"),
        pytest.param(('"m"', '"hPa"'), "line 7: message.0.fields.altitude_ft: hPa is a unit of pressure", id="unit"),
        pytest.param(
            ('column = "lat"', "column = 1.5"),
            "line 6: message.0.fields.latitude_deg.column: is the column's name in quotes, or its position from 0, "
            "not 1.5",
            id="column",
        ),
        pytest.param(
            ("[[message]]", "[text]\ndelimiter = ''\n[[message]]"),
            "text.delimiter: must have at least 1 character, was ''",
            id="value",
        ),
        pytest.param(("name =", "#"), "line 1: name: is missing", id="missing"),
        pytest.param(('"text"', '"tekst"'), "sample.toml, line 3: kind", id="kind"),
        pytest.param(('"lat"', '"lat'), "sample.toml: ", id="toml"),
    ],
)
def test_layout_errors_point_at_the_line(change: tuple[str, str], complaint: str) -> None:
    """A layout that is no use is refused in a line that says where."""
    with pytest.raises(LayoutError) as refused:
        parse(BY_NAME.replace(*change), origin="sample.toml")

    assert complaint in str(refused.value)


def test_every_mistake_is_told_at_once() -> None:
    """A unit and a field that are wrong take one run to find, not two."""
    wrong = BY_NAME.replace("altitude_ft", "altitud_ft").replace('"rad"', '"rat"')

    with pytest.raises(LayoutError) as refused:
        parse(wrong, origin="sample.toml")

    assert ["no unit 'rat'", "no such field"] == [
        line.split(": ")[2].split(";")[0] for line in str(refused.value).splitlines()
    ]


def test_options() -> None:
    """The adapter names the nearest packaged layout when there is none of that name."""
    with pytest.raises(ValueError, match="did you mean jsbsim"):
        make({"layout": "jsbsm"})
    with pytest.raises(ValueError, match="takes one option"):
        make({"lay": "jsbsim"})


MIXED = """
name = "sample"
kind = "text"
[text]
columns = ["id", "time", "lat", "alt", "wow"]
[[message]]
[message.fields]
aircraft = { column = "id" }
time_s = { column = "time", wraps_at = 60.0 }
latitude_deg = { column = "lat", unit = "rad" }
altitude_ft = [{ column = "alt", unit = "m" }, { column = 2 }]
outside_air_temperature_c = { column = "temp", unit = "F" }
on_ground = { column = "wow" }
"""
CELLS = st.sampled_from(["0", "1", " 2.5 ", "", " ", "x", "nan", "1e999", "-3", "on", "No", "1_0", "\u0661"])


@given(st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS, CELLS), min_size=1, max_size=8))
def test_a_line_reads_alike_wherever_its_columns_stand(lines: list[tuple[str, ...]]) -> None:
    """By the layout's own columns or by a header in another order, line by line or many in one datagram."""
    order = (3, 0, 4, 2, 1)
    names = ("id", "time", "lat", "alt", "wow")
    plain, turned = decoder(MIXED), decoder(MIXED.replace("{ column = 2 }", '{ column = "lat" }'))
    turned.decode(",".join(["temp", *(names[at] for at in order)]).encode())

    for line in lines:
        one = read(plain, ",".join(line))
        other = read(turned, ",".join(["", *(line[at] for at in order)]))

        assert repr(one) == repr(other)


def read(reading: TextDecoder, line: str) -> object:
    """Return what a line gives, in the order of names, or that it is refused."""
    try:
        return [sorted(fields.items()) for fields in reading.decode(line.encode())]
    except RejectError as error:
        return error.reason


def test_lines_of_many_widths_take_turns() -> None:
    """A message that counts its columns takes lines of any width, one after the other."""
    reading = decoder(BY_POSITION)

    lines = b"POS 1 2\nPOS 3\nPOS 4 5 6\nPOS 7\nPOS 8 9\n"
    assert [1.0, 3.0, 4.0, 7.0, 8.0] == [fields["latitude_deg"] for fields in reading.decode(lines)]
    assert [-2.0, None, -5.0, None, -9.0] == [fields.get("longitude_deg") for fields in reading.decode(lines)]


def test_a_flag_written_in_many_ways() -> None:
    """However many ways there are, each is read, the first time and again."""
    reading = decoder(BY_NAME)
    reading.decode(b"wow,alt,lat\n")
    ways = [f"{number / 100:.2f}" for number in range(100)] * 2

    read_as = [reading.decode(f"{way},0,0\n".encode())[0]["on_ground"] for way in ways]

    assert [float(way) >= 0.5 for way in ways] == read_as
