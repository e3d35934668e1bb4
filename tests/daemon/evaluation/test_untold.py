"""Flights without a plan, on the flight model: high on final is said as with one, and of who passes over nothing."""

import functools
import random
from collections.abc import Iterable
from dataclasses import replace

import pytest

from otherseat.advisories.engine import Engine
from otherseat.advisories.plan import Plan
from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.evaluation.conditions import SKILLS, Conditions
from otherseat.daemon.evaluation.flown import SETTLE_S, as_told, spoken_of, told
from otherseat.daemon.evaluation.pattern import Pattern, Steady
from otherseat.daemon.evaluation.sortie import Sortie
from otherseat.daemon.flight_model.legs import Final
from otherseat.daemon.flight_model.loops import LIGHT_SINGLE
from otherseat.daemon.flight_model.model import Weather
from otherseat.daemon.flight_model.world import World

WORLD = World.make()
CALM = Conditions(weather=Weather(), skill=SKILLS[0], rate_hz=5, dropouts=False, altimeter_error_ft=None)
BEFORE_NM = 0.8
"""Flown before anybody listens: the aircraft has just been put down."""
CIRCUIT_KT = LIGHT_SINGLE.circuit_kt


def pattern() -> Pattern:
    """Return a light single's pattern around a runway of the demo's world."""
    return Pattern(end=WORLD.runways.end("ZZKN/07"), handling=LIGHT_SINGLE, side=-1, wide_nm=1.0, height_ft=1_000.0)


def high_final(*, above_ft: float, from_nm: float) -> Sortie:
    """Return a final that is flown so far above the path, along it, from level flight on."""
    around = pattern()
    altitude_ft = around.path_altitude_ft(from_nm) + above_ft
    level, down = around.final(altitude_ft=altitude_ft, until_nm=1.5)
    assert isinstance(level, Final)
    assert isinstance(down, Final)
    line = around.line(to_go_nm=from_nm + BEFORE_NM, right_nm=0.0, turned_deg=0.0)
    return Sortie(
        handling=LIGHT_SINGLE,
        placement=around.aloft(line=line, altitude_ft=altitude_ft, airspeed_kt=CIRCUIT_KT),
        legs=(replace(level, until_to_go_nm=from_nm), replace(down, above_ft=above_ft)),
        plan=Plan(),
        end=around.end,
    )


def passage(*, height_ft: float, down_to_ft: float) -> Sortie:
    """Return a flight over the runway with the flaps in, from 8 NM before it to 1 NM beyond its threshold."""
    around = pattern()
    field_ft = around.end.elevation_ft
    line = around.line(to_go_nm=0.0, right_nm=0.0, turned_deg=0.0)
    begins, ends = (
        Steady(altitude_ft=field_ft + above_ft, airspeed_kt=CIRCUIT_KT) for above_ft in (height_ft, down_to_ft)
    )
    return Sortie(
        handling=LIGHT_SINGLE,
        placement=begins.put_on(line, along_nm=-8.0 - BEFORE_NM, ground_ft=field_ft),
        legs=(ends.along(line, until_nm=1.0),),
        plan=Plan(),
        end=around.end,
    )


def flown(sortie: Sortie) -> list[State]:
    """Fly it and return what the simulator tells, from when the aircraft has settled."""
    moments = told(sortie=sortie, conditions=CALM, world=WORLD, dice=random.Random(1))
    return [state for moment, state in moments if state is not None and moment.view.time_s >= SETTLE_S]


@functools.cache
def flown_high(above_ft: float, from_nm: float) -> list[State]:
    """Return a final that is flown high: once, as its pilot does the same whatever is told of it."""
    return flown(high_final(above_ft=above_ft, from_nm=from_nm))


def times_s(states: Iterable[State], *, plan: Plan) -> list[float]:
    """Return when it is said to be high by an engine with this plan."""
    settings = read_settings(None)
    engine = Engine(
        aircraft="own",
        runways=WORLD.runways,
        plan=as_told(plan, handling=LIGHT_SINGLE, world=WORLD),
        advisories=plugins.advisories(),
        params=settings.advisories,
        attention=settings.attention,
    )
    heard = [spoken for state in states for call in engine.step(state).calls for spoken in spoken_of(call)]
    return [time_s for time_s, alert, _ in heard if alert == "glidepath-high"]


@pytest.mark.parametrize("flaps", [True, False], ids=["flaps-told", "flaps-untold"])
@pytest.mark.parametrize(("above_ft", "from_nm"), [(500.0, 3.5), (830.0, 6.0), (1_000.0, 5.0), (1_000.0, 8.0)])
def test_high_on_final_is_said_as_with_a_plan(above_ft: float, from_nm: float, flaps: bool) -> None:  # noqa: FBT001 - a table's column
    """500 to 1,000 ft above the path from 3.5 to 8 NM out: at the same moments, to the end, whatever was planned."""
    states = flown_high(above_ft, from_nm)
    if not flaps:
        states = [replace(state, flaps_ratio=None) for state in states]
    with_plan, without = (times_s(states, plan=plan) for plan in (Plan(destination=pattern().end.name), Plan()))

    assert [] != with_plan
    assert with_plan == without


@pytest.mark.parametrize(
    ("height_ft", "down_to_ft"),
    [
        pytest.param(1_000.0, 1_000.0, id="upwind-at-circuit-height"),
        pytest.param(1_500.0, 1_500.0, id="level-above-the-circuit"),
        pytest.param(6_000.0, 3_000.0, id="down-to-somewhere-else"),
    ],
)
def test_who_passes_over_is_not_high(height_ft: float, down_to_ft: float) -> None:
    """Along the runway and over it, with the flaps in, nobody is told to be high above its path."""
    assert [] == times_s(flown(passage(height_ft=height_ft, down_to_ft=down_to_ft)), plan=Plan())
