"""An independent oracle: the flight model's own truth against the picture that the daemon worked out from less."""

import math
from functools import cache
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic

from otherseat.advisories.engine import Engine, Outcome
from otherseat.advisories.picture import Source
from otherseat.advisories.state import State
from otherseat.advisories.units import FT_PER_NM, M_PER_NM
from otherseat.config.settings import SourceSettings, read_settings
from otherseat.daemon import plugins
from otherseat.daemon.flight_model.recording import read_recording
from otherseat.daemon.flight_model.world import World
from otherseat.daemon.messages import Kind, alert_message
from otherseat.daemon.packing import encode
from otherseat.daemon.source import make_intake

RECORDED = Path(__file__).parents[1] / "flights" / "demo.txt.gz"
WORLD = World.make()
KT_PER_FPS = 3_600.0 / FT_PER_NM

Truth = dict[str, float]


def fly_recording() -> list[tuple[Truth, State, Outcome]]:
    """Decode the recorded datagrams, step an engine, and keep the columns that only the oracle may read beside it."""
    settings = read_settings(None)
    intake = make_intake(SourceSettings(layout="jsbsim"))
    engine = Engine(
        aircraft="own",
        runways=WORLD.runways,
        plan=WORLD.plan,
        advisories=plugins.advisories(),
        params=settings.advisories,
        attention=settings.attention,
    )
    flown, labels = [], list[str]()
    for datagram in read_recording(RECORDED):
        states = intake.take(datagram, received_s=0.0)
        cells = [cell.strip() for cell in datagram.decode().split(",")]
        if datagram.startswith(b"<LABELS>"):
            labels = cells[1:]
            continue
        truth = dict(zip(labels, map(float, cells), strict=True))
        flown += [(truth, state, outcome) for state in states if (outcome := engine.step(state)).thought]
    return flown


@cache
def flown() -> list[tuple[Truth, State, Outcome]]:
    """Fly it once for all tests here."""
    return fly_recording()


def test_true_airspeed() -> None:
    """True airspeed, worked out from calibrated airspeed, pressure and temperature, is the model's within 0.5 kt."""
    aloft = [(truth, outcome.picture) for truth, state, outcome in flown() if not state.on_ground]

    assert len(aloft) > 2_500
    assert {Source.COMPUTED} == {picture.true_airspeed_source for _, picture in aloft}
    assert 0.0 == pytest.approx(
        max(abs((picture.true_airspeed_kt or 0.0) - truth["truth-vtrue-kts"]) for truth, picture in aloft), abs=0.5
    )


def test_groundspeed() -> None:
    """Groundspeed is the model's within 0.1 kt."""
    worst = max(
        abs((outcome.picture.groundspeed_kt or 0.0) - truth["truth-vg-fps"] * KT_PER_FPS)
        for truth, _, outcome in flown()
    )

    assert 0.0 == pytest.approx(worst, abs=0.1)


def test_distance_to_go() -> None:
    """Distance to the threshold and offset are the geodesic's (GeographicLib) within 1.5 m."""
    checked = 0
    for _, state, outcome in flown():
        picture = outcome.picture
        if (
            picture.runway != WORLD.landing.name
            or picture.distance_to_threshold_nm is None
            or picture.offset_ft is None
        ):
            continue
        if not 0.0 < picture.distance_to_threshold_nm < 6.0:
            continue
        inverse = Geodesic.WGS84.Inverse(
            WORLD.landing.latitude_deg, WORLD.landing.longitude_deg, state.latitude_deg, state.longitude_deg
        )
        off = math.radians(inverse["azi1"] - WORLD.landing.course_true_deg)
        assert -inverse["s12"] * math.cos(off) == pytest.approx(picture.distance_to_threshold_nm * M_PER_NM, abs=1.5)
        assert inverse["s12"] * math.sin(off) == pytest.approx(picture.offset_ft * 0.3048, abs=1.5)
        checked += 1

    assert checked > 500


def test_wind() -> None:
    """The wind that is learnt in flight is the model's within 2 kt, once it has had three minutes."""
    late = [
        (truth, outcome.picture)
        for truth, state, outcome in flown()
        if state.time_s > 250.0 and not state.on_ground and outcome.picture.wind_speed_kt is not None
    ]
    apart = [
        math.hypot(
            picture.wind_speed_kt * math.cos(math.radians(picture.wind_from_true_deg))
            + truth["truth-total-wind-north-fps"] * KT_PER_FPS,
            picture.wind_speed_kt * math.sin(math.radians(picture.wind_from_true_deg))
            + truth["truth-total-wind-east-fps"] * KT_PER_FPS,
        )
        for truth, picture in late
        if picture.wind_speed_kt is not None and picture.wind_from_true_deg is not None
    ]

    assert len(apart) > 1_000
    assert max(apart) < 2.0


def test_same_datagrams_same_alerts() -> None:
    """The same recorded datagrams twice give byte-identical alerts, as they leave on the bus."""
    packed = [
        [
            encode(Kind.ALERT, alert_message(alert, text="", speech=""), session="s", seq=1, time_s=alert.time_s)
            for _, _, outcome in flight
            for alert in outcome.alerts
        ]
        for flight in (flown(), fly_recording())
    ]

    assert len(packed[0]) > 8
    assert packed[0] == packed[1]
