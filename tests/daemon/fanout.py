"""Fan-out: what subscribers cost a feed, and what a frame costs a relay. A program for people, not a test.

    python -m tests.daemon.fanout --subscribers 100 --rate 60 --seconds 10

Publishes states from one process (straight, and then through a relay), reads them with so many sockets in another, and
reports processor time, bytes and losses.
"""

import multiprocessing
import time
from multiprocessing.connection import Connection

import click
import zmq

from otherseat.daemon.feed import Feed
from otherseat.daemon.messages import Kind, decode
from otherseat.daemon.relay import Relay, Upstream
from tests.daemon.samples import BODIES


def publish(pipe: Connection, rate: float) -> None:
    """Publish states at a rate for as long as the parent wants, and tell it the processor time and their number."""
    feed = Feed(zmq.Context(), "tcp://127.0.0.1:*")
    pipe.send(feed.endpoint)
    seconds: float = pipe.recv()
    used_s, start_s, sent = time.process_time(), time.monotonic(), 0
    while (now_s := time.monotonic() - start_s) < seconds:
        while sent < now_s * rate:
            feed.publish(Kind.STATE, "own", now_s, BODIES[Kind.STATE])
            sent += 1
        time.sleep(min(0.002, 0.5 / rate))
    pipe.send((time.process_time() - used_s, sent))
    pipe.recv()


def relay(pipe: Connection, feed: str) -> None:
    """Relay a feed, and tell the parent the processor time whenever it asks."""
    relaying = Relay(upstreams=[Upstream(feed)], feed="tcp://127.0.0.1:*")
    pipe.send(relaying.endpoint)
    import threading  # noqa: PLC0415 - in the child only

    threading.Thread(target=relaying.run, daemon=True).start()
    while pipe.recv():
        pipe.send(time.process_time())


def read(feed: str, *, subscribers: int, start: Connection, seconds: float) -> tuple[list[int], int, int]:
    """Return how many frames each subscriber got, how many never came by their seq, and the size of one."""
    context: zmq.Context[zmq.Socket[bytes]] = zmq.Context()
    sockets = [context.socket(zmq.SUB) for _ in range(subscribers)]
    poller = zmq.Poller()
    for socket in sockets:
        socket.setsockopt(zmq.RCVHWM, 100_000)
        socket.subscribe(b"state.")
        socket.connect(feed)
        poller.register(socket, zmq.POLLIN)
    time.sleep(0.5)
    start.send(seconds)
    got: dict[zmq.Socket[bytes], list[bytes]] = {socket: [] for socket in sockets}
    until_s = time.monotonic() + seconds + 3.0
    while time.monotonic() < until_s:
        for socket, _ in poller.poll(200):
            got[socket].append(socket.recv_multipart()[1])  # type: ignore[index,union-attr]  # sockets only
    context.destroy(linger=0)
    seqs = [[decode(b"state.own", frame).seq for frame in frames] for frames in got.values()]
    lost = sum(one[-1] - one[0] + 1 - len(one) for one in seqs if one)
    return [len(one) for one in seqs], lost, len(next(iter(got.values()))[0])


def run(*, subscribers: int, rate: float, seconds: float, relayed: bool) -> None:
    """Measure once, and print what was found."""
    here, there = multiprocessing.Pipe()
    feeding = multiprocessing.Process(target=publish, args=(there, rate), daemon=True)
    feeding.start()
    feed: str = here.recv()
    relay_here, relay_there = multiprocessing.Pipe()
    relaying = multiprocessing.Process(target=relay, args=(relay_there, feed), daemon=True)
    before_s = 0.0
    if relayed:
        relaying.start()
        feed = relay_here.recv()
        relay_here.send(True)
        before_s = relay_here.recv()
    counts, lost, size = read(feed, subscribers=subscribers, start=here, seconds=seconds)
    used_s, sent = here.recv()
    where = "relay" if relayed else "straight"
    click.echo(f"{where}: {subscribers} subscribers, {sent:,} frames of {size} bytes at {rate:g} Hz")
    click.echo(f"  each got {min(counts):,} to {max(counts):,}, lost in between {lost}")
    click.echo(f"  feed {used_s / seconds:.1%} of a core, {1e6 * used_s / sent:.1f} us a frame")
    if relayed:
        relay_here.send(True)
        took_s = relay_here.recv() - before_s
        passed = sum(counts)
        click.echo(f"  relay {took_s / seconds:.1%} of a core, {1e6 * took_s / passed:.2f} us a frame and board")
        relaying.terminate()
    feeding.terminate()


@click.command()
@click.option("--subscribers", default=100)
@click.option("--rate", default=60.0)
@click.option("--seconds", default=10.0)
def main(subscribers: int, rate: float, seconds: float) -> None:
    """Measure straight and through a relay."""
    for relayed in (False, True):
        run(subscribers=subscribers, rate=rate, seconds=seconds, relayed=relayed)


if __name__ == "__main__":
    main()
