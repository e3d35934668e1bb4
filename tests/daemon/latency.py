"""Latency: from a datagram to its frame in another process, beside a bare PUB of the same size. Not a test.

    python -m tests.daemon.latency --rate 60 --rounds 20

Each round sends a second of datagrams to a real daemon, and then to a process that does nothing but copy each datagram
into a frame of the same size on a plain PUB socket. What the daemon takes more is decoding, thinking and packing.
"""

import multiprocessing
import socket
import statistics
import sys
import tempfile
import time
from multiprocessing.connection import Connection
from pathlib import Path

import click
import msgpack
import zmq

from tests.daemon.crowd import LAYOUT, datagram
from tests.running import running

MARKED = b"state.c0"


def copy(pipe: Connection, size: int) -> None:
    """Receive datagrams and publish a frame of this size for each, with the time that it carries."""
    incoming = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    incoming.bind(("127.0.0.1", 0))
    out = zmq.Context().socket(zmq.PUB)
    pipe.send((incoming.getsockname(), f"tcp://127.0.0.1:{out.bind_to_random_port('tcp://127.0.0.1')}"))
    while True:
        time_s = float(incoming.recv(2_048).split(b",")[1])
        frame = msgpack.packb({"time_s": time_s, "fill": bytes(size)})
        out.send_multipart([MARKED, frame[: max(size, 20)]])


def measure(udp: tuple[str, int], socket_: "zmq.Socket[bytes]", *, rate: float, number: int) -> list[float]:
    """Send datagrams one by one, and return how long after each its frame came, in microseconds."""
    took_us = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
        for _ in range(number):
            now_s = time.time()
            out.sendto(datagram(0, now_s, now_s - now_s % 86_400), udp)
            if socket_.poll(1_000):
                socket_.recv_multipart()
                took_us.append(1e6 * (time.time() - now_s))
            time.sleep(max(0.0, 1.0 / rate - (time.time() - now_s)))
    return took_us


def subscribed(context: "zmq.Context[zmq.Socket[bytes]]", endpoint: str) -> "zmq.Socket[bytes]":
    """Return a plain subscriber of the frames that are timed."""
    socket_ = context.socket(zmq.SUB)
    socket_.subscribe(MARKED)
    socket_.connect(endpoint)
    return socket_


@click.command()
@click.option("--rate", default=60.0)
@click.option("--rounds", default=20)
def main(rate: float, rounds: int) -> None:
    """Measure both in turn, and print both."""
    context: zmq.Context[zmq.Socket[bytes]] = zmq.Context()
    here, there = multiprocessing.Pipe()
    copier = multiprocessing.Process(target=copy, args=(there, 230), daemon=True)
    copier.start()
    bare_udp, bare_feed = here.recv()
    with tempfile.TemporaryDirectory() as folder:
        layout = Path(folder) / "crowd.toml"
        layout.write_text(LAYOUT, encoding="utf-8")
        with running("--layout", str(layout), "--no-recording", stderr=sys.stderr) as daemon:
            ours, bare = subscribed(context, daemon.feed), subscribed(context, bare_feed)
            measure(daemon.udp, ours, rate=rate, number=30)
            measure(bare_udp, bare, rate=rate, number=30)
            took: dict[str, list[float]] = {"daemon": [], "bare": []}
            for _ in range(rounds):
                took["daemon"] += measure(daemon.udp, ours, rate=rate, number=int(rate))
                took["bare"] += measure(bare_udp, bare, rate=rate, number=int(rate))
    copier.terminate()
    context.destroy(linger=0)
    for name, values_us in took.items():
        ordered = sorted(values_us)
        p50, p99 = statistics.median(ordered), ordered[int(0.99 * len(ordered))]
        click.echo(f"{name:8} {len(ordered):6,} frames: p50 {p50:6.0f} us, p99 {p99:6.0f} us")


if __name__ == "__main__":
    main()
