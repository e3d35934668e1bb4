"""Runway table: given airfields, overlay, nearest names."""

from collections.abc import Sequence

import pytest
from geographiclib.geodesic import Geodesic

from otherseat.advisories.runway import Place, RunwayTable, UnknownPlaceError, span_ft_deg
from tests.advisories.places import make_runway, parallels, seen_from

FIELD = parallels()
TABLE = RunwayTable([FIELD])


@pytest.mark.parametrize("course_deg", [0.0, 37.0, 180.0, 270.0])
@pytest.mark.parametrize("latitude_deg", [0.0, 45.0, -78.0])
def test_span(latitude_deg: float, course_deg: float) -> None:
    """Length and course between the ends of a long runway are the geodesic's (geographiclib)."""
    there = Geodesic.WGS84.Direct(latitude_deg, 179.99, course_deg, 5_500.0)

    length_ft, found_deg = span_ft_deg(
        latitude_deg=latitude_deg, longitude_deg=179.99, to_latitude_deg=there["lat2"], to_longitude_deg=there["lon2"]
    )

    assert length_ft == pytest.approx(5_500.0 / 0.3048, abs=0.01)
    assert abs((found_deg - course_deg + 180.0) % 360.0 - 180.0) < 1e-4


def test_nearest_first() -> None:
    """Ends come in the order of their distance."""
    latitude_deg, longitude_deg = seen_from(TABLE.end("ZZPS/27R"), along_ft=-1_000.0)

    found = TABLE.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=5.0)

    assert [end.runway for end in found][:2] == ["27R", "27L"]
    assert len(found) == len(TABLE)


def test_beneath() -> None:
    """Both ends of the surface beneath are named, and of a crossing one as well."""
    latitude_deg, longitude_deg = seen_from(TABLE.end("ZZPS/27L"), along_ft=2_000.0)

    found = TABLE.beneath(latitude_deg=latitude_deg, longitude_deg=longitude_deg, margin_ft=10.0)

    assert {"27L", "09R", "36", "18"} == {end.runway for end in found}


def test_aligned() -> None:
    """Only ends that the track could lead to are given."""
    latitude_deg, longitude_deg = seen_from(TABLE.end("ZZPS/27L"), along_ft=-20_000.0)

    found = TABLE.aligned(latitude_deg=latitude_deg, longitude_deg=longitude_deg, track_true_deg=255.0, within_nm=10.0)

    assert {"27L", "27R"} == {end.runway for end in found}


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        pytest.param("ZZPX/27L", "no such place: ZZPX; nearest: ZZPS", id="airfield"),
        pytest.param("ZZPS/27", "no such place: ZZPS/27; nearest: ZZPS/27R, ZZPS/27L", id="side"),
        pytest.param("ZZPS/X", "no such place: ZZPS/X; nearest: ZZPS/09L, ZZPS/09R, ZZPS/18", id="nothing-like-it"),
    ],
)
def test_unknown(name: str, expected: str) -> None:
    """A name that doesn't exist is answered with those that do."""
    with pytest.raises(UnknownPlaceError) as caught:
        TABLE.end(name)

    assert str(caught.value).startswith(expected)


def test_own_airfields_first() -> None:
    """An airfield given overlays the one of the same ident behind it, wherever that lies."""
    elsewhere = make_runway(airfield="ZZPS", names=("13", "31"), at=(10.0, 10.0), course_true_deg=130.0)
    behind = _Store(elsewhere_end=elsewhere.ends[0])
    table = RunwayTable([FIELD], behind=behind)

    assert table.near(latitude_deg=10.0, longitude_deg=10.0, within_nm=5.0) == []
    assert table.airfield("ZZPS") == FIELD


@pytest.mark.parametrize(
    ("near", "expected"),
    [
        pytest.param(Place("A", 10.0, 20.5), (10.0, 20.0), id="the-nearer"),
        pytest.param(Place("B", -31.0, -59.0), (-30.0, -60.0), id="the-other"),
        pytest.param(Place("C", 60.0, 100.0), None, id="all-too-far"),
        pytest.param(None, None, id="which-of-them"),
    ],
)
def test_radio_aid(near: Place | None, expected: tuple[float, float] | None) -> None:
    """Of radio aids with one ident it is the one nearby, and none at all rather than any."""
    aids = [Place("MID", 10.0, 20.0), Place("MID", -30.0, -60.0)]
    table = RunwayTable([FIELD], behind=_Store(elsewhere_end=None, aids=aids))  # type: ignore[arg-type] # has no airfields

    if expected is None:
        with pytest.raises(UnknownPlaceError, match="no such place: MID"):
            table.place("MID", near=near)
    else:
        found = table.place("MID", near=near)
        assert expected == (found.latitude_deg, found.longitude_deg)


class _Store:
    """A store with one end, of whatever airfield it is."""

    def __init__(self, *, elsewhere_end: object, aids: Sequence[Place] = ()) -> None:
        self._end = elsewhere_end
        self._aids = aids

    def __len__(self) -> int:
        return 1

    def near(self, **_where: float) -> list[tuple[float, object]]:
        return [(0.0, self._end)]

    def airfield(self, _ident: str) -> None:
        return None

    def similar(self, _ident: str) -> list[str]:
        return []

    def navaids(self, ident: str) -> list[Place]:
        return [aid for aid in self._aids if aid.name == ident]

    def named(self, _text: str) -> list[object]:
        return []
