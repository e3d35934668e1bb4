"""The same flight at other corners of the earth: hemispheres, the 180th meridian, fields below the sea."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from otherseat.advisories.engine import Engine
from otherseat.advisories.plan import Plan, resolve
from otherseat.advisories.runway import Airfield, Runway, RunwayTable
from otherseat.advisories.state import State
from otherseat.config.profiles import read_profile
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from tests.scripted import FIELD_ELEVATION_FT, final, make_runway, straight


def heard(
    *, latitude_deg: float, longitude_deg: float, elevation_ft: float, course_true_deg: float = 90.0
) -> list[tuple[str, str, str]]:
    """Return what is raised on a final flown high and to the right, and on a cruise past the field, 9 NM long."""
    runway = make_runway(
        airfield="ZZCC",
        names=("09", "27"),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        course_true_deg=course_true_deg,
    )
    first, other = (replace(end, elevation_ft=elevation_ft) for end in runway.ends)
    field = Airfield(
        ident="ZZCC",
        name="Far island",
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        elevation_ft=elevation_ft,
        runways=(Runway(ends=(first, other)),),
    )
    table = RunwayTable([field])
    plan = resolve(plan=Plan(destination="ZZCC/09"), runways=table, profile=read_profile("light-single"))
    told = []
    for states in (
        final(end=first, distance_nm=4.0, above_path_ft=400.0, offset_ft=900.0, seconds=130.0),
        over(field, course_true_deg),
    ):
        engine = Engine(
            aircraft="own",
            runways=table,
            plan=plan,
            advisories=plugins.advisories(),
            attention=read_settings().attention,
        )
        for state in states:
            told += [(alert.change.value, alert.level.word, alert.alert) for alert in engine.step(state).alerts]
    return told


def over(field: Airfield, course_true_deg: float) -> Iterator[State]:
    """Yield a cruise that begins 4 NM before the field and ends 5 NM after it."""
    before = list(
        straight(
            latitude_deg=field.latitude_deg,
            longitude_deg=field.longitude_deg,
            track_true_deg=(course_true_deg + 180.0) % 360.0,
            groundspeed_kt=4.0 * 3_600.0,
            altitude_ft=0.0,
            seconds=1.0,
            rate_hz=1.0,
        )
    )[-1]
    assert before.latitude_deg is not None
    assert before.longitude_deg is not None
    return straight(
        latitude_deg=before.latitude_deg,
        longitude_deg=before.longitude_deg,
        track_true_deg=course_true_deg,
        groundspeed_kt=120.0,
        altitude_ft=field.elevation_ft + 4_500.0,
        seconds=270.0,
        rate_hz=2.0,
    )


USUAL = heard(latitude_deg=10.0, longitude_deg=20.0, elevation_ft=FIELD_ELEVATION_FT)


def test_the_usual_place_tells_of_all_three() -> None:
    """High, off to the right, and past the destination: so the comparison compares something."""
    assert {"glidepath-high", "offset-right", "destination-passed"} <= {alert for _, _, alert in USUAL}


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "elevation_ft"),
    [
        pytest.param(-10.0, 20.0, FIELD_ELEVATION_FT, id="south"),
        pytest.param(10.0, -20.0, FIELD_ELEVATION_FT, id="west"),
        pytest.param(-10.0, 179.99, FIELD_ELEVATION_FT, id="over-the-180th-meridian"),
        pytest.param(10.0, -179.99, FIELD_ELEVATION_FT, id="from-the-180th-meridian"),
        pytest.param(0.0, 0.0, FIELD_ELEVATION_FT, id="where-both-are-nought"),
        pytest.param(10.0, 20.0, -1_200.0, id="below-the-sea"),
        pytest.param(65.0, -150.0, 0.0, id="far-north"),
    ],
)
def test_the_same_everywhere(latitude_deg: float, longitude_deg: float, elevation_ft: float) -> None:
    """A flight raises the same alerts, in the same order, wherever it is flown."""
    assert USUAL == heard(latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_ft=elevation_ft)


@pytest.mark.parametrize("course_true_deg", [0.0, 359.9, 180.0, 271.0])
def test_the_same_in_every_direction(course_true_deg: float) -> None:
    """And whichever way the runway points."""
    assert USUAL == heard(
        latitude_deg=10.0, longitude_deg=20.0, elevation_ft=FIELD_ELEVATION_FT, course_true_deg=course_true_deg
    )
