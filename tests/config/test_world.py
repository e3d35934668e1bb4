"""The world's runways from the open tables, against a geodesic library and on every kind of bad row."""

import csv
import gzip
import math
import random
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from otherseat.advisories.runway import CourseSource, RunwayEnd, RunwayTable
from otherseat.advisories.runway_columns import WorldRunways
from otherseat.advisories.which_runway import surface_end, tracked_end
from otherseat.config.errors import ConfigError
from otherseat.config.world import Tables, World, build_world, load_world, packaged_tables
from tests.config.real_world import real_runways, real_table, real_world

AIRPORTS = "id,ident,type,name,latitude_deg,longitude_deg,elevation_ft"
RUNWAYS = (
    "airport_ref,length_ft,width_ft,surface,closed,le_ident,le_latitude_deg,le_longitude_deg,le_elevation_ft,"
    "le_heading_degT,le_displaced_threshold_ft,he_ident,he_latitude_deg,he_longitude_deg,he_elevation_ft,"
    "he_heading_degT,he_displaced_threshold_ft"
)
SURVEYED = "1,6000,100,ASP,0,09,0.0,0.0,30,,,27,0.0,0.01643,10,,500"
UNSURVEYED = "1,3000,,TURF,0,4,,,,,,22,,,,,"


def tables(
    folder: Path, *runways: str, airports: tuple[str, ...] = ("1,ZZAA,small_airport,Auk,0.0,0.008,20",)
) -> Tables:
    """Write two small tables."""
    folder.mkdir(exist_ok=True, parents=True)
    paths = folder / "airports.csv", folder / "runways.csv"
    for path, head, rows in zip(paths, (AIRPORTS, RUNWAYS), (airports, runways), strict=True):
        path.write_text("\n".join((head, *rows)) + "\n", encoding="utf-8")
    return Tables(airports=paths[0], runways=paths[1])


def ends_of(world: World, ident: str = "ZZAA") -> dict[str, RunwayEnd]:
    """Return an airfield's ends by designator."""
    return {end.runway: end for end in RunwayTable(behind=WorldRunways(world.columns)).airfield(ident).ends}


def test_ends_known(tmp_path: Path) -> None:
    """Both ends known: course and length from end to end, the displaced threshold further in."""
    ends = ends_of(build_world(tables=[tables(tmp_path, SURVEYED)]))
    span_ft = Geodesic.WGS84.Inverse(0.0, 0.0, 0.0, 0.01643)["s12"] / 0.3048

    assert ends["09"].length_ft == pytest.approx(span_ft, abs=0.1)
    assert ends["27"].length_ft == pytest.approx(span_ft - 500.0, abs=0.1)
    assert ends["27"].longitude_deg == pytest.approx(0.01643 * (1 - 500.0 / span_ft), abs=1e-8)
    assert (90.0, 270.0) == (round(ends["09"].course_true_deg, 6), round(ends["27"].course_true_deg, 6))
    assert (30.0, 10.0) == (ends["09"].elevation_ft, ends["27"].elevation_ft)
    assert (False, CourseSource.ENDS) == (ends["09"].estimated, ends["09"].course_source)


def test_unsurveyed(tmp_path: Path) -> None:
    """No end known: laid about the airfield by designator and variation, and marked as such."""
    ends = ends_of(build_world(tables=[tables(tmp_path, UNSURVEYED)]))
    middle = [
        (ends["04"].latitude_deg + ends["22"].latitude_deg) / 2,
        (ends["04"].longitude_deg + ends["22"].longitude_deg) / 2,
    ]

    assert middle == pytest.approx([0.0, 0.008], abs=1e-9)
    assert (True, CourseSource.DESIGNATOR) == (ends["04"].estimated, ends["04"].course_source)
    assert ends["04"].course_true_deg == pytest.approx(40.0 + (ends["04"].magnetic_variation_deg or 0.0), abs=0.01)
    assert (20.0, 3_000.0, 75.0) == (ends["04"].elevation_ft, ends["04"].length_ft, ends["04"].width_ft)


def test_given_heading(tmp_path: Path) -> None:
    """A heading that the table gives is taken before the designator's."""
    ends = ends_of(build_world(tables=[tables(tmp_path, "1,3000,,,0,04,,,,35.5,,22,,,,,")]))

    assert (35.5, CourseSource.GIVEN) == (ends["04"].course_true_deg, ends["04"].course_source)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        pytest.param("1,0,100,ASP,0,09,0,0,,,,27,0,0.01643,,,", "0 ft long", id="zero-length"),
        pytest.param("1,6000,100,ASP,0,09,0,0,,,,27,0,0,,,", "both ends lie on one point", id="one-point"),
        pytest.param(
            "1,6000,100,ASP,0,06,0,0,,,,24,0,0.01643,,,",
            "called 06, but its ends lie 34 degrees from that",
            id="number",
        ),
        pytest.param(
            "1,6000,100,ASP,0,27,0,0,,,,09,0,0.01643,,,",
            "called 27, but its ends lie 176 degrees from that",
            id="swapped",
        ),
        pytest.param(
            "1,3000,,,0,04,,,,140,,22,,,,,", "called 04, but its heading is given 104 degrees from that", id="heading"
        ),
        pytest.param(
            "1,9000,100,ASP,0,09,0,0,,,,27,0,0.01643,,,", "9000 ft long, but its ends lie 6001 ft apart", id="length"
        ),
        pytest.param(
            "1,6000,100,ASP,0,09,1,0,,,,27,1,0.01643,,,", "an end lies more than 6 NM from the airfield", id="far"
        ),
        pytest.param("1,6000,100,ASP,0,09,91,0,,,,27,0,0.01643,,,", "an end is nowhere on earth", id="nowhere"),
        pytest.param("1,3000,,,0,04,,,,,,23,,,,,", "called 04 and 23, which are no pair", id="no-pair"),
        pytest.param("1,,,,0,04,,,,,,22,,,,,", "no length, and its ends are not known", id="nothing"),
        pytest.param(
            "1,6000,100,ASP,0,09,0,0,30,,,27,0,0.01643,1800,,",
            "an end lies 1780 ft above or below its airfield",
            id="high",
        ),
        pytest.param(
            "1,6000,100,ASP,0,09,0,0,30,,,27,0,0.01643,1500,,", "its ends lie 1470 ft above one another", id="steep"
        ),
    ],
)
def test_doubts(tmp_path: Path, row: str, expected: str) -> None:
    """What can't be true is kept out and listed with its reason, and the rest stays."""
    world = build_world(tables=[tables(tmp_path, SURVEYED.replace("1,", "2,", 1), row, airports=(
        "1,ZZAA,small_airport,Auk,0.0,0.008,20", "2,ZZBB,small_airport,Bunting,0.0,0.008,20"))])  # fmt: skip

    assert [expected] == [doubt.reason for doubt in world.doubts]
    assert list(ends_of(world, "ZZBB")) == ["09", "27"]


def test_no_elevation(tmp_path: Path) -> None:
    """A runway of which nobody tells the elevation is of no use for a path."""
    world = build_world(tables=[tables(tmp_path, UNSURVEYED, airports=("1,ZZAA,small_airport,Auk,0.0,0.008,",))])

    assert ["nobody tells its elevation"] == [doubt.reason for doubt in world.doubts]


def test_twice(tmp_path: Path) -> None:
    """Two runways of one name, or on one spot, can't both be true."""
    other_name = SURVEYED.replace(",09,", ",09L,").replace(",27,", ",27R,")
    world = build_world(tables=[tables(tmp_path, SURVEYED, SURVEYED, other_name)])

    assert {"there is another of that name", "lies on 09"} == {doubt.reason for doubt in world.doubts}


def test_surveyed(tmp_path: Path) -> None:
    """What stands on no known runway stands on none only where every runway's place is known."""
    airports = tuple(f"{i},ZZA{i},small_airport,Auk,0.0,{i}.008,20" for i in range(4))
    moved = [
        SURVEYED.replace("1,", f"{i},", 1).replace("0.0,0.0,", f"0.0,{i}.0,").replace(",0.01643", f",{i}.01643")
        for i in (0, 1, 2)
    ]
    guessed, doubtful = UNSURVEYED.replace("1,", "1,", 1), "2,0,,,0,04,,,,,,22,,,,,"
    world = build_world(tables=[tables(tmp_path, *moved, guessed, doubtful, airports=airports)])
    table = RunwayTable(behind=WorldRunways(world.columns))

    found = [table.surveyed(latitude_deg=0.0, longitude_deg=i + 0.008, within_nm=3.0) for i in range(4)]

    assert [True, False, False, False] == found


def test_left_out(tmp_path: Path) -> None:
    """Closed runways and helicopter pads are left out, and counted."""
    closed = SURVEYED.replace("ASP,0", "ASP,1")
    pad = "1,80,80,ASPH,0,H1,,,,,,,,,,,"
    world = build_world(tables=[tables(tmp_path, UNSURVEYED, closed, pad)])

    assert {"closed": 1, "a helicopter pad, or no directions": 1} == world.left
    assert (2, ()) == (len(world.columns.ends), world.doubts)


def test_newer_tables_first(tmp_path: Path) -> None:
    """An airfield in a newer download replaces the older one with all its runways."""
    newer = tables(tmp_path / "new", UNSURVEYED)
    older = tables(tmp_path / "old", SURVEYED, "2,3000,,,0,04,,,,,,22,,,,,", airports=(
        "1,ZZAA,small_airport,Old,0,0.008,20", "2,ZZBB,small_airport,Bunting,0,0,20"))  # fmt: skip

    world = build_world(tables=[newer, older])

    assert ["04", "22"] == sorted(ends_of(world))
    assert ["04", "22"] == sorted(ends_of(world, "ZZBB"))
    assert ("Auk", "Bunting") == world.columns.names


def test_radio_aids(tmp_path: Path) -> None:
    """Radio aids come from their own table where there is one, every one of an ident."""
    pair = tables(tmp_path, SURVEYED)
    rows = ("ident,latitude_deg,longitude_deg", "MID,1,2", "mid,3,4", "MI,5,6", "BAD!,1,1", "XX,,1")
    (tmp_path / "navaids.csv").write_text("\n".join(rows), encoding="utf-8")
    found = Tables.within(tmp_path)
    assert found is not None
    world = WorldRunways(load_world(tables=[found], cache=tmp_path / "cache").columns)
    again = WorldRunways(load_world(tables=[found], cache=tmp_path / "cache").columns)

    assert [(1.0, 2.0), (3.0, 4.0)] == [(aid.latitude_deg, aid.longitude_deg) for aid in world.navaids("MID")]
    assert world.navaids("MID") == again.navaids("MID")
    assert [[], [], []] == [world.navaids(ident) for ident in ("", "MIDMIDMID", "BAD!")]
    assert WorldRunways(build_world(tables=[pair]).columns).navaids("MID") == []


def test_real_radio_aids() -> None:
    """A radio aid of the packaged tables is found near the place before it (its position from memory)."""
    aid = real_table().place("MID", near=real_table().airfield("EGKK").place)

    assert (aid.latitude_deg, aid.longitude_deg) == pytest.approx((51.05, -0.62), abs=0.02)


def test_old_caches_go(tmp_path: Path) -> None:
    """Caches of other tables are dropped, the oldest first."""
    for number in range(5):
        load_world(tables=[tables(tmp_path / str(number), SURVEYED)], cache=tmp_path / "cache")

    assert len(list((tmp_path / "cache").iterdir())) == 3


def test_cache(tmp_path: Path) -> None:
    """What comes out of the cache is what went in; a broken cache and changed tables are read again."""
    pair, cache = tables(tmp_path, SURVEYED, "1,0,,,0,04,,,,,,22,,,,,"), tmp_path / "cache"
    first = load_world(tables=[pair], cache=cache)
    again = load_world(tables=[pair], cache=cache)
    (kept,) = cache.iterdir()
    kept.write_bytes(kept.read_bytes()[:100])
    mended = load_world(tables=[pair], cache=cache)
    changed = load_world(tables=[tables(tmp_path, UNSURVEYED, SURVEYED)], cache=cache)

    for world in (again, mended):
        assert np.array_equal(first.columns.ends, world.columns.ends)
        assert (first.columns.names, first.doubts, first.left) == (world.columns.names, world.doubts, world.left)
    assert len(changed.columns.ends) == 4


def test_cache_that_cant_be_written(tmp_path: Path) -> None:
    """No room for a cache is no reason to fail."""
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")

    assert len(load_world(tables=[tables(tmp_path, SURVEYED)], cache=blocked).columns.ends) == 2


@pytest.mark.parametrize(
    ("name", "content", "expected"),
    [
        pytest.param("runways.csv", b"airport_ref,closed\n1,0\n", "le_ident: is no column of this table", id="columns"),
        pytest.param("airports.csv", b"\x1f\x8bnonsense", "can't be read: ", id="broken-gzip"),
        pytest.param("airports.csv", b"id,ident\n1,\xff\n", "can't be read: ", id="not-text"),
    ],
)
def test_bad_tables(tmp_path: Path, name: str, content: bytes, expected: str) -> None:
    """A table that can't be read is one line with its name."""
    pair = tables(tmp_path, SURVEYED)
    (tmp_path / name).write_bytes(content)

    with pytest.raises(ConfigError) as caught:
        build_world(tables=[pair])

    assert str(caught.value).startswith(f"{tmp_path / name}: {expected}")


def test_gzip(tmp_path: Path) -> None:
    """Tables are found and read as they come, gzip or not."""
    pair = tables(tmp_path, SURVEYED)
    (tmp_path / "runways.csv.gz").write_bytes(gzip.compress(pair.runways.read_bytes()))
    pair.runways.unlink()

    found = Tables.within(tmp_path)

    assert found is not None
    assert len(build_world(tables=[found]).columns.ends) == 2
    assert Tables.within(tmp_path / "elsewhere") is None


def test_real_courses_and_lengths() -> None:
    """Course and length of 500 real runways are the geodesic's from end to end (geographiclib)."""
    rows = list(_real_rows())
    worst_ft = worst_deg = 0.0
    for ident, row in random.Random(1).sample(rows, 500):
        low, high = ([float(row[f"{end}_{k}_deg"]) for k in ("latitude", "longitude")] for end in ("le", "he"))
        line = Geodesic.WGS84.Inverse(*low, *high)
        end = next(e for e in real_table().airfield(ident).ends if e.runway.lstrip("0") == row["le_ident"].lstrip("0"))
        worst_ft = max(worst_ft, abs(end.length_ft + end.displaced_ft - line["s12"] / 0.3048))
        worst_deg = max(worst_deg, abs((end.course_true_deg - line["azi1"] + 180.0) % 360.0 - 180.0))

    assert worst_ft < 0.02
    assert worst_deg < 1e-4


def _real_rows() -> list[tuple[str, dict[str, str]]]:
    """Return the rows of the packaged table that were believed and have both ends, with their airfield."""
    packaged = packaged_tables()
    assert packaged is not None
    kept = {
        (real_runways().end_at(row).airfield, real_runways().end_at(row).runway.lstrip("0"))
        for row in np.flatnonzero(~real_world().columns.ends["estimated"])
    }
    with gzip.open(packaged.runways, "rt", encoding="utf-8") as stream:
        rows = [(row["airport_ident"].upper(), row) for row in csv.DictReader(stream)]
    return [
        (ident, row) for ident, row in rows if row["le_latitude_deg"] and (ident, row["le_ident"].lstrip("0")) in kept
    ]


def test_real_ends_named() -> None:
    """Of 1,000 real ends, on final at 1, 3, 6 NM and lined up, all but close parallels are named, and none wrongly."""
    rows = np.flatnonzero(~real_world().columns.ends["estimated"])
    outcomes: Counter[str] = Counter()
    for row in random.Random(2).sample(list(rows), 1_000):
        end = real_runways().end_at(int(row))
        outcomes["lined up"] += _lined_up(end)
        for distance_nm in (1.0, 3.0, 6.0):
            outcomes[f"{distance_nm:g} NM {_on_final(end, distance_nm=distance_nm)}"] += 1

    assert outcomes["lined up"] == 1_000
    for distance in ("1 NM", "3 NM", "6 NM"):
        alone = 1_000 - outcomes[f"{distance} unsure of a parallel"]
        assert outcomes[f"{distance} named"] >= 0.99 * alone
        assert outcomes[f"{distance} wrong"] == 0


def test_real_ends_flown_untidily() -> None:
    """Of 300 real approaches flown off the centreline and off the course, none is given a wrong name for sure."""
    chance = random.Random(4)
    rows = list(np.flatnonzero(~real_world().columns.ends["estimated"]))
    outcomes = Counter(
        _on_final(
            real_runways().end_at(int(chance.choice(rows))),
            distance_nm=chance.choice([1.0, 3.0, 6.0]),
            offset_deg=chance.gauss(0.0, 0.25),
            angle_deg=chance.gauss(0.0, 2.0),
        )
        for _ in range(300)
    )

    assert outcomes["wrong"] == 0
    assert outcomes["named"] >= 270


def _on_final(end: RunwayEnd, *, distance_nm: float, offset_deg: float = 0.0, angle_deg: float = 0.0) -> str:
    there = Geodesic.WGS84.Direct(
        end.latitude_deg, end.longitude_deg, end.course_true_deg + 180.0, distance_nm * 1852.0
    )
    inbound_deg = there["azi2"] + 180.0
    aside_m = math.radians(offset_deg) * (distance_nm * 1852.0 + 1200.0)
    there = Geodesic.WGS84.Direct(there["lat2"], there["lon2"], inbound_deg + 90.0, aside_m)
    here = {"latitude_deg": there["lat2"], "longitude_deg": there["lon2"]}
    found = tracked_end(
        ends=real_table().near(**here, within_nm=20.0),
        **here,
        altitude_ft=end.elevation_ft + 50.0 + 318.4 * distance_nm,
        track_true_deg=(inbound_deg + angle_deg) % 360.0,
    )
    if found is None or (found.end != end and not found.certain):
        return "missed"
    if found.certain:
        return "named" if found.end == end else "wrong"
    rival = found.rival
    near_by = rival is not None and rival.airfield == end.airfield
    parallel = rival is not None and abs((rival.course_true_deg - end.course_true_deg + 180.0) % 360.0 - 180.0) < 10.0
    return "unsure of a parallel" if near_by and parallel else "missed"


def _lined_up(end: RunwayEnd) -> bool:
    there = Geodesic.WGS84.Direct(end.latitude_deg, end.longitude_deg, end.course_true_deg, 200.0 * 0.3048)
    found = surface_end(
        runways=real_table(),
        latitude_deg=there["lat2"],
        longitude_deg=there["lon2"],
        heading_true_deg=end.course_true_deg,
    )
    return found.end == end
