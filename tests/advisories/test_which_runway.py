"""Which runway: arrival by score and margin, departure by surface and heading."""

from dataclasses import replace

import pytest

from otherseat.advisories.runway import Airfield, Runway, RunwayEnd, RunwayTable
from otherseat.advisories.units import FT_PER_NM
from otherseat.advisories.which_runway import Surface, Tracked, surface_end, tracked_end
from tests.advisories.places import make_runway, offset_position, parallels, seen_from

FIELD = parallels()
TABLE = RunwayTable([FIELD])
LEFT, RIGHT, CROSSING = (TABLE.end(f"ZZPS/{name}") for name in ("27L", "27R", "36"))


def on_final(
    end: RunwayEnd,
    *,
    distance_nm: float,
    across_ft: float = 0.0,
    angle_deg: float = 0.0,
    height_ft: float | None = None,
    ends: tuple[RunwayEnd, ...] = FIELD.ends,
) -> Tracked | None:
    """Ask about an aircraft at a distance from an end, on a 3 degree path unless a height is given."""
    latitude_deg, longitude_deg = seen_from(end, along_ft=-distance_nm * FT_PER_NM, across_ft=across_ft)
    return tracked_end(
        ends=ends,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_ft=end.elevation_ft + (50.0 + 318.0 * distance_nm if height_ft is None else height_ft),
        track_true_deg=end.course_true_deg + angle_deg,
    )


def on_ground(end: RunwayEnd, *, along_ft: float, across_ft: float = 0.0, turned_deg: float = 0.0) -> Surface:
    """Ask about an aircraft standing somewhere as an end sees it."""
    latitude_deg, longitude_deg = seen_from(end, along_ft=along_ft, across_ft=across_ft)
    return surface_end(
        runways=TABLE,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_deg=(end.course_true_deg + turned_deg) % 360.0,
    )


@pytest.mark.parametrize("distance_nm", [0.3, 1.0, 3.0, 6.0])
@pytest.mark.parametrize("end", FIELD.ends, ids=lambda end: end.runway)
def test_on_the_centreline(end: RunwayEnd, distance_nm: float) -> None:
    """Established on final, the right one of two parallels 700 ft apart is named for sure."""
    found = on_final(end, distance_nm=distance_nm)

    assert found is not None
    assert (end.name, True, None) == (found.end.name, found.certain, found.rival)


@pytest.mark.parametrize("distance_nm", [1.0, 3.0, 6.0])
def test_between_the_parallels(distance_nm: float) -> None:
    """Half way between two parallels it can't tell, and names both."""
    found = on_final(LEFT, distance_nm=distance_nm, across_ft=350.0)

    assert found is not None
    assert found.rival is not None
    assert ({"27L", "27R"}, False) == ({found.end.runway, found.rival.runway}, found.certain)


def test_intercept_of_close_parallels() -> None:
    """From a long intercept the parallels can't be told apart yet."""
    found = on_final(LEFT, distance_nm=8.0, across_ft=-4_000.0, angle_deg=30.0)

    assert found is not None
    assert not found.certain


def test_side_step() -> None:
    """During a side-step the name changes, through a stretch where none is certain."""
    offsets_ft = [0, 100, 250, 350, 450, 600, 700]
    said = [on_final(LEFT, distance_nm=1.5, across_ft=float(offset), angle_deg=5.0) for offset in offsets_ft]

    names = [found.end.runway if found is not None and found.certain else None for found in said]

    assert ["27L", None, "27R"] == [name for i, name in enumerate(names) if i == 0 or name != names[i - 1]]


@pytest.mark.parametrize(
    ("distance_nm", "height_ft"),
    [
        pytest.param(6.0, 100.0, id="far-and-very-low"),
        pytest.param(2.0, 4_000.0, id="overhead-high"),
        pytest.param(-0.5, 800.0, id="missed-approach-over-the-runway"),
        pytest.param(-1.5, 30.0, id="beyond-the-far-end"),
        pytest.param(25.0, 8_000.0, id="too-far"),
        pytest.param(3.0, -300.0, id="below-the-field"),
    ],
)
def test_leads_nowhere(distance_nm: float, height_ft: float) -> None:
    """Nobody lands from there, so no end is named."""
    assert on_final(LEFT, distance_nm=distance_nm, height_ft=height_ft) is None


@pytest.mark.parametrize("height_ft", [0.0, 30.0, 150.0])
def test_low_over_the_runway(height_ft: float) -> None:
    """A touch-and-go and a low pass keep their runway's name while over it."""
    found = on_final(LEFT, distance_nm=-0.4, height_ft=height_ft)

    assert found is not None
    assert ("27L", True) == (found.end.runway, found.certain)


@pytest.mark.parametrize(
    ("angle_deg", "expected"), [pytest.param(180.0, None, id="downwind"), pytest.param(90.0, None, id="base")]
)
def test_circuit(angle_deg: float, expected: str | None) -> None:
    """Downwind and base of a circuit to the left lead to no runway."""
    assert expected == on_final(LEFT, distance_nm=1.0, across_ft=-6_000.0, angle_deg=angle_deg, height_ft=1_000.0)


def test_circling() -> None:
    """Breaking off one final, circling, and turning on to another changes the name, with none in between."""
    flown = [
        on_final(CROSSING, distance_nm=2.0),
        on_final(CROSSING, distance_nm=0.6, across_ft=2_500.0, angle_deg=60.0, height_ft=500.0),
        on_final(LEFT, distance_nm=-0.5, across_ft=-6_000.0, angle_deg=180.0, height_ft=500.0),
        on_final(LEFT, distance_nm=1.2, across_ft=-3_000.0, angle_deg=90.0, height_ft=500.0),
        on_final(LEFT, distance_nm=1.0),
    ]

    assert ["36", None, None, None, "27L"] == [
        found.end.runway if found is not None and found.certain else None for found in flown
    ]


def test_estimated() -> None:
    """An end whose place is only estimated is never certain, and never in the way of one that is known."""
    guess = replace(LEFT, airfield="ZZGS", runway="27", estimated=True)
    latitude_deg, longitude_deg = seen_from(LEFT, along_ft=100.0)

    alone = on_final(LEFT, distance_nm=2.0, ends=(guess,))
    beside = on_final(LEFT, distance_nm=2.0, ends=(guess, LEFT))
    ground = surface_end(
        runways=RunwayTable([Airfield("ZZGS", "", 0.0, 0.0, 0.0, (Runway((guess, guess)),))]),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_deg=270.0,
    )

    assert alone is not None
    assert (guess, False) == (alone.end, alone.certain)
    assert beside is not None
    assert (LEFT, True) == (beside.end, beside.certain)
    assert Surface(estimated=guess) == ground


def test_two_fields_in_line() -> None:
    """Of two airfields in line, the height says which one it is."""
    near = make_runway(airfield="ZZNR", names=("27", "09"), at=(10.0, 10.0), course_true_deg=270.0).ends[0]
    far_at = seen_from(near, along_ft=7.0 * FT_PER_NM)
    far = make_runway(airfield="ZZFR", names=("27", "09"), at=far_at, course_true_deg=270.0).ends[0]

    low = on_final(near, distance_nm=4.0, height_ft=1_300.0, ends=(near, far))
    high = on_final(near, distance_nm=4.0, height_ft=3_500.0, ends=(near, far))

    assert low is not None
    assert high is not None
    assert ("ZZNR", "ZZFR") == (low.end.airfield, high.end.airfield)


@pytest.mark.parametrize(
    ("distance_nm", "height_ft", "certain"),
    [
        pytest.param(1.0, 900.0, False, id="high on short final of the near one"),
        pytest.param(2.0, 2_000.0, True, id="over it"),
        pytest.param(-1.0, 900.0, True, id="past it"),
    ],
)
def test_a_field_on_the_way_may_be_meant(distance_nm: float, height_ft: float, certain: bool) -> None:  # noqa: FBT001 - a table's column
    """Far above the path to the near one of two airfields in line, that one may be meant still, unless it is passed."""
    near = make_runway(airfield="ZZNR", names=("27", "09"), at=(10.0, 10.0), course_true_deg=270.0).ends[0]
    far_at = seen_from(near, along_ft=6.5 * FT_PER_NM)
    far = make_runway(airfield="ZZFR", names=("27", "09"), at=far_at, course_true_deg=270.0).ends[0]

    found = on_final(near, distance_nm=distance_nm, height_ft=height_ft, ends=(near, far))

    assert found is not None
    assert ("ZZFR", certain) == (found.end.airfield, found.certain)
    assert found.rival is (None if certain else near)


@pytest.mark.parametrize(
    ("along_ft", "certain"), [pytest.param(-2_000.0, False, id="before it"), pytest.param(2_000.0, True, id="over it")]
)
def test_a_strip_that_is_just_behind_is_not_meant(along_ft: float, certain: bool) -> None:  # noqa: FBT001 - a table's column
    """Low, from a strip on a ridge down to a field in the valley, the strip may be meant up to its threshold."""
    far = make_runway(airfield="ZZFR", names=("27", "09"), at=(10.0, 10.0), course_true_deg=270.0).ends[0]
    latitude_deg, longitude_deg = seen_from(far, along_ft=-3.5 * FT_PER_NM)
    at = offset_position(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, course_true_deg=282.0, along_ft=-along_ft
    )
    near = make_runway(airfield="ZZNR", names=("28", "10"), at=at, course_true_deg=282.0, elevation_ft=1_000.0).ends[0]

    found = on_final(far, distance_nm=3.5, ends=(near, far))

    assert found is not None
    assert (far, certain, None if certain else near) == (found.end, found.certain, found.rival)


def test_without_altitude() -> None:
    """Without an altitude, position and track alone name the end."""
    latitude_deg, longitude_deg = seen_from(LEFT, along_ft=-2.0 * FT_PER_NM)

    found = tracked_end(
        ends=FIELD.ends, latitude_deg=latitude_deg, longitude_deg=longitude_deg, altitude_ft=None, track_true_deg=270.0
    )

    assert found is not None
    assert ("27L", True) == (found.end.runway, found.certain)


def test_no_runways() -> None:
    """With no runway near there is no answer."""
    assert tracked_end(ends=(), latitude_deg=0.0, longitude_deg=0.0, altitude_ft=0.0, track_true_deg=0.0) is None


@pytest.mark.parametrize("end", FIELD.ends, ids=lambda end: end.runway)
def test_lined_up(end: RunwayEnd) -> None:
    """Lined up 200 ft in, the end is named with what lies ahead."""
    found = on_ground(end, along_ft=200.0, turned_deg=3.0)

    assert found.end == end
    assert found.offset_ft == pytest.approx(0.0, abs=2.0)
    assert found.course_difference_deg == pytest.approx(3.0, abs=0.1)
    assert found.runway_ahead_ft == pytest.approx(5_800.0, abs=30.0)


def test_intersection() -> None:
    """From an intersection less runway lies ahead, and the heading says which of the two runways it is."""
    found = on_ground(LEFT, along_ft=2_000.0)

    assert found.end == LEFT
    assert found.runway_ahead_ft == pytest.approx(4_000.0, abs=30.0)
    assert on_ground(CROSSING, along_ft=3_000.0).end == CROSSING


def test_crossing_a_runway() -> None:
    """Across a runway the aircraft is crossing it, not on it for take-off."""
    found = on_ground(LEFT, along_ft=4_000.0, turned_deg=80.0)

    assert (None, "27L") == (found.end, found.crossing.runway if found.crossing else None)


@pytest.mark.parametrize("across_ft", [-350.0, -150.0, 150.0])
def test_parallel_taxiway(across_ft: float) -> None:
    """A taxiway alongside is told from the runway by its offset, and the runway beside it is named."""
    found = on_ground(LEFT, along_ft=500.0, across_ft=across_ft)

    assert (None, None, LEFT) == (found.end, found.crossing, found.beside)
    assert found.offset_ft == pytest.approx(across_ft, rel=0.02)


def test_nowhere() -> None:
    """Far from any runway there is nothing to say."""
    assert surface_end(runways=TABLE, latitude_deg=0.0, longitude_deg=0.0, heading_true_deg=0.0) == Surface()
