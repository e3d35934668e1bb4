"""The page over an hour of flight: memory of the browser, cost of the server. Figures are printed; run with -s."""

import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count, islice
from typing import Any

import pytest

from otherseat.advisories.state import State
from otherseat.daemon.panel.server import ServerSettings
from tests.daemon.panel.pilot import AIR, flying
from tests.daemon.panel.rig import Daemon, Served, daemon
from tests.scripted import final, straight

Open = Callable[..., Any]
FRAMES_PER_S = float(os.environ.get("OTHERSEAT_FRAMES_PER_S", "100"))
"""An hour at 20 Hz is 72,000 frames; at 100 Hz they take twelve minutes."""
FRAMES = int(os.environ.get("OTHERSEAT_FRAMES", "72000"))
WARM_UP = 60_000
"""States of the flight before the page is opened: fifty minutes, so that log and trail are long."""
FLAT = 0.10
FIRST_PAINT_MS = 300.0


def circuits(source: Daemon) -> Iterator[State]:
    """Fly approach after approach and a leg away between them, at 20 states a second, for ever."""
    end = source.table.end("ZZBB/09L")
    time_s = 0.0
    for number in count():
        high = 250.0 if number % 2 else -200.0
        legs = (
            final(end=end, distance_nm=6.0, above_path_ft=high, offset_ft=150.0, seconds=110.0, rate_hz=20.0, **AIR),
            straight(
                latitude_deg=end.latitude_deg,
                longitude_deg=end.longitude_deg - 0.05,
                track_true_deg=80.0,
                groundspeed_kt=100.0,
                altitude_ft=2_000.0,
                seconds=60.0,
                rate_hz=20.0,
                **AIR,  # type: ignore[arg-type]  # names checked by use
            ),
        )
        for leg in legs:
            start_s = time_s + 1.0
            for state in leg:
                time_s = start_s + state.time_s
                yield State(**{name: getattr(state, name) for name in State.__slots__} | {"time_s": time_s})


@contextmanager
def counted(page: Any) -> Iterator[Callable[[], dict[str, float]]]:
    """Give a way to weigh the page: bytes in use after collection, nodes, listeners."""
    tools = page.context.new_cdp_session(page)
    tools.send("Performance.enable")

    def once() -> dict[str, float]:
        tools.send("HeapProfiler.collectGarbage")
        metrics = {entry["name"]: entry["value"] for entry in tools.send("Performance.getMetrics")["metrics"]}
        return {name: metrics[name] for name in ("JSHeapUsedSize", "Nodes", "JSEventListeners", "TaskDuration")}

    def weigh() -> dict[str, float]:
        return min((once() for _ in range(8)), key=lambda weight: weight["JSHeapUsedSize"])

    yield weigh
    tools.detach()


class Counted:
    """States, and how many of them have been taken."""

    def __init__(self, states: Iterator[State]) -> None:
        self.taken = 0
        self._states = states

    def __iter__(self) -> Iterator[State]:
        """Yield and count."""
        for state in self._states:
            self.taken += 1
            yield state


@pytest.mark.long
@pytest.mark.timeout(3_600)
def test_an_hour_is_flat(open_page: Open) -> None:
    """Once log and trail are long, an hour's worth of frames leaves the browser's memory as it is, within 10 %."""
    with daemon(pictures_per_s=20.0) as source:
        running = Served(ServerSettings(port=0, feed=source.feed, desk=source.desk, frames_per_s=FRAMES_PER_S))
        flight = circuits(source)
        for _ in range(WARM_UP // 1_000):
            source.fly(islice(flight, 1_000))
        page = open_page(running.home, fresh=True)
        page.wait_for_selector("#side .trail", state="attached")
        page.evaluate(
            "() => { window.frames = 0; new MutationObserver(() => { frames += 1; })"
            ".observe(document.querySelector('#side .trail'), { attributes: true }); }"
        )
        weights, hour = [], Counted(flight)
        with counted(page) as weigh, flying(source, hour, states_per_s=FRAMES_PER_S):
            for tenth in range(1, 11):
                while hour.taken < tenth * FRAMES / 10:  # a busy machine takes longer over its hour
                    time.sleep(0.2)
                weights.append(weigh())
                print(tenth, page.inner_text("#clock"), weights[-1])  # noqa: T201 - the figures are the point
        print("drawn", page.evaluate("frames"), "clock", page.inner_text("#clock"))  # noqa: T201 - likewise
        running.close()

    heaps = [weight["JSHeapUsedSize"] for weight in weights]
    early, late = sum(heaps[1:4]) / 3.0, sum(heaps[-3:]) / 3.0  # the first tenth is the engine's own warming up
    print(f"heap early {early:.0f}, late {late:.0f}, {late / early - 1.0:+.1%}")  # noqa: T201 - likewise
    assert pytest.approx(early, rel=FLAT) == late


@pytest.mark.long
def test_first_paint(open_page: Open) -> None:
    """The page is painted within 300 ms on loopback: the median of nine visits with an empty cache."""
    with daemon() as source:
        running = Served(ServerSettings(port=0, feed=source.feed, desk=source.desk))
        paints = []
        for _ in range(9):
            page = open_page(running.home, fresh=True)
            page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length > 0")
            paints.append(page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime"))
            page.close()
        running.close()
    print("first contentful paint, ms", sorted(round(paint) for paint in paints))  # noqa: T201 - the figure counts

    assert sorted(paints)[len(paints) // 2] < FIRST_PAINT_MS


@pytest.mark.long
def test_what_the_server_costs(open_page: Open) -> None:
    """The panel's own thread, with one page at 20 frames a second, takes a small part of a core."""
    with daemon(pictures_per_s=20.0) as source:
        running = Served(ServerSettings(port=0, feed=source.feed, desk=source.desk))
        thread = next(each for each in threading.enumerate() if each is running.thread)
        clock = time.pthread_getcpuclockid(thread.ident)
        page = open_page(running.home)
        with flying(source, circuits(source), states_per_s=20.0):
            page.wait_for_selector("body[data-fresh=fresh]")
            before, began_s = time.clock_gettime(clock), time.monotonic()
            time.sleep(30.0)
            share = (time.clock_gettime(clock) - before) / (time.monotonic() - began_s)
        running.close()
    print(f"server share of a core {share:.3f}")  # noqa: T201 - the figure counts

    assert share < 0.5
