"""The board of every aircraft."""

import dataclasses
from typing import Any

import pytest

from otherseat.advisories.levels import Level
from otherseat.advisories.picture import Phase
from otherseat.daemon.board import board, missing, ranked
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.messages import Kind, SourceHealth
from otherseat.daemon.scene import Scene
from tests.daemon.samples import BODIES, alert
from tests.daemon.test_page import text_of
from tests.daemon.test_scene import NEW, health, message, scene_of


def classroom() -> Scene:
    """Return a scene of two daemons with three aircraft."""
    return scene_of(
        message(Kind.HEALTH, health("front")),
        message(Kind.HEALTH, health("back"), session=NEW),
        message(Kind.ALERT, alert(1, aircraft="a1", level=Level.ADVICE)),
        message(Kind.ALERT, alert(1, aircraft="a2", level=Level.WARNING)),
        message(Kind.ALERT, alert(1, aircraft="b1", level=Level.CAUTION), session=NEW),
    )


def test_the_most_serious_first() -> None:
    """Who needs looking at stands at the top."""
    assert ["a2", "b1", "a1"] == [seat.aircraft for seat in ranked(classroom(), now_s=0.5)]


def test_the_board() -> None:
    """Each line tells seat, aircraft and what stands, and the caution is there."""
    seen = text_of(board(classroom(), now_s=0.5, lines=10), width=120)

    assert "2 seats heard, 3 aircraft" in seen
    assert "front a2 warning High, 200 ft. Sink 650." in seen
    assert CAUTION_LINE in seen


@pytest.mark.parametrize(
    ("offset_ft", "phase", "told"),
    [(0.0, Phase.FINAL, "+200 ft"), (-30_000.0, Phase.APPROACH, "beside"), (0.0, Phase.LANDED, "")],
)
def test_the_path_on_the_board(offset_ft: float, phase: Phase, told: str) -> None:
    """The height above the path stands there for who is on the final approach, and for nobody else."""
    picture = dataclasses.replace(BODIES[Kind.PICTURE], offset_ft=offset_ft, phase=phase)
    seen = text_of(board(scene_of(message(Kind.PICTURE, picture)), now_s=0.5, lines=9), width=120)

    assert f"ZZPS/07 {told} now".replace("  ", " ") in seen


def test_who_is_missing() -> None:
    """A daemon that is not heard any more is named, and its aircraft are marked."""
    scene = classroom()
    scene.take(message(Kind.HEALTH, health("front")), now_s=4.0)

    seen = text_of(board(scene, now_s=5.0, lines=10), width=120)

    assert ["back"] == missing(scene, now_s=5.0)
    assert "Missing: back" in seen
    assert "back b1 missing caution" in seen


def test_more_than_the_window_holds() -> None:
    """What does not fit is counted, and is never the most serious."""
    seen = text_of(board(classroom(), now_s=0.5, lines=1), width=120)

    assert "a2" in seen
    assert "b1" not in seen
    assert "and 2 more, none of them more serious" in seen


def source(**more: Any) -> SourceHealth:
    """Return a source that gives no states."""
    return SourceHealth(name="jsbsim", adapter="layout", address="127.0.0.1:47800", **more)


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        (source(), "nothing has come"),
        (source(datagrams=5, refused={"waiting for the header line": 5}), "waiting for the header line"),
        (source(datagrams=5, refused={"wrong length": 2, "not this format": 3}), "no datagram can be used (not this"),
        (source(datagrams=5), "nothing complete has come yet"),
    ],
    ids=["nothing", "header", "refused", "incomplete"],
)
def test_what_a_daemon_waits_for(seen: SourceHealth, words: str) -> None:
    """While a daemon has heard of no aircraft the board says why not."""
    scene = scene_of(message(Kind.HEALTH, health("front").model_copy(update={"sources": (seen,)})))

    assert f"front, jsbsim at 127.0.0.1:47800: {words}" in text_of(board(scene, now_s=0.5, lines=9))


def test_many_that_wait() -> None:
    """Of a classroom that waits only the first few are named."""
    waiting = [
        message(Kind.HEALTH, health(f"seat {n}").model_copy(update={"sources": (source(),)}), session=f"s{n}")
        for n in range(5)
    ]

    assert "and 2 more that wait" in text_of(board(scene_of(*waiting), now_s=0.5, lines=9))
