"""On the ground or in the air: a debrief judges as the phase of flight did, whatever the stream tells of it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from otherseat.advisories.phase import ON_THE_GROUND
from otherseat.advisories.sight import Sight
from otherseat.advisories.state import State
from otherseat.daemon.debrief.open_flight import flown_of_states
from otherseat.daemon.debrief.report import Report, make_report
from otherseat.daemon.debrief.tables import duration, figures
from tests.daemon.debrief.made import END, TABLE, place
from tests.scripted import make_plan

LEGS = ((30, 0.0, 0.0), (40, 12.0, 0.0), (12, 50.0, 0.0), (60, 72.0, 900.0), (25, 15.0, 0.0), (20, 0.0, 0.0))
"""Seconds, knots, feet above the runway: stand, taxi, roll, fly, taxi, stand."""
FLOWN_S = 60.0
BY_SPEED = "the time in the air is judged by speed and altitude"


def steps(*told: str) -> Iterator[dict[str, float | bool | str]]:
    """Yield a state every second, with those of on_ground and height_agl_ft that are told."""
    time_s, before_nm = 0.0, 1.4
    for seconds, speed_kt, height_ft in LEGS:
        for _ in range(seconds):
            latitude_deg, longitude_deg = place(end=END, before_nm=before_nm, offset_ft=0.0)
            ground = {"on_ground": height_ft == 0.0, "height_agl_ft": height_ft + 3.0}
            yield {
                "time_s": time_s,
                "latitude_deg": latitude_deg,
                "longitude_deg": longitude_deg,
                "altitude_ft": END.elevation_ft + height_ft,
                "groundspeed_kt": speed_kt,
                "track_true_deg": END.course_true_deg,
                **{name: ground[name] for name in told},
            }
            time_s += 1.0
            before_nm -= speed_kt / 3_600.0


def debriefed(*told: str) -> Report:
    """Return the debrief of such a flight."""
    return make_report(flown_of_states(list(steps(*told)), path=Path("flight"), runways=TABLE))


@pytest.mark.parametrize("told", [(), ("height_agl_ft",), ("on_ground",), ("on_ground", "height_agl_ft")])
def test_time_in_the_air(told: tuple[str, ...]) -> None:
    """Standing, taxiing and rolling are no flying: the live picture had it in the air for as many seconds."""
    report = debriefed(*told)
    sight = Sight(runways=TABLE, plan=make_plan(TABLE))
    phases = [sight.look(State(**step))[0].phase for step in steps(*told)]  # type: ignore[arg-type]  # by name

    assert FLOWN_S == report.airborne_s
    assert ("in the air", duration(FLOWN_S)) in figures(report)
    assert FLOWN_S == sum(phase not in ON_THE_GROUND for phase in phases)
    assert (not told) == (BY_SPEED in report.unknown)


def test_landings_by_speed_alone() -> None:
    """Where nothing tells when it touched the number of landings is not known; it is not none."""
    assert ("landings", "not known") in figures(debriefed())
    assert ("landings", "1") in figures(debriefed("height_agl_ft"))


def test_a_report_that_comes_now_and_then() -> None:
    """Between reports of the ground the height above it tells, as it does in flight."""
    mixed = [
        {name: value for name, value in step.items() if name != "on_ground" or number % 3 == 0}
        for number, step in enumerate(steps("on_ground", "height_agl_ft"))
    ]

    assert FLOWN_S == make_report(flown_of_states(mixed, path=Path("flight"), runways=TABLE)).airborne_s
