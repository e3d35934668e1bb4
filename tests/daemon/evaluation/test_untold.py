"""Flights without a plan, on the flight model: high on final is said as with one, and of who passes over nothing."""

import random
from dataclasses import replace

import pytest

from otherseat.advisories.engine import Engine
from otherseat.advisories.plan import Plan
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.evaluation.conditions import SKILLS, Conditions
from otherseat.daemon.evaluation.flown import Flown, Order, as_told, listen
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


def high_final(*, above_ft: float, from_nm: float, plan: Plan) -> Sortie:
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
        plan=plan,
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


def hear(sortie: Sortie, *, flaps: bool = True) -> Flown:
    """Fly it and return what is said; without flaps nothing is told of them."""
    settings = read_settings(None)
    engine = Engine(
        aircraft="own",
        runways=WORLD.runways,
        plan=as_told(sortie.plan, handling=sortie.handling, world=WORLD),
        advisories=plugins.advisories(),
        params=settings.advisories,
        attention=settings.attention,
    )
    flown = Flown(order=Order(scenario="straight-in", aircraft="light", size=0.0, seed=1), conditions="")
    told = sortie if flaps else replace(sortie, told={"flaps_ratio": None})
    listen(engine=engine, sortie=told, conditions=CALM, flown=flown, world=WORLD, dice=random.Random(1))
    return flown


def times_s(flown: Flown) -> list[float]:
    """Return when it was said to be high."""
    return [time_s for time_s, alert, _ in flown.heard if alert == "glidepath-high"]


@pytest.mark.parametrize("flaps", [True, False], ids=["flaps-told", "flaps-untold"])
@pytest.mark.parametrize(("above_ft", "from_nm"), [(500.0, 3.5), (830.0, 6.0), (1_000.0, 5.0), (1_000.0, 8.0)])
def test_high_on_final_is_said_as_with_a_plan(above_ft: float, from_nm: float, flaps: bool) -> None:  # noqa: FBT001 - a table's column
    """500 to 1,000 ft above the path from 3.5 to 8 NM out: at the same moments, to the end, whatever was planned."""
    planned = Plan(destination=pattern().end.name)
    with_plan, without = (
        times_s(hear(high_final(above_ft=above_ft, from_nm=from_nm, plan=plan), flaps=flaps))
        for plan in (planned, Plan())
    )

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
    assert [] == times_s(hear(passage(height_ft=height_ft, down_to_ft=down_to_ft)))
