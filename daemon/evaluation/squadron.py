"""Squadron: many orders flown on several cores, in the order given, the same on one core as on eight."""

import itertools
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache

from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.evaluation.catalogue import SCENARIOS
from otherseat.daemon.evaluation.flown import Crew, Flown, Order, fly_order
from otherseat.daemon.flight_model.world import World


def make_orders(
    *, flights: int, faults: int, seed: int, aircraft: Sequence[str], only: Sequence[str] = ()
) -> list[Order]:
    """Return `flights` normal orders dealt out over the scenarios, and `faults` of every fault, size and aircraft."""
    chosen = [scenario for scenario in SCENARIOS.values() if not only or scenario.name in only]
    kinds = [(s, a) for s in chosen if s.normal for a in aircraft if a in s.aircraft]
    orders = [
        Order(scenario=scenario.name, aircraft=kind, size=0.0, seed=seed + number)
        for number, (scenario, kind) in zip(range(flights), itertools.cycle(kinds), strict=False)
    ]
    for scenario in chosen:
        able = [kind for kind in aircraft if kind in scenario.aircraft]
        orders += [
            Order(scenario=scenario.name, aircraft=kind, size=size, seed=seed + number)
            for size in scenario.sizes
            for kind in able
            for number in range(faults)
        ]
    return orders


def fly_orders(orders: Sequence[Order], *, jobs: int) -> Iterator[Flown]:
    """Fly them all; yield each as it is done, in the order given."""
    if jobs <= 1:
        yield from map(fly_one, orders)
        return
    with ProcessPoolExecutor(max_workers=min(jobs, os.cpu_count() or 1)) as pool:
        try:
            yield from pool.map(fly_one, orders)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def fly_one(order: Order) -> Flown:
    """Fly one order; a flight that fails is a result as well, so that it can be flown again alone."""
    try:
        return fly_order(order, crew=_crew(), world=_world())
    except Exception as error:  # noqa: BLE001 - one flight must not end the others
        return Flown(order=order, conditions="", error=f"{type(error).__name__}: {error}")


@cache
def _crew() -> Crew:
    return Crew(advisories=plugins.advisories(), settings=read_settings(None))


@cache
def _world() -> World:
    return World.make()
