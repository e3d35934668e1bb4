"""What the parts cost, in this process: an engine step, each advisory, a runway query, a recorded hour again."""

import statistics
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from otherseat.advisories.advisory import Advisory
from otherseat.advisories.attention import AttentionSettings
from otherseat.advisories.engine import Engine
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.airfields import demo_airfields
from otherseat.config.known_runways import known_runways
from otherseat.config.plans import read_plan, resolve_plan
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.flight_file import FlightFile
from otherseat.daemon.flight_model.world import demo_plan
from tests.benchmarks.rows import Row, percentile

FLIGHT = Path(__file__).parent.parent / "flights" / "demo.mcap"
US = 1e6


def flight() -> list[State]:
    """Return the demo's flight with everything that makes every advisory live."""
    return [
        replace(
            state,
            indicated_altitude_ft=state.altitude_ft,
            altimeter_hpa=1013.25,
            fuel_kg=100.0,
            fuel_flow_kg_per_h=25.0,
            heading_bug_deg=state.heading_true_deg,
            selected_altitude_ft=4_000.0,
            outside_air_temperature_c=10.0,
            gear_down=True,
            flaps_ratio=0.3,
        )
        for state in FlightFile.open(FLIGHT).events()
        if isinstance(state, State)
    ]


def engine(
    runways: RunwayTable, *, advisories: Iterable[Advisory] | None = None, attention: AttentionSettings | None = None
) -> Engine:
    """Return an engine with the demo's plan."""
    return Engine(
        aircraft="own",
        runways=runways,
        plan=resolve_plan(plan=read_plan(Path(str(demo_plan()))), runways=runways),
        advisories=plugins.advisories() if advisories is None else advisories,
        attention=attention or read_settings().attention,
    )


def timed(work: Callable[[State], object], states: list[State]) -> list[float]:
    """Return the microseconds of this thread's processor time that each state took."""
    took = []
    for state in states:
        began = time.thread_time_ns()
        work(state)
        took.append((time.thread_time_ns() - began) / 1e3)
    return took


def steps(rounds: int) -> Iterator[Row]:
    """Measure whole steps, and what each advisory adds to a step without any."""
    runways, states = known_runways(world=True), flight()
    demo = RunwayTable(demo_airfields())
    whole = [us for _ in range(rounds) for us in timed(engine(runways).step, states)]
    bare = statistics.median(us for _ in range(rounds) for us in timed(engine(demo, advisories=[]).step, states))
    yield Row("engine step, everything live, median", statistics.median(whole), "us", most=150.0)
    yield Row("engine step, everything live, p99", percentile(whole, 0.99), "us")
    yield Row("engine step, no advisory at all (the picture)", bare, "us")
    for advisory in plugins.advisories():
        alone = engine(demo, advisories=[advisory])
        took = timed(alone.step, states)
        how = next(iter(alone.live().values()))
        more = max(statistics.median(took) - bare, 0.0)
        yield Row(f"advisory {advisory.name} adds ({how})", more, "us")


def queries() -> Iterator[Row]:
    """Measure the question for runways near a place, with the world's table, over places all over the world."""
    runways = known_runways(world=True)
    places = [(-60.0 + n * 7.3 % 120, -180.0 + n * 13.7 % 360) for n in range(2_000)]
    took = []
    for latitude_deg, longitude_deg in places:
        began = time.thread_time_ns()
        runways.near(latitude_deg=latitude_deg, longitude_deg=longitude_deg, within_nm=12.0)
        took.append((time.thread_time_ns() - began) / 1e3)
    yield Row(f"runways within 12 NM, of {len(runways):,} ends, median", statistics.median(took), "us")
    yield Row("the same, p99", percentile(took, 0.99), "us")


def again() -> Iterator[Row]:
    """Measure how much faster than it was flown a flight goes through the engine."""
    runways, states = RunwayTable(demo_airfields()), flight()
    flown_h = (states[-1].time_s - states[0].time_s) / 3_600.0
    step, began_s = engine(runways).step, time.process_time()
    for state in states:
        step(state)
    took_s = time.process_time() - began_s
    yield Row(
        "flight hours through the engine per second of processor time (two states a second)", flown_h / took_s, "h"
    )
