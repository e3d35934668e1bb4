"""From a state that was received to what was thought of it at another process, beside a bare PUB of same-size frames.

One process steps a real seat (engine, words, feed) 60 times a second and, in between, sends a frame of the same size on
a plain PUB socket. Every frame carries the time at which its state was handed over. Pictures are timed; an alert leaves
at the same place.
"""

import multiprocessing
import statistics
import time
from collections.abc import Iterator
from dataclasses import replace
from multiprocessing.connection import Connection
from typing import Any

import msgpack
import zmq

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.airfields import demo_airfields
from otherseat.daemon.feed import Feed
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.seat import Outlets, Seat
from tests.benchmarks.inside import engine, flight
from tests.benchmarks.rows import Row, percentile

RATE_HZ = 60.0
PICTURE, BARE = b"picture.own", b"bare"
PICTURE_BYTES = 850


def think(pipe: Connection, seconds: float) -> None:
    """Step a seat and send bare frames in turn; tell the parent where, and at the end the engine's own times."""
    context: zmq.Context[Any] = zmq.Context()
    feed, bare = Feed(context, "tcp://127.0.0.1:*"), context.socket(zmq.PUB)
    port = bare.bind_to_random_port("tcp://127.0.0.1")
    seat = Seat(
        engine=engine(RunwayTable(demo_airfields())),
        outlets=Outlets(feed=feed, phrasebook=Phrasebook.load(), speaker=None),
        pictures_per_s=10.0,
    )
    own_us = timed(seat)
    states = [state for state in flight() if not state.on_ground]
    pipe.send((feed.endpoint, f"tcp://127.0.0.1:{port}"))
    pipe.recv()
    for count in range(int(seconds * RATE_HZ)):
        time.sleep(0.5 / RATE_HZ)
        seat.step(replace(states[count // 10 % len(states)], time_s=time.time()), received_s=0.0)
        time.sleep(0.5 / RATE_HZ)
        if count % 6 == 0:
            bare.send(BARE, zmq.SNDMORE)
            bare.send(msgpack.packb({"time_s": time.time(), "fill": bytes(PICTURE_BYTES)}))
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
    ages: dict[bytes, list[float]] = {PICTURE: [], BARE: []}
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


def thoughts(seconds: float) -> Iterator[Row]:
    """Measure both in one run."""
    here, there = multiprocessing.Pipe()
    thinker = multiprocessing.Process(target=think, args=(there, seconds), daemon=True)
    thinker.start()
    with zmq.Context() as context:
        ages = ages_us(context, *here.recv(), here)
    own_us = statistics.median(here.recv())
    here.send("done")
    thinker.join()
    p50 = {topic: statistics.median(values) for topic, values in ages.items()}
    p99 = {topic: percentile(values, 0.99) for topic, values in ages.items()}
    yield Row("state received to picture at another process, p50", p50[PICTURE], "us")
    yield Row("the same, p99", p99[PICTURE], "us")
    yield Row("bare PUB of same-size frames, p50", p50[BARE], "us")
    yield Row("the same, p99", p99[BARE], "us")
    yield Row("the engine's own time in it, median", own_us, "us")
    yield Row(
        "state received to picture, less the engine's own / bare, p50", (p50[PICTURE] - own_us) / p50[BARE], "x", 1.5
    )
