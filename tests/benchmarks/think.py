"""From a state that was received to its alert at another process, beside a bare PUB of same-size frames.

One process steps a real seat (engine, words, feed) 60 times a second and, in between, sends a frame of the same size on
a plain PUB socket. Every frame carries the time at which its state was handed over. Beside the built-in advisories one
is at work that finds something at every other thought, so that there are alerts to be timed; pictures are timed too.
"""

import multiprocessing
import statistics
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from multiprocessing.connection import Connection
from typing import Any

import msgpack
import zmq

from otherseat.advisories.advisory import Advisory, Params
from otherseat.advisories.attention import Policy
from otherseat.advisories.engine import Engine
from otherseat.advisories.levels import Finding, Level
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.airfields import demo_airfields
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.feed import Feed
from otherseat.daemon.log import set_up_log
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.seat import Outlets, Seat
from tests.benchmarks.inside import engine, flight
from tests.benchmarks.rows import Row, percentile

RATE_HZ = 60.0
ALERT, PICTURE, BARE = b"alert.own", b"picture.own", b"bare"
ALERT_BYTES = 243
WHIM = "whim"


class Whim:
    """Finds something at every other thought."""

    def __init__(self, _params: Params) -> None:
        self._now = False

    def look(self, *, altitude_ft: float) -> Iterable[Finding]:
        """Find what was not there a moment ago."""
        self._now = not self._now
        return [
            Finding(alert=WHIM, level=Level.ADVICE, amount=2.0, phrase="say", values={"altitude_ft": altitude_ft})
        ] * self._now


def whimsical() -> Engine:
    """Return an engine with every built-in advisory and one more, whose alert is raised and cleared at once."""
    settings = read_settings().attention
    at_once = Policy(hold_s=0.0, clear_s=0.0, margin=0.0)
    return engine(
        RunwayTable(demo_airfields()),
        advisories=[*plugins.advisories(), Advisory(name=WHIM, alerts=(WHIM,), params=Params, make=Whim)],
        attention=settings.model_copy(update={"alerts": {**settings.alerts, WHIM: at_once}}),
    )


def think(pipe: Connection, seconds: float) -> None:
    """Step a seat and send bare frames in turn; tell the parent where, and at the end the engine's own times."""
    set_up_log()
    context: zmq.Context[Any] = zmq.Context()
    feed, bare = Feed(context, "tcp://127.0.0.1:*"), context.socket(zmq.PUB)
    port = bare.bind_to_random_port("tcp://127.0.0.1")
    seat = Seat(
        engine=whimsical(),
        outlets=Outlets(feed=feed, phrasebook=Phrasebook.load(None, {"say": "A whim."}), speaker=None),
        pictures_per_s=10.0,
    )
    own_us = timed(seat)
    states = [state for state in flight() if not state.on_ground]
    pipe.send((feed.endpoint, f"tcp://127.0.0.1:{port}"))
    pipe.recv()
    for count in range(int(seconds * RATE_HZ)):
        time.sleep(0.5 / RATE_HZ)
        state = replace(states[count // 10 % len(states)])
        object.__setattr__(state, "time_s", time.time())  # at the last moment: to make a state takes time, too
        seat.step(state, received_s=0.0)
        time.sleep(0.5 / RATE_HZ)
        if count % 6 == 0:
            bare.send(BARE, zmq.SNDMORE)
            bare.send(msgpack.packb({"time_s": time.time(), "fill": bytes(ALERT_BYTES - 30)}))
    pipe.send(own_us)
    pipe.recv()


def timed(seat: Seat) -> list[float]:
    """Have the seat's engine note the microseconds of every thought."""
    own_us, step = list[float](), seat.engine.step

    def noted(state: State) -> Any:
        began_s = time.perf_counter()
        outcome = step(state)
        if outcome.thought:
            own_us.append(1e6 * (time.perf_counter() - began_s))
        return outcome

    seat.engine.step = noted  # type: ignore[method-assign]  # a measurement looks in
    return own_us


def ages_us(context: "zmq.Context[Any]", feed: str, bare: str, pipe: Connection) -> dict[bytes, list[float]]:
    """Return how old the frames of each kind are when they come, in microseconds."""
    ages: dict[bytes, list[float]] = {ALERT: [], PICTURE: [], BARE: []}
    socket = context.socket(zmq.SUB)
    for endpoint in (feed, bare):
        socket.connect(endpoint)
    for topic in ages:
        socket.subscribe(topic)
    time.sleep(0.5)
    pipe.send("go")
    while not pipe.poll():
        if socket.poll(100):
            topic, packed = socket.recv_multipart()
            ages[topic].append(1e6 * (time.time() - msgpack.unpackb(packed)["time_s"]))
    socket.close(linger=0)
    return ages


def thoughts(starts: int, seconds: float) -> Iterator[Row]:
    """Measure both in one run, over several starts: one process is luckier than the next of the same code."""
    runs = [once(seconds / starts) for _ in range(starts)]
    ages = {topic: [age_us for run, _ in runs for age_us in run[topic]] for topic in (ALERT, PICTURE, BARE)}
    own_us = statistics.median(one_us for _, own in runs for one_us in own)
    p50 = {topic: statistics.median(values) for topic, values in ages.items()}
    p99 = {topic: percentile(values, 0.99) for topic, values in ages.items()}
    yield Row("state received to its alert at another process, p50", p50[ALERT], "us")
    yield Row("the same, p99", p99[ALERT], "us")
    yield Row("state received to its picture, which leaves after alert, call and state, p50", p50[PICTURE], "us")
    yield Row("bare PUB of frames of the alert's size, p50", p50[BARE], "us")
    yield Row("the same, p99", p99[BARE], "us")
    yield Row("the engine's own time in it, median", own_us, "us")
    yield Row("state received to alert, less the engine's own / bare, p50", (p50[ALERT] - own_us) / p50[BARE], "x", 1.5)


def once(seconds: float) -> tuple[dict[bytes, list[float]], list[float]]:
    """Return the ages of the frames of each kind and the engine's own times, in microseconds, of one start."""
    here, there = multiprocessing.Pipe()
    thinker = multiprocessing.Process(target=think, args=(there, seconds), daemon=True)
    thinker.start()
    with zmq.Context() as context:
        ages = ages_us(context, *here.recv(), here)
    own_us = here.recv()
    here.send("done")
    thinker.join()
    return ages, own_us
