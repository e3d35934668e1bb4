"""The page of one aircraft, as text and as colours."""

import dataclasses
import io

import pytest
from rich.console import Console, RenderableType

from otherseat.advisories.levels import Level
from otherseat.advisories.picture import Phase, Source
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.final_approach import ON_PATH_FT
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.messages import Kind, StandingMessage
from otherseat.daemon.page import LEVEL_STYLE, page, waiting
from otherseat.daemon.scene import Scene
from tests.daemon.samples import BODIES, ENDS, alert
from tests.daemon.test_scene import OLD, message, scene_of


def text_of(screen: RenderableType, *, width: int = 100, colours: bool = False) -> str:
    """Return what is to be seen, in one line, with colours as escape sequences if asked for."""
    console = Console(
        file=io.StringIO(),
        width=width,
        force_terminal=colours,
        color_system="truecolor" if colours else None,
        highlight=False,
    )
    console.print(screen)
    assert isinstance(console.file, io.StringIO)
    return " ".join(console.file.getvalue().split())


def picture_scene(**changes: object) -> Scene:
    """Return a scene with the sample picture, changed."""
    picture = dataclasses.replace(BODIES[Kind.PICTURE], **changes)
    return scene_of(message(Kind.PICTURE, picture), message(Kind.HEALTH, BODIES[Kind.HEALTH]))


def page_of(scene: Scene, *, now_s: float = 0.5, width: int = 100) -> str:
    """Return the page of the only aircraft, in one line."""
    return text_of(page(scene, scene.seats[OLD, "own"], now_s=now_s, width=width), width=width)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        pytest.param(
            {"height_above_path_ft": 200.0, "path_deviation_deg": 0.47}, "200 ft above the path (0.5°)", id="high"
        ),
        pytest.param({"height_above_path_ft": -120.0}, "120 ft below the path", id="low"),
        pytest.param({"height_above_path_ft": -(ON_PATH_FT - 1.0)}, "now on the path", id="on-path"),
        pytest.param({"height_above_path_ft": -(ON_PATH_FT + 1.0)}, "now 26 ft below the path", id="off-path"),
        pytest.param(
            {"sink_to_hold_fpm": 480.0, "sink_to_regain_fpm": 650.0, "next_gate_ft": 1_000.0},
            "480 fpm holds it, 650 fpm regains it by 1,000 ft",
            id="regain",
        ),
        pytest.param(
            {"sink_to_hold_fpm": 480.0, "next_gate_ft": 500.0}, "and nothing regains it by 500 ft", id="beyond-saving"
        ),
        pytest.param(
            {"sink_to_hold_fpm": 480.0, "sink_to_regain_fpm": -5_851.0, "next_gate_ft": 500.0},
            "480 fpm holds it, level off to regain it",
            id="low-near-the-gate",
        ),
        pytest.param({"runway": "ZZPS/07", "runway_source": "track"}, "ZZPS/07 by track", id="runway"),
        pytest.param({"tracked_runway": "ZZPS/25"}, "tracking to ZZPS/25", id="other-runway"),
        pytest.param(
            {"offset_ft": -120.0, "course_difference_deg": 3.0},
            "120 ft left of the centreline, tracking 3° right of the runway's course",
            id="centreline",
        ),
        pytest.param(
            {"offset_ft": 81_995.0, "course_difference_deg": 3.0}, "13.5 NM right of the centreline", id="miles-beside"
        ),
        pytest.param({"offset_ft": -81_995.0}, "not on the final approach, but 13.5 NM left of it", id="no-path-there"),
        pytest.param(
            {"headwind_kt": -8.0, "crosswind_kt": 4.0}, "tailwind 8 kt, crosswind 4 kt from the right", id="wind"
        ),
        pytest.param(
            {"destination": "ZZPS", "distance_to_destination_nm": 6.25, "closing_speed_kt": -90.0},
            "6.2 NM, leaving at 90 kt",
            id="leaving",
        ),
        pytest.param(
            {"destination": "ZZPS", "past_destination_nm": 2.5}, "2.5 NM beyond the closest point", id="passed"
        ),
        pytest.param(
            {"offset_ft": 100.0, "course_difference_deg": 170.0}, "tracking the opposite way", id="the-other-way"
        ),
        pytest.param(
            {"heading_true_deg": 2.0, "track_true_deg": 357.0, "magnetic_variation_deg": 2.0},
            "heading 360° mag, track 355° mag",
            id="heading-magnetic",
        ),
        pytest.param({"track_true_deg": 357.0}, "track 357° true", id="track-only"),
        pytest.param(
            {
                "destination": "ZZPS",
                "distance_to_destination_nm": 6.25,
                "bearing_to_destination_deg": 269.0,
                "magnetic_variation_deg": -24.0,
            },
            "6.2 NM, bearing 293° mag",
            id="bearing-magnetic",
        ),
        pytest.param(
            {"wind_from_true_deg": 300.0, "wind_speed_kt": 15.0, "magnetic_variation_deg": -24.0},
            "from 324° mag, 15 kt",
            id="wind-magnetic",
        ),
        pytest.param({"indicated_airspeed_kt": 88.0}, "indicated 88 kt", id="indicated"),
        pytest.param(
            {"indicated_airspeed_kt": 88.0, "indicated_airspeed_source": Source.COMPUTED},
            "indicated 88 kt, computed",
            id="indicated-worked-out",
        ),
        pytest.param({"true_airspeed_source": Source.RULE_OF_THUMB}, "94 kt, rule of thumb", id="source"),
    ],
)
def test_the_numbers_of_the_picture(changes: dict[str, object], expected: str) -> None:
    """Each number is in words, with its direction and its unit."""
    assert expected in page_of(picture_scene(**changes), width=200)


def test_who_stands_still_has_no_track() -> None:
    """Parked, the page tells the heading and leaves out what the simulator sends as a track."""
    told = page_of(picture_scene(phase=Phase.PARKED, heading_true_deg=70.0, track_true_deg=0.0))

    assert "heading 070° true" in told
    assert "track" not in told


def test_coming_back_is_not_passed() -> None:
    """Once the destination comes nearer again, the page no longer says that it was passed."""
    scene = picture_scene(destination="ZZPS", past_destination_nm=2.5, closing_speed_kt=90.0)

    assert "beyond the closest point" not in page_of(scene)


def test_a_level_is_a_word() -> None:
    """Without any colour the page still says how serious an alert is."""
    scene = scene_of(message(Kind.ALERT, alert(1, level=Level.WARNING)))

    assert "warning High, 200 ft. Sink 650." in page_of(scene)


def test_red_and_amber_only_for_their_levels() -> None:
    """Red is for a warning and amber for a caution; nothing else on the page has a colour."""
    everything = scene_of(
        *(message(kind, body) for kind, body in BODIES.items() if kind not in {Kind.ALERT, Kind.CALL, Kind.STATE}),
        message(Kind.ALERT, alert(1, level=Level.ADVICE)),
        message(Kind.STANDING, StandingMessage(aircraft="own", silent=True, live={"x": "lacks y"})),
    )
    seat = everything.seats[OLD, "own"]
    plain = text_of(page(everything, seat, now_s=9.0), colours=True)
    everything.take(message(Kind.ALERT, alert(2, level=Level.CAUTION)), now_s=0.0)
    amber = text_of(page(everything, seat, now_s=9.0), colours=True)
    everything.take(message(Kind.ALERT, alert(3, level=Level.WARNING)), now_s=0.0)
    both = text_of(page(everything, seat, now_s=9.0), colours=True)

    assert [(0, 0), (0, 1), (1, 1)] == [
        (seen.count("31m"), seen.count("38;2;215;135;0m")) for seen in (plain, amber, both)
    ]
    assert {"bold red", "bold #d78700", "bold", ""} == set(LEVEL_STYLE.values())


@pytest.mark.parametrize(("now_s", "expected"), [(1.0, False), (1.2, True)])
def test_old_data_is_marked(now_s: float, *, expected: bool) -> None:
    """Numbers older than a second carry their age."""
    assert expected is ("1.2 s old" in page_of(picture_scene(), now_s=now_s))


def test_a_missing_daemon_is_said() -> None:
    """When the daemon is gone the page says that all of it is old."""
    assert "The daemon is not heard any more" in page_of(picture_scene(), now_s=3.5)


def test_blindness_is_said() -> None:
    """When the simulator falls silent the page says that the daemon is blind."""
    scene = picture_scene()
    scene.take(message(Kind.STANDING, StandingMessage(aircraft="own", silent=True)), now_s=0.0)

    assert "Blind: nothing that can be used comes from the simulator." in page_of(scene)


def test_what_is_live_and_what_is_blind() -> None:
    """The page tells which advisories watch, and what the others lack."""
    scene = scene_of(message(Kind.STANDING, BODIES[Kind.STANDING]), message(Kind.HEALTH, BODIES[Kind.HEALTH]))
    seen = page_of(scene)

    assert "at work glidepath" in seen
    assert "blind weather: for want of altimeter_hpa" in seen
    assert "600 datagrams, 1 refused (wrong length)" in seen


@pytest.mark.parametrize("width", [40, 80, 100, 200])
def test_the_caution_is_always_there(width: int) -> None:
    """The caution stands near the head of the page, whatever the window, and while nothing is heard yet."""
    scene = picture_scene()
    screens = [page(scene, scene.seats[OLD, "own"], now_s=0.0, width=width), waiting("tcp://127.0.0.1:47801")]

    assert [True, True] == [CAUTION_LINE in text_of(screen, width=width) for screen in screens]
    assert all(text_of(screen, width=width).index("For simulation") < 2 * max(width, 60) for screen in screens)


def ground_page(**changes: object) -> str:
    """Return the page of an aircraft that is parked, with the sample plan from ZZKN/07."""
    scene = picture_scene(**{"phase": Phase.PARKED, "distance_to_destination_nm": 23.0, **changes})
    departure = dataclasses.replace(ENDS[0], airfield="ZZKN")
    plan = BODIES[Kind.PLAN].model_copy(update={"departure": departure})
    scene.take(message(Kind.PLAN, plan), now_s=0.0)
    return page_of(scene, width=90)


def test_on_the_ground_the_runway_beneath_counts() -> None:
    """Standing at the departure the page tells of the runway there, not of the arrival's centreline 23 NM away."""
    seen = ground_page(
        surface_runway="ZZKN/13", runway_ahead_ft=3_400.0, offset_ft=-10_964.0, course_difference_deg=160.0
    )

    assert "standing on ZZKN/13 take-off from ZZKN/07 by plan ahead 3,400 ft of runway" in seen
    for nonsense in ("centreline", "tracking", "ZZPS/07 by plan", "above the path"):
        assert nonsense not in seen


def test_off_the_runways() -> None:
    """On a taxiway the page says so, and names the planned take-off only while it is to come."""
    assert "standing on no runway take-off from ZZKN/07 by plan" in ground_page()
    assert "take-off from" not in ground_page(phase=Phase.TAXI, distance_to_destination_nm=0.4)
    assert "take-off from" not in ground_page(phase=Phase.LANDED, surface_runway="ZZPS/07")


@pytest.mark.parametrize(
    ("phase", "climb_fpm", "expected"),
    [
        (Phase.CRUISE, 0.0, "90 kt, level"),
        (Phase.CRUISE, -20.0, "90 kt, level"),
        (Phase.CLIMB, 500.0, "90 kt, climbing 500 fpm"),
        (Phase.DESCENT, -500.0, "90 kt, sinking 500 fpm"),
    ],
)
def test_climb_in_words(phase: Phase, climb_fpm: float, expected: str) -> None:
    """What neither climbs nor sinks is level."""
    assert expected in page_of(picture_scene(phase=phase, groundspeed_kt=90.0, vertical_speed_fpm=climb_fpm), width=200)


@pytest.mark.parametrize(("width", "lines"), [(80, 24), (80, 12), (100, 18), (60, 24), (100, 60)])
def test_a_small_window_shows_what_matters_most(width: int, lines: int) -> None:
    """What stands and what was said last are always seen; what does not fit is named; nothing is cut."""
    scene = scene_of(
        *(message(kind, body) for kind, body in BODIES.items() if kind is not Kind.STATE),
        *(message(Kind.CALL, BODIES[Kind.CALL]) for _ in range(5)),
    )
    console = Console(file=io.StringIO(), width=width, highlight=False)
    screen = page(scene, scene.seats[OLD, "own"], now_s=0.0, width=width, lines=lines)
    shown = ["".join(segment.text for segment in line) for line in console.render_lines(screen)]
    words = " ".join(" ".join(shown).split())

    assert len(shown) <= lines
    assert "caution High, 200 ft. Sink 650." in words
    assert "Said last" in words
    assert (lines < 60) is ("A taller window shows chapter" in words)


@pytest.mark.parametrize(
    "far",
    [
        pytest.param({"distance_to_threshold_nm": 5.0, "offset_ft": -491.3 * FT_PER_NM}, id="across"),
        pytest.param({"distance_to_threshold_nm": 2_300.0, "offset_ft": 0.0}, id="along"),
        pytest.param({"distance_to_threshold_nm": -20.1, "offset_ft": 0.0}, id="beyond"),
    ],
)
def test_a_runway_far_away_is_only_named(far: dict[str, float]) -> None:
    """Nobody is so far left of a centreline, and the wind here blows along no runway there; near it both are told."""
    about = {"course_difference_deg": -143.0, "headwind_kt": -8.0, "crosswind_kt": 4.0, "runway": "ZZPS/27L"}
    wind = {"wind_from_true_deg": 300.0, "wind_speed_kt": 15.0}
    near = page_of(picture_scene(**about, **wind, distance_to_threshold_nm=19.0, offset_ft=-19.0 * FT_PER_NM))
    away = page_of(picture_scene(**about, **wind, **far))

    for told in ("centreline", "tracking", "tailwind", "final approach"):
        assert told in near
        assert told not in away
    assert "ZZPS/27L by" in away
    assert "from 300" in away
