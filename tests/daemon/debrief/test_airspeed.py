"""The indicated airspeed that a debrief works out where none was sent, as the pictures had it in flight."""

from pathlib import Path

import pytest

from otherseat.advisories.sight import Sight
from otherseat.advisories.state import State
from otherseat.daemon.debrief.flown import read_flown
from otherseat.daemon.debrief.report import make_report
from tests.daemon.debrief.made import TABLE, Landing, Told, states, write
from tests.scripted import make_plan

WORKED_OUT = "no indicated airspeed was reported: it was worked out from true airspeed, altitude and temperature"
UNKNOWN = "no indicated airspeed: speed is not judged"


def flown(true_kt: float, temperature_c: float | None) -> list[Told]:
    """Return the states of a landing whose stream has a true airspeed and no indicated one."""
    told: Told = {"true_airspeed_kt": true_kt}
    if temperature_c is not None:
        told["outside_air_temperature_c"] = temperature_c
    bare = [
        {name: value for name, value in state.items() if name != "indicated_airspeed_kt"} for state in states(Landing())
    ]
    return [{**state, **told} for state in bare]


@pytest.mark.parametrize(
    ("true_kt", "temperature_c", "word", "told"),
    [
        pytest.param(67.0, 34.0, "not stable: speed", WORKED_OUT, id="slow-in-warm-air"),
        pytest.param(67.0, -6.0, "stable", WORKED_OUT, id="as-it-should-be-in-cold-air"),
        pytest.param(40.0, None, "stable, speed unknown", UNKNOWN, id="not-judged-without-a-temperature"),
    ],
)
def test_the_gates_are_judged_by_it(
    true_kt: float, temperature_c: float | None, word: str, told: str, tmp_path: Path
) -> None:
    """65 to 80 kt are in order, and 67 true are 64 or 69 by the root of the density ratio; the page says whence.

    Density by the gas law, FAA-H-8083-25 ch. 4, from memory.
    """
    report = make_report(read_flown(write(tmp_path / "a.mcap", Landing(), flown=flown(true_kt, temperature_c))))
    about_speed = [words for words in report.unknown if "airspeed" in words and "wind" not in words]

    assert [word, word] == [verdict.word for verdict in report.verdicts]
    assert [told] == about_speed


def test_it_is_the_pictures(tmp_path: Path) -> None:
    """Page and screen have one number."""
    body = flown(67.0, 34.0)[100]
    picture, _ = Sight(runways=TABLE, plan=make_plan(TABLE)).look(State(**body))  # type: ignore[arg-type]  # by name
    track = read_flown(write(tmp_path / "a.mcap", Landing(), flown=flown(67.0, 34.0))).track

    assert picture.indicated_airspeed_kt == pytest.approx(track["indicated_airspeed_kt"][100])
