"""The catalogue: every scenario by name, normal or faulty, with the sizes at which a fault is flown."""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from otherseat.daemon.evaluation import cockpit_faults, diversion, faults, normal, runway_faults, way_faults
from otherseat.daemon.evaluation.sortie import Sortie
from otherseat.daemon.flight_model.loops import JET, LIGHT_SINGLE, Handling
from otherseat.daemon.flight_model.world import World

AIRCRAFT: Mapping[str, Handling] = {"light": LIGHT_SINGLE, "jet": JET}
GRADED = (0.5, 1.3, 2.0)
"""Kept at that size."""
FAR = (0.5, 2.0, 5.0)
"""Likewise, up to what somebody may do whom nobody tells of it."""
GROWING = (0.5, 1.0)
"""It grows while it lasts: mended at half the threshold, or never."""
WHOLE = (1.0,)
"""It is there or not."""
TAXIWAY_FT = 400.0

Build = Callable[[random.Random, World, Handling, float], Sortie]


@dataclass(frozen=True, slots=True)
class Scenario:
    """One kind of flight."""

    name: str
    build: Build
    sizes: tuple[float, ...] = ()
    """None at all: a normal flight."""
    aircraft: tuple[str, ...] = ("light", "jet")

    @property
    def normal(self) -> bool:
        """Whether nothing is wrong with it."""
        return not self.sizes


def _around(flown: Callable[..., Sortie]) -> Build:
    def build(dice: random.Random, world: World, handling: Handling, _size: float) -> Sortie:
        end = normal.draw_end(dice=dice, world=world, handling=handling)
        return flown(dice=dice, pattern=normal.draw_pattern(dice=dice, end=end, handling=handling))

    return build


def _sized(flown: Callable[..., Sortie]) -> Build:
    def build(dice: random.Random, world: World, handling: Handling, size: float) -> Sortie:
        end = normal.draw_end(dice=dice, world=world, handling=handling)
        return flown(dice=dice, pattern=normal.draw_pattern(dice=dice, end=end, handling=handling), size=size)

    return build


def _circling(dice: random.Random, world: World, handling: Handling, _size: float) -> Sortie:
    end = normal.draw_end(dice=dice, world=world, handling=handling)
    pattern = normal.draw_pattern(dice=dice, end=end, handling=handling)
    return normal.circling(dice=dice, pattern=pattern, approach=world.runways.end(f"{end.airfield}/{end.opposite}"))


def _somewhere(flown: Callable[..., Sortie]) -> Build:
    """Likewise, for what needs the whole world."""

    def build(dice: random.Random, world: World, handling: Handling, size: float) -> Sortie:
        end = normal.draw_end(dice=dice, world=world, handling=handling)
        pattern = normal.draw_pattern(dice=dice, end=end, handling=handling)
        return flown(dice=dice, world=world, pattern=pattern, size=size)

    return build


def _landing(choices: tuple[tuple[str, str], ...], *, alert: str = "wrong-runway-arrival") -> Build:
    """Flown and planned runway ends, either way round."""

    def build(dice: random.Random, world: World, handling: Handling, _size: float) -> Sortie:
        pair = list(dice.choice(choices))
        dice.shuffle(pair)
        flown, planned = (world.runways.end(name) for name in pair)
        pattern = normal.draw_pattern(dice=dice, end=flown, handling=handling)
        return runway_faults.wrong_landing(dice=dice, pattern=pattern, planned=planned, alert=alert)

    return build


def _take_off(
    choices: tuple[tuple[str, str], ...], *, alert: str, beside_ft: float = 0.0, rolling: bool = False
) -> Build:
    def build(dice: random.Random, world: World, handling: Handling, _size: float) -> Sortie:
        flown, planned = (world.runways.end(name) for name in dice.choice(choices))
        pattern = normal.draw_pattern(dice=dice, end=flown, handling=handling)
        return runway_faults.wrong_take_off(
            dice=dice,
            pattern=pattern,
            planned=planned,
            alert=alert,
            beside_ft=beside_ft * dice.choice((-1.0, 1.0)),
            rolling=rolling,
        )

    return build


PARALLELS = (("ZZPS/27L", "ZZPS/27R"), ("ZZPS/09L", "ZZPS/09R"))
CROSSING = (("ZZPS/27L", "ZZPS/18"), ("ZZPS/27R", "ZZPS/36"), ("ZZKN/07", "ZZKN/13"), ("ZZKN/25", "ZZKN/31"))
OPPOSITE = (("ZZPS/27L", "ZZPS/09R"), ("ZZPS/18", "ZZPS/36"), ("ZZKN/07", "ZZKN/25"))
ELSEWHERE = (("ZZPS/27L", "ZZKN/25"), ("ZZKN/07", "ZZPS/09R"))
SAME = (("ZZPS/27L", "ZZPS/27L"), ("ZZKN/07", "ZZKN/07"), ("ZZKN/25", "ZZKN/25"))
LONG_ENOUGH = ("light",)


SCENARIOS = {
    scenario.name: scenario
    for scenario in (
        Scenario("straight-in", _around(normal.straight_in)),
        Scenario("circuit", _around(normal.circuit)),
        Scenario("touch-and-go", _around(normal.touch_and_go), aircraft=LONG_ENOUGH),
        Scenario("go-around", _around(normal.go_around)),
        Scenario("vectors", _around(normal.vectors)),
        Scenario("overhead-join", _around(normal.overhead_join), aircraft=LONG_ENOUGH),
        Scenario("circling", _circling),
        Scenario("holding", _around(normal.holding)),
        Scenario("departure", _around(normal.departure)),
        Scenario("diversion", lambda d, w, h, _: diversion.diversion(dice=d, world=w, handling=h)),
        Scenario("high", _sized(faults.high), GRADED),
        Scenario("high-untold", _sized(faults.high_untold), FAR),
        Scenario("low", _sized(faults.low), GRADED),
        Scenario("aside", _sized(faults.aside), GRADED),
        Scenario("fast", _sized(faults.fast), GRADED),
        Scenario("slow", _sized(faults.slow), GRADED),
        Scenario("steep", _sized(faults.steep), GRADED),
        Scenario("tailwind", _sized(faults.tailwind), GRADED),
        Scenario("setting", _sized(faults.setting), GRADED),
        Scenario("passed", _somewhere(way_faults.passed), GROWING),
        Scenario("never-down", _sized(way_faults.never_down), GROWING),
        Scenario("flown-through", _sized(way_faults.flown_through), GROWING),
        Scenario("off-altitude", _somewhere(cockpit_faults.off_altitude), GRADED),
        Scenario("bug", _sized(cockpit_faults.bug), GRADED),
        Scenario("dry", _somewhere(cockpit_faults.dry), GRADED),
        Scenario("overflown", _sized(cockpit_faults.overflown), GROWING),
        Scenario("wrong-parallel", _landing(PARALLELS), WHOLE),
        Scenario("wrong-runway", _landing(CROSSING), WHOLE, aircraft=LONG_ENOUGH),
        Scenario("opposite-end", _landing(OPPOSITE), WHOLE, aircraft=LONG_ENOUGH),
        Scenario("wrong-airfield", _landing(ELSEWHERE, alert="wrong-airfield"), WHOLE),
        Scenario("take-off-elsewhere", _take_off(CROSSING, alert="wrong-runway-departure"), WHOLE),
        Scenario("take-off-rolling", _take_off(PARALLELS, alert="wrong-runway-departure", rolling=True), WHOLE),
        Scenario("take-off-opposite", _take_off(OPPOSITE, alert="wrong-end-departure"), WHOLE),
        Scenario("take-off-taxiway", _take_off(SAME, alert="not-a-runway", beside_ft=TAXIWAY_FT), WHOLE),
    )
}
