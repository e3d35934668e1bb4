"""An altitude without a vertical speed in a binary stream: found by the pitch, or offered; nothing by chance."""

import struct

import numpy as np
import pytest

from otherseat.adapters.identify import Helped, Verdict, identify
from otherseat.adapters.identify.position import Search
from otherseat.adapters.identify.report import layout_text
from otherseat.adapters.identify.signals import Windows
from otherseat.adapters.identify.study import cut_stream, on_grid
from otherseat.adapters.identify.vertical import climbs
from tests.adapters.flown import Table, flight
from tests.adapters.test_identify_heights import UNITS, states
from tests.adapters.test_identify_lone import NOT_ALTITUDES, altitude_units, offered_units

EVERY = 3
EITHER = pytest.mark.parametrize("unit", ["m", "ft"])
SEEDS = pytest.mark.parametrize("seed", [0, 3, 12])
FORMS = pytest.mark.parametrize("form", ["<BIddffff", ">Iddffff", "<HIddfffd"])
Datagrams = list[tuple[float, bytes]]
Array = np.ndarray


def stream(table: Table, form: str, **more: tuple[str, Array]) -> Datagrams:
    """Return structures with a counter, the place, velocities, a heading and what is given, and no vertical speed.

    form: byte order and the codes of as many; more: the code and the values of each, between place and velocities.
    """
    head = form[: form.index("dd")]
    codes = head + "dd" + "".join(code for code, _ in more.values()) + form[form.index("dd") + 2 :]
    moved = (table["north_fps"] * 0.3048, table["east_fps"] * 0.3048)
    last = (np.radians(table["heading_true_deg"]), table["true_airspeed_fps"] * 0.3048)
    place = (table["latitude_deg"], table["longitude_deg"])
    columns = [each[::EVERY] for each in (*place, *(values for _, values in more.values()), *moved, *last)]
    lead = [7] if len(head) > 2 else []
    return [
        (float(time_s), struct.pack(codes, *lead, index, *row))
        for index, (time_s, *row) in enumerate(zip(table["time_s"][::EVERY], *columns, strict=True))
    ]


@EITHER
@SEEDS
@FORMS
def test_the_pitch_settles_it(unit: str, seed: int, form: str) -> None:
    """A height in f32 beside a pitch in radians, in either byte order, aligned or not: found in its unit."""
    table = flight(seed)
    height, nose = table["altitude_ft"] * UNITS[unit], np.radians(table["pitch_deg"])
    datagrams = stream(table, form, height=("f", height), nose=("f", nose))
    verdict = identify(datagrams)
    last = states(verdict, datagrams)[-1]

    assert [unit] == altitude_units(verdict)
    assert pytest.approx(table["altitude_ft"][::EVERY][-1], abs=2.0) == last.altitude_ft
    assert last.vertical_speed_fpm is not None


@EITHER
@SEEDS
@pytest.mark.parametrize("code", ["f", "d"])
def test_without_pitch_both_are_offered(unit: str, seed: int, code: str) -> None:
    """No law tells: both units are in the layout as comments, and told, it is the one that was said."""
    table = flight(seed)
    datagrams = stream(table, "<Iddffff", height=(code, table["altitude_ft"] * UNITS[unit]))
    verdict = identify(datagrams)
    text = layout_text(verdict, name="found")
    kind = {"f": "f32", "d": "f64"}[code]

    assert [] == altitude_units(verdict)
    assert ["ft", "m"] == offered_units(verdict)
    assert all(f'# altitude_ft = {{ at = 20, type = "{kind}", unit = "{each}" }}' in text for each in UNITS)
    assert [unit] == altitude_units(identify(datagrams, helped=Helped(units={"altitude_ft": unit})))


@EITHER
@SEEDS
def test_a_pitch_in_whole_numbers_is_no_evidence(unit: str, seed: int) -> None:
    """Of all its scales one would fit feet or metres by chance: both are offered."""
    table = flight(seed)
    nose = np.round(table["pitch_deg"] * 100.0).astype(int)
    datagrams = stream(table, "<Iddffff", height=("f", table["altitude_ft"] * UNITS[unit]), nose=("h", nose))
    verdict = identify(datagrams)

    assert [] == altitude_units(verdict)
    assert ["ft", "m"] == offered_units(verdict)


@SEEDS
@pytest.mark.parametrize("code", ["h", "i"])
def test_a_height_in_whole_numbers_is_not_said_to_be_missing(seed: int, code: str) -> None:
    """It isn't looked for, and how to add it is said."""
    table = flight(seed)
    nose = np.radians(table["pitch_deg"])
    datagrams = stream(table, "<Iddffff", height=(code, table["altitude_ft"].astype(int)), nose=("f", nose))
    verdict = identify(datagrams)
    said = " ".join(verdict.cannot_tell)

    assert [] == altitude_units(verdict) == offered_units(verdict)
    assert "no altitude with decimals" in said
    assert "by hand, such as altitude_ft = { at = " in said


@pytest.mark.parametrize("seed", [0, 12])
@pytest.mark.parametrize("name", NOT_ALTITUDES)
@pytest.mark.parametrize("nose", [True, False])
def test_what_is_no_altitude_is_not_taken_for_one(name: str, seed: int, *, nose: bool) -> None:
    """Nor are bytes of it, or of its neighbours, read as another number."""
    table = flight(seed)
    more = {"nose": ("f", np.radians(table["pitch_deg"]))} if nose else {}
    datagrams = stream(table, "<Iddffff", other=("f", NOT_ALTITUDES[name](table)), **more)
    verdict: Verdict = identify(datagrams)

    assert verdict.found()
    assert [] == altitude_units(verdict) == offered_units(verdict)


@EITHER
@SEEDS
def test_the_pitch_chooses_among_many(unit: str, seed: int) -> None:
    """With everything else in the stream it is the altitude that goes with the pitch."""
    table = flight(seed)
    more = {name: ("f", values(table)) for name, values in NOT_ALTITUDES.items()}
    more |= {"height": ("f", table["altitude_ft"] * UNITS[unit]), "nose": ("f", np.radians(table["pitch_deg"]))}

    assert [unit] == altitude_units(identify(stream(table, "<Iddffff", **more)))


@SEEDS
def test_the_low_byte_of_an_altitude_is_none(seed: int) -> None:
    """Climbed by less than a byte counts to, it goes with the vertical speed as the sixteen bits of it do."""
    table = flight(seed)
    metres = np.round(612.0 + (table["altitude_ft"] - table["altitude_ft"].min()) * 0.2).astype(int)
    climb = table["vertical_speed_fps"] * 0.2
    cut = cut_stream(stream(table, "<Iddffff", height=("h", metres), climb=("f", climb)))
    assert cut is not None
    grid_s, columns = on_grid(cut)
    search = Search([column for column in columns if column.order == "little"], Windows(grid_s))
    types = {found.altitude.place["type"] for found in climbs(search, range(len(search.columns)))}

    assert "i16" in types
    assert not types & {"i8", "u8"}
