"""Hub: what each page is told, and that a slow one costs nothing."""

import dataclasses
import json
import math
from typing import Any

import pytest

from otherseat.advisories.glidepath import LEAST_SINK_FPM
from otherseat.advisories.picture import Phase, Picture
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.final_approach import ON_PATH_FT
from otherseat.daemon.messages import Kind, Message, PlanMessage, StandingMessage
from otherseat.daemon.panel.hub import Hub, Viewer
from otherseat.daemon.panel.pairing import Role
from otherseat.daemon.scene import KINDS
from tests.daemon.panel.test_pairing import Clock
from tests.daemon.samples import alert
from tests.scripted import final, make_plan, make_table

TABLE = make_table()


def told(kind: Kind, body: Any, *, aircraft: str = "own", time_s: float = 0.0) -> Message:
    """Return a message of the bus."""
    return Message(kind=kind, aircraft=aircraft, session="a", seq=1, time_s=time_s, body=body)


def seen(hub: Hub, *, time_s: float = 0.0, aircraft: str = "own", above_ft: float = 200.0) -> None:
    """Have the hub take a picture on a final."""
    state = next(iter(final(end=TABLE.end("ZZBB/09L"), distance_nm=4.0, from_s=time_s, seconds=0.0)))
    picture = Picture(
        time_s=time_s,
        aircraft=aircraft,
        phase=Phase.FINAL,
        latitude_deg=state.latitude_deg,
        longitude_deg=state.longitude_deg,
        runway="ZZBB/09L",
        height_above_path_ft=above_ft,
    )
    hub.take(told(Kind.PICTURE, picture, aircraft=aircraft, time_s=time_s))


def opened(hub: Hub, *, aircraft: str | None = None) -> Viewer:
    """Open a page and have it take its first frame."""
    viewer = Viewer(role=Role.VIEWER, aircraft=aircraft)
    hub.open(viewer)
    return viewer


def frame(hub: Hub, viewer: Viewer) -> dict[str, Any]:
    """Return the page's next frame."""
    read: dict[str, Any] = json.loads(hub.frame(viewer))
    return read


def test_a_new_page_gets_everything() -> None:
    """The first frame holds every part; the next only what changed since."""
    hub = Hub(clock=Clock())
    hub.take(told(Kind.PLAN, PlanMessage.of(aircraft="own", resolved=make_plan(TABLE))))
    seen(hub)
    viewer = opened(hub)

    first, second = frame(hub, viewer), frame(hub, viewer)

    assert {"now", "sheet", "trace", "alerts", "standing", "plan", "log", "health", "fleet", "role"} <= set(first)
    assert "ZZBB/09L" == first["sheet"]["anchor"]
    assert {"age_s", "bus_age_s"} == set(second)


@pytest.mark.parametrize(
    ("regain_fpm", "expected"),
    [(LEAST_SINK_FPM, None), (LEAST_SINK_FPM - 0.1, True), (-5_000.0, True), (None, None)],
)
def test_the_page_levels_off_where_the_voice_does(*, regain_fpm: float | None, expected: bool | None) -> None:
    """The smallest sink worth saying is the daemon's, and the page has no number of its own for it."""
    hub = Hub(clock=Clock())
    picture = Picture(time_s=0.0, aircraft="own", phase=Phase.FINAL, sink_to_regain_fpm=regain_fpm)
    hub.take(told(Kind.PICTURE, picture))

    assert expected is frame(hub, opened(hub))["now"].get("level_off")


@pytest.mark.parametrize(
    ("height_ft", "offset_ft", "expected"),
    [
        (ON_PATH_FT - 1.0, 0.0, True),
        (1.0 - ON_PATH_FT, 0.0, True),
        (ON_PATH_FT, 0.0, None),
        (0.0, 60_000.0, None),
        (None, 0.0, None),
    ],
)
def test_the_page_is_on_the_path_where_the_voice_is(
    *, height_ft: float | None, offset_ft: float, expected: bool | None
) -> None:
    """What is too little to say is the daemon's, and the page has no number of its own for it."""
    hub = Hub(clock=Clock())
    picture = Picture(
        time_s=0.0,
        aircraft="own",
        phase=Phase.FINAL,
        distance_to_threshold_nm=4.0,
        offset_ft=offset_ft,
        height_above_path_ft=height_ft,
    )
    hub.take(told(Kind.PICTURE, picture))

    assert expected is frame(hub, opened(hub))["now"].get("on_path")


@pytest.mark.parametrize(
    ("distance_nm", "offset_nm", "near"), [(19.9, 19.9, True), (20.1, 0.0, False), (5.0, -491.3, False)]
)
def test_the_page_has_no_numbers_about_a_runway_far_away(*, distance_nm: float, offset_nm: float, near: bool) -> None:
    """Parked elsewhere nobody reads the wind on the planned runway, nor in flight how far beside it he is."""
    hub = Hub(clock=Clock())
    about = {"distance_to_threshold_nm": distance_nm, "offset_ft": offset_nm * FT_PER_NM, "headwind_kt": -8.0}
    picture = Picture(time_s=0.0, aircraft="own", phase=Phase.PARKED, runway="ZZPS/27L", wind_speed_kt=9.0)
    hub.take(told(Kind.PICTURE, dataclasses.replace(picture, **about)))  # type: ignore[arg-type]  # a table of values
    now = frame(hub, opened(hub))["now"]

    assert (set(about) if near else set()) == set(about) & set(now)
    assert near is ("beside" in now)
    assert {"runway", "wind_speed_kt"} <= set(now)


def test_a_picture_is_all_that_a_page_draws_from() -> None:
    """Screens take in no states, which come far more often: place and trace are the picture's own, 4 NM out."""
    assert Kind.STATE not in KINDS
    hub = Hub(clock=Clock())
    hub.take(told(Kind.PLAN, PlanMessage.of(aircraft="own", resolved=make_plan(TABLE))))
    seen(hub)
    shown = frame(hub, opened(hub))

    ((right_ft, ahead_ft, _),) = shown["trace"]
    assert pytest.approx(4.0 * FT_PER_NM, rel=1e-3) == math.hypot(right_ft, ahead_ft)
    assert pytest.approx([right_ft, ahead_ft], abs=0.01) == shown["now"]["place_ft"]


def test_a_slow_page_gets_the_newest() -> None:
    """A page that misses a hundred pictures gets one frame, with the newest of them."""
    hub = Hub(clock=Clock())
    viewer = opened(hub)
    for count in range(100):
        seen(hub, time_s=count / 10.0, above_ft=float(count))

    assert 99.0 == frame(hub, viewer)["now"]["height_above_path_ft"]
    assert "now" not in frame(hub, viewer)


def test_ages_are_of_the_moment_of_sending() -> None:
    """A frame says how old the newest picture is when it is sent, not when it came."""
    clock = Clock()
    hub = Hub(clock=clock)
    viewer = opened(hub)
    assert frame(hub, viewer)["age_s"] is None
    seen(hub)
    clock.now_s = 4.0

    assert 4.0 == frame(hub, viewer)["age_s"]


@pytest.mark.parametrize("picture_first", [True, False])
def test_an_old_picture_from_a_snapshot_is_known_to_be_old(*, picture_first: bool) -> None:
    """What the daemon says about the age of its data counts, whichever message the snapshot has first."""
    clock = Clock()
    hub = Hub(clock=clock)
    viewer = opened(hub)
    if picture_first:
        seen(hub)
    hub.take(told(Kind.STANDING, StandingMessage(aircraft="own", age_s=30.0)))
    if not picture_first:
        seen(hub)
    clock.now_s = 2.0

    assert 32.0 == frame(hub, viewer)["age_s"]


def test_a_sentence_is_worded_with_the_numbers_of_now() -> None:
    """What stands is shown as the daemon words it now, not as it was said once; the log keeps what was said."""
    hub = Hub(clock=Clock())
    viewer = opened(hub)
    seen(hub)
    raised = alert(1)
    hub.take(told(Kind.ALERT, raised))
    frame(hub, viewer)
    now = dataclasses.replace(raised, text="High, 300. Sink 1,360.")
    hub.take(told(Kind.STANDING, StandingMessage(aircraft="own", alerts=(now,))))
    shown = frame(hub, viewer)

    assert ["High, 300. Sink 1,360."] == [one["text"] for one in shown["alerts"]]
    assert "log" not in shown


def test_each_page_shows_its_own_aircraft() -> None:
    """A page that asked for one aircraft hears nothing of another's pictures."""
    hub = Hub(clock=Clock())
    seen(hub, aircraft="own")
    seen(hub, aircraft="other")
    viewer = opened(hub, aircraft="own")
    frame(hub, viewer)
    seen(hub, aircraft="other", above_ft=50.0)

    assert "now" not in frame(hub, viewer)
    hub.choose(viewer, "other")
    assert 50.0 == frame(hub, viewer)["now"]["height_above_path_ft"]


def test_a_retired_aircraft_leaves_the_page() -> None:
    """When the daemon lets go of an aircraft the page shows none."""
    hub = Hub(clock=Clock())
    seen(hub)
    viewer = opened(hub)
    frame(hub, viewer)
    hub.take(told(Kind.STANDING, StandingMessage(aircraft="own", retired=True)))

    assert {"names": [], "shown": None} == frame(hub, viewer)["fleet"]


def test_what_is_not_finite_never_reaches_a_page() -> None:
    """A number that is no number counts as missing: JSON has no word for it."""
    hub = Hub(clock=Clock())
    viewer = opened(hub)
    seen(hub, above_ft=float("nan"))

    assert frame(hub, viewer)["now"]["height_above_path_ft"] is None
