"""A pilot for the page's tests: flies scripted scenes in real time or faster, on a thread of its own."""

import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import chain

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from tests.daemon.panel.rig import PATIENCE_S, Daemon
from tests.scripted import final, straight

AIR = {
    "wind_from_true_deg": 60.0,
    "wind_speed_kt": 14.0,
    "indicated_airspeed_kt": 88.0,
    "outside_air_temperature_c": 12.0,
}
STATES_PER_S = 60.0
Scene = Callable[[RunwayTable], Iterator[State]]


def high(table: RunwayTable) -> Iterator[State]:
    """Fly a final 320 ft above the path and left of the centreline."""
    return final(end=table.end("ZZBB/09L"), distance_nm=5.0, above_path_ft=320.0, offset_ft=-400.0, seconds=90.0, **AIR)


def low(table: RunwayTable) -> Iterator[State]:
    """Fly a final 260 ft below the path and right of the centreline."""
    return final(end=table.end("ZZBB/09L"), distance_nm=3.5, above_path_ft=-260.0, offset_ft=300.0, seconds=60.0, **AIR)


def mended(table: RunwayTable) -> Iterator[State]:
    """Fly 30 s high, then on the path and the centreline."""
    end = table.end("ZZBB/09L")
    first = list(final(end=end, distance_nm=6.0, above_path_ft=320.0, seconds=30.0, **AIR))
    later = final(end=end, distance_nm=5.0, from_s=30.25, seconds=80.0, **AIR)
    return chain(first, later)


def beside(table: RunwayTable) -> Iterator[State]:
    """Come down along the final of 09L, 15,000 ft (2.5 NM) right of it."""
    return final(end=table.end("ZZBB/09L"), distance_nm=2.5, offset_ft=15_000.0, seconds=40.0, **AIR)


def cruise(table: RunwayTable) -> Iterator[State]:
    """Cruise towards the destination."""
    end = table.end("ZZAA/09")
    return straight(
        latitude_deg=end.latitude_deg + 0.03,
        longitude_deg=end.longitude_deg + 0.1,
        track_true_deg=95.0,
        groundspeed_kt=110.0,
        altitude_ft=4_500.0,
        seconds=300.0,
        **AIR,  # type: ignore[arg-type]  # names checked by use
    )


def past(table: RunwayTable) -> Iterator[State]:
    """Cruise over the destination and on."""
    end = table.end("ZZBB/09L")
    return straight(
        latitude_deg=end.latitude_deg + 0.03,
        longitude_deg=end.longitude_deg - 0.11,
        track_true_deg=90.0,
        groundspeed_kt=110.0,
        altitude_ft=4_500.0,
        seconds=520.0,
        **AIR,  # type: ignore[arg-type]  # names checked by use
    )


def lined_up_wrong(table: RunwayTable) -> Iterator[State]:
    """Stand on 18 where the plan leaves from 09."""
    end = table.end("ZZAA/18")
    return straight(
        latitude_deg=end.latitude_deg - 0.002,
        longitude_deg=end.longitude_deg,
        track_true_deg=end.course_true_deg,
        groundspeed_kt=0.5,
        altitude_ft=200.0,
        seconds=60.0,
        on_ground=True,
        **AIR,  # type: ignore[arg-type]  # names checked by use
    )


@contextmanager
def flying(daemon: Daemon, states: Iterable[State], *, states_per_s: float = STATES_PER_S) -> Iterator[None]:
    """Fly states while the block lasts; after the last one it stays there, as a paused simulator that still sends."""
    stop = threading.Event()

    def fly() -> None:
        last = None
        for last in states:
            if stop.is_set():
                return
            daemon.fly([last])
            stop.wait(1.0 / states_per_s)
        while last is not None and not stop.wait(1.0 / states_per_s):
            daemon.fly([last])

    thread = threading.Thread(target=fly, daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join(PATIENCE_S)
