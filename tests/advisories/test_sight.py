"""Sight: what the picture is worked out against."""

from dataclasses import replace

import pytest
from pygeomag import GeoMag

from otherseat.advisories.picture import Phase, Picture, Source
from otherseat.advisories.plan import Plan, resolve
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.sight import Sight
from otherseat.advisories.state import State
from otherseat.advisories.units import FT_PER_NM
from tests.advisories.places import parallels, seen_from


@pytest.mark.parametrize(("estimated", "expected"), [(False, "ZZPS/27L"), (True, None)])
def test_no_path_to_an_estimate(estimated: bool, expected: str | None) -> None:  # noqa: FBT001 - a table's column
    """Against a runway whose place is only estimated there is no path and no centreline, but a destination."""
    field = parallels()
    runways = tuple(
        replace(
            runway, ends=(replace(runway.ends[0], estimated=estimated), replace(runway.ends[1], estimated=estimated))
        )
        for runway in field.runways
    )
    table = RunwayTable([replace(field, runways=runways)])
    sight = Sight(runways=table, plan=resolve(plan=Plan(destination="ZZPS/27L"), runways=table))
    latitude_deg, longitude_deg = seen_from(table.end("ZZPS/27L"), along_ft=-18_000.0)

    picture, reference = sight.look(
        State(
            time_s=0.0,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            altitude_ft=1_000.0,
            groundspeed_kt=70.0,
            track_true_deg=270.0,
        )
    )

    assert (expected, "ZZPS") == (picture.runway, picture.destination)
    assert (expected is None) == (picture.height_above_path_ft is None) == (reference.arrival_end is None)


def test_what_a_screen_shows_is_taken_over_as_told() -> None:
    """Whoever draws needs no states: position and pause are in the picture, and nothing made up."""
    table = RunwayTable([parallels()])
    told = {"latitude_deg": 9.5, "longitude_deg": -140.25, "paused": True}

    picture, _ = Sight(runways=table, plan=resolve(plan=Plan(), runways=table)).look(State(time_s=1.0, **told))  # type: ignore[arg-type]  # a table of values
    bare, _ = Sight(runways=table, plan=resolve(plan=Plan(), runways=table)).look(State(time_s=1.0))

    assert told == {name: getattr(picture, name) for name in told}
    assert {None} == {getattr(bare, name) for name in told}


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        pytest.param({"indicated_airspeed_kt": 96.0}, (96.0, Source.REPORTED, 26.0), id="told"),
        pytest.param({"outside_air_temperature_c": 5.09}, (100.0, Source.COMPUTED, 30.0), id="worked-out"),
        pytest.param({}, (None, None, 0.0), id="no-temperature"),
    ],
)
def test_the_speed_to_lose_is_the_pictures(
    told: dict[str, float], expected: tuple[float | None, Source | None, float]
) -> None:
    """The descent begins 1 NM sooner for each 10 kt over the approach speed, be they told or worked out.

    107.67 kt true are 100 kt at 5,000 ft in standard air: aerocalc3 0.10, spd-003 of tests/standards/data.
    """
    table = RunwayTable([parallels()])
    latitude_deg, longitude_deg = seen_from(table.end("ZZPS/27L"), along_ft=-30.0 * FT_PER_NM)
    place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg, "altitude_ft": 5_000.0}

    def look(**values: float) -> Picture:
        plan = resolve(plan=Plan(destination="ZZPS/27L", approach_speed_kt=70.0), runways=table)
        return Sight(runways=table, plan=plan).look(State(time_s=0.0, **place, **values))[0]

    picture, bare = look(true_airspeed_kt=107.67, **told), look()
    assert picture.top_of_descent_nm is not None
    assert bare.top_of_descent_nm is not None
    sooner_nm = bare.top_of_descent_nm - picture.top_of_descent_nm
    found = (picture.indicated_airspeed_kt, picture.indicated_airspeed_source, 10.0 * sooner_nm)

    assert expected == pytest.approx(found, abs=0.1)


def test_a_compass_is_enough_to_know_the_runway() -> None:
    """Where only a magnetic heading is sent and no airfield tells a variation, the World Magnetic Model's is taken.

    Standing on 27L: course 270 true, and the compass shows that less the variation of pygeomag's own model, east
    positive.
    """
    table = RunwayTable([parallels()])
    end = table.end("ZZPS/27L")
    assert end.magnetic_variation_deg is None
    latitude_deg, longitude_deg = seen_from(end, along_ft=200.0)
    model = GeoMag().calculate(glat=latitude_deg, glon=longitude_deg, alt=0.0, time=2025.0)
    state = State(
        time_s=0.0,
        on_ground=True,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        groundspeed_kt=0.0,
        heading_magnetic_deg=(end.course_true_deg - model.d) % 360.0,
    )
    picture, _ = Sight(runways=table, plan=resolve(plan=Plan(), runways=table)).look(state)

    assert "ZZPS/27L" == picture.surface_runway
    assert model.d == pytest.approx(picture.magnetic_variation_deg, abs=0.7)
    assert end.course_true_deg == pytest.approx(picture.heading_true_deg, abs=0.7)


@pytest.mark.parametrize(
    ("told", "expected"),
    [({"groundspeed_kt": 20.0}, True), ({"groundspeed_kt": 90.0}, False), ({"on_ground": True}, True)],
)
def test_the_picture_tells_the_ground(told: dict[str, float | bool], expected: bool) -> None:  # noqa: FBT001 - a table's column
    """As told, or where nothing tells it by speed: who is slower than 35 kt has not taken off."""
    table = RunwayTable([parallels()])
    picture, _ = Sight(runways=table, plan=resolve(plan=Plan(), runways=table)).look(State(time_s=0.0, **told))  # type: ignore[arg-type]  # a table of values

    assert expected is picture.on_ground


@pytest.mark.parametrize(("far_nm", "expected"), [(20.0, -3.0), (900.0, None)])
def test_an_airfields_own_variation_holds_near_it(far_nm: float, expected: float | None) -> None:
    """Near the destination its own variation counts, hundreds of miles away the model's at that place."""
    field = parallels()
    runways = tuple(
        replace(runway, ends=tuple(replace(end, magnetic_variation_deg=-3.0) for end in runway.ends))  # type: ignore[arg-type]  # two ends again
        for runway in field.runways
    )
    table = RunwayTable([replace(field, runways=runways)])
    latitude_deg, longitude_deg = seen_from(table.end("ZZPS/27L"), along_ft=-far_nm * FT_PER_NM)
    sight = Sight(runways=table, plan=resolve(plan=Plan(destination="ZZPS/27L"), runways=table))
    picture, _ = sight.look(State(time_s=0.0, latitude_deg=latitude_deg, longitude_deg=longitude_deg))

    model = GeoMag().calculate(glat=latitude_deg, glon=longitude_deg, alt=0.0, time=2025.0)
    assert (model.d if expected is None else expected) == pytest.approx(picture.magnetic_variation_deg, abs=0.7)
    assert abs(model.d + 3.0) > 2.0


@pytest.mark.parametrize(("plan", "expected"), [(Plan(), Phase.CRUISE), (Plan(destination="ZZPS"), Phase.APPROACH)])
def test_nine_miles_abeam_of_a_field(plan: Plan, expected: Phase) -> None:
    """Tracked to once and then passed 9 NM abeam, level at 1,400 ft: en route, unless the plan goes there."""
    table = RunwayTable([parallels()])
    sight = Sight(runways=table, plan=resolve(plan=plan, runways=table))
    end = table.end("ZZPS/27L")
    places = (({"along_ft": -30_000.0}, 270.0), ({"along_ft": 0.0, "across_ft": 9.0 * FT_PER_NM}, 270.0))
    for number, (place, track_deg) in enumerate(places):
        latitude_deg, longitude_deg = seen_from(end, **place)
        picture, _ = sight.look(
            State(
                time_s=600.0 * number,
                on_ground=False,
                latitude_deg=latitude_deg,
                longitude_deg=longitude_deg,
                altitude_ft=1_400.0,
                groundspeed_kt=100.0,
                track_true_deg=track_deg,
            )
        )

    assert "ZZPS/27L" == picture.runway
    assert expected is picture.phase
