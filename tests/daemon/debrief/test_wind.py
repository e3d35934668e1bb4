"""The wind that a debrief works out, against winds that are known."""

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import Runway, RunwayTable
from otherseat.advisories.sight import Sight
from otherseat.advisories.state import State
from otherseat.advisories.wind import heading_and_groundspeed
from otherseat.daemon.debrief.flown import read_flown
from otherseat.daemon.debrief.open_flight import flown_of_states
from otherseat.daemon.debrief.report import make_report
from otherseat.daemon.debrief.tables import figures
from otherseat.daemon.debrief.track import Track, TrackMaker
from tests.daemon.debrief.made import END, TABLE, Landing, Told, states, write
from tests.flights.make import HERE
from tests.scripted import make_plan

FROM_DEG, SPEED_KT = 140.0, 12.0
COURSE_DEG = END.course_true_deg
VARIATION_DEG = -9.0
LATER = 120


def in_wind(landing: Landing, **changes: float | None) -> Iterator[Told]:
    """Yield the states of a made flight that crabs through the wind; changes: another value, None for a missing one."""
    for state in states(landing):
        heading_deg, ground_kt = heading_and_groundspeed(
            course_deg=COURSE_DEG, true_airspeed_kt=80.0, wind_from_deg=FROM_DEG, wind_speed_kt=SPEED_KT
        )
        motion = {"heading_true_deg": heading_deg, "groundspeed_kt": ground_kt, "true_airspeed_kt": 80.0}
        told = {**state, **motion, **changes}
        yield {name: value for name, value in told.items() if value is not None}


def track_of(**changes: float | None) -> Track:
    """Return the track of such a flight."""
    maker = TrackMaker()
    for state in in_wind(Landing(), **changes):
        maker.add(state)
    return maker.tracks()["own"]


def test_worked_out() -> None:
    """Nobody reported a wind: it is that of the triangle once the flight has been steady, and named as worked out."""
    track = track_of()

    assert math.isnan(track["wind_speed_kt"][0])
    assert np.allclose(FROM_DEG, track["wind_from_true_deg"][20:], atol=0.01)
    assert np.allclose(SPEED_KT, track["wind_speed_kt"][20:], atol=0.01)
    assert {"wind_from_true_deg", "wind_speed_kt"} == track.computed


def test_by_compass() -> None:
    """A magnetic heading with its variation is as good."""
    heading_deg = next(in_wind(Landing()))["heading_true_deg"]
    track = track_of(heading_true_deg=None, heading_magnetic_deg=float(heading_deg) + 9.0, magnetic_variation_deg=-9.0)

    assert pytest.approx(FROM_DEG, abs=0.01) == track["wind_from_true_deg"][-1]


def by_compass() -> list[Told]:
    """Return the states of a flight whose stream has a magnetic heading and no variation."""
    heading_deg = float(next(in_wind(Landing()))["heading_true_deg"])
    return list(in_wind(Landing(), heading_true_deg=None, heading_magnetic_deg=heading_deg - VARIATION_DEG))


def varied() -> RunwayTable:
    """Return the airfields with a variation of their own."""

    def with_variation(runway: Runway) -> Runway:
        return Runway(ends=tuple(replace(end, magnetic_variation_deg=VARIATION_DEG) for end in runway.ends))  # type: ignore[arg-type]  # two of them

    fields = map(TABLE.airfield, ("ZZAA", "ZZBB"))
    return RunwayTable(replace(field, runways=tuple(map(with_variation, field.runways))) for field in fields)


def test_by_a_runway_s_variation(tmp_path: Path) -> None:
    """The wind that the pictures had by compass and a runway's variation is on the page, of a recording and a track."""
    table = varied()
    sight = Sight(runways=table, plan=make_plan(table))
    pictures = [sight.look(State(**step))[0] for step in by_compass()]  # type: ignore[arg-type]  # by name
    recorded = read_flown(write(tmp_path / "a.mcap", Landing(), table=table, flown=by_compass()))
    elsewhere = flown_of_states(by_compass(), path=Path("track"), runways=table, plan=make_plan(table))

    assert pytest.approx(FROM_DEG, abs=0.01) == pictures[-1].wind_from_true_deg
    for flown in (recorded, elsewhere):
        assert pictures[-1].wind_from_true_deg == pytest.approx(flown.track["wind_from_true_deg"][-1])
        assert pictures[-1].wind_speed_kt == pytest.approx(flown.track["wind_speed_kt"][-1])
        assert ("wind at the end", "from 140° true, 12 kt, worked out") in figures(make_report(flown))


def test_by_the_variation_of_a_plan_that_came_later() -> None:
    """It counts from when it was taken over, as it did in flight."""
    maker, plan, none = TrackMaker(), make_plan(varied()), ResolvedPlan(plan=Plan())
    sight = Sight(runways=RunwayTable(), plan=none)
    maker.set_plan("own", none)
    shown_deg = []
    for number, step in enumerate(by_compass()):
        if number == LATER:
            maker.set_plan("own", plan)
            sight.set_plan(plan)
        maker.add(step)
        shown_deg.append(sight.look(State(**step))[0].wind_from_true_deg)  # type: ignore[arg-type]  # by name
    track = maker.tracks()["own"]

    assert np.allclose(np.array(shown_deg, dtype=float), track["wind_from_true_deg"], atol=0.01, equal_nan=True)
    assert np.isfinite(track["wind_from_true_deg"][-1])


def test_a_report_comes_first() -> None:
    """What the simulator said is never replaced."""
    track = track_of(wind_from_true_deg=200.0, wind_speed_kt=5.0)

    assert {5.0} == set(track["wind_speed_kt"])
    assert frozenset() == track.computed


def test_anew_after_a_gap() -> None:
    """A wind from before a gap is none of the flight after it."""
    maker, steps = TrackMaker(), list(in_wind(Landing()))
    for number, state in enumerate(steps):
        maker.add(state if number < 60 else {**state, "time_s": float(state["time_s"]) + 300.0})
    known = np.isfinite(maker.tracks()["own"]["wind_speed_kt"])

    assert (True, False) == (known[59], known[60])


def test_said(tmp_path: Path) -> None:
    """The debrief tells the wind and where it comes from; without an airspeed and a heading it tells that."""
    demo = make_report(read_flown(HERE / "demo.mcap"))
    bare = make_report(read_flown(write(tmp_path / "a.mcap", Landing())))
    winds = [value for name, value in figures(demo) if name == "wind at the end"]

    assert "no wind was reported: it was worked out from airspeed, heading and the way over the ground" in demo.unknown
    assert [value.endswith(" kt, worked out") for value in winds] == [True]
    assert "no wind was reported, and none can be worked out" in bare.unknown
    assert "wind at the end" not in dict(figures(bare))
