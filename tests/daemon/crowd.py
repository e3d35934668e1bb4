"""Crowd: how many aircraft one daemon carries, measured from outside. A program for people, not a test.

    python -m tests.daemon.crowd --aircraft 1000 --rate 10 --seconds 60

Sends real datagrams of so many aircraft to a real daemon, and reports the daemon's processor time and memory, what it
received, and how old states are when they reach a subscriber in another process (by the clock of this machine, which
the datagrams carry as their time).
"""

import math
import resource
import socket
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

import click

from tests.running import Daemon, running

LAYOUT = """\
name = "crowd"
summary = "many aircraft"
kind = "text"
[text]
delimiter = ","
columns = ["id", "time", "lat", "lon", "alt", "ias", "track", "gs", "vs", "ground"]
[[message]]
[message.fields]
aircraft = { column = "id" }
time_s = { column = "time" }
latitude_deg = { column = "lat" }
longitude_deg = { column = "lon" }
altitude_ft = { column = "alt" }
indicated_airspeed_kt = { column = "ias" }
track_true_deg = { column = "track" }
groundspeed_kt = { column = "gs" }
vertical_speed_fpm = { column = "vs" }
on_ground = { column = "ground" }
"""
SAMPLED = 10
"""Aircraft whose states are timed."""


def datagram(number: int, now_s: float, start_s: float) -> bytes:
    """Return one aircraft on a slow circle over the sea."""
    turn = 2 * math.pi * ((now_s - start_s) / 600 + number / 1_000)
    lat, lon = -41.5 + 0.3 * math.sin(turn) + number * 1e-3, -150.0 + 0.3 * math.cos(turn)
    track = math.degrees(-turn) % 360
    return f"c{number},{now_s:.6f},{lat:.7f},{lon:.7f},4500,110,{track:.2f},115,0,0\n".encode()


def send(daemon: Daemon, *, aircraft: int, rate: float, seconds: float) -> int:
    """Send every aircraft at its rate, spread over time; return how many datagrams left."""
    out = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    start_s, sent, pause_s = time.time(), 0, 1.0 / (aircraft * rate)
    while (now_s := time.time()) - start_s < seconds:
        due = int((now_s - start_s) / pause_s)
        while sent < due:
            out.sendto(datagram(sent % aircraft, time.time(), start_s), daemon.udp)
            sent += 1
        time.sleep(0.002)
    out.close()
    return sent


def listen(daemon: Daemon, ages_s: list[float], stop: threading.Event) -> None:
    """Time the states of a few aircraft."""
    with daemon.client() as client:
        subscriptions = [client.subscribe("state", aircraft=f"c{number}") for number in range(SAMPLED)]
        while not stop.is_set():
            for subscription in subscriptions:
                messages = subscription.receive(timeout_s=0.001)
                ages_s += [time.time() - message.time_s for message in messages]


def used(pid: int) -> tuple[float, float]:
    """Return a process's processor seconds, by its own clock, and its memory in MB (Linux)."""
    pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="utf-8").split()[1])
    # clock_getcpuclockid(3), which python has for threads only; what ps shows is sampled a hundred times a second
    return time.clock_gettime((~pid << 3) | 2), pages * resource.getpagesize() / 1e6


@click.command()
@click.option("--aircraft", default=1_000)
@click.option("--rate", default=10.0)
@click.option("--seconds", default=60.0)
def main(aircraft: int, rate: float, seconds: float) -> None:
    """Measure, and print what was found."""
    with tempfile.TemporaryDirectory() as folder:
        layout = Path(folder) / "crowd.toml"
        layout.write_text(LAYOUT, encoding="utf-8")
        with running("--layout", str(layout), "--no-recording", stderr=sys.stderr) as daemon:
            ages_s: list[float] = []
            stop = threading.Event()
            thread = threading.Thread(target=listen, args=(daemon, ages_s, stop))
            send(daemon, aircraft=aircraft, rate=rate, seconds=10.0)  # their engines are made
            time.sleep(1.0)
            with daemon.client() as client:
                known = client.ask("status", timeout_s=10.0).sources[0]
            thread.start()
            before_s, wall_s = used(daemon.process.pid)[0], time.time()
            sent = send(daemon, aircraft=aircraft, rate=rate, seconds=seconds)
            wall_s = time.time() - wall_s
            processor_s, memory_mb = used(daemon.process.pid)
            with daemon.client() as client:
                health = client.ask("status", timeout_s=10.0)
            stop.set()
            thread.join()
    source = health.sources[0]
    refused = {reason: count - known.refused.get(reason, 0) for reason, count in source.refused.items()}
    ages_ms = [1_000 * age_s for age_s in sorted(ages_s)]
    p50, p99 = statistics.median(ages_ms), ages_ms[int(0.99 * len(ages_ms))]
    click.echo(f"{aircraft} aircraft at {rate:g} Hz for {wall_s:.0f} s: {sent:,} datagrams sent")
    click.echo(f"received {source.datagrams - known.datagrams:,}, refused {refused}, aircraft {len(health.aircraft)}")
    click.echo(f"processor {(processor_s - before_s) / wall_s:.0%} of a core, memory {memory_mb:.0f} MB")
    click.echo(f"age of {len(ages_ms):,} states: p50 {p50:.1f} ms, p99 {p99:.1f} ms, most {ages_ms[-1]:.1f} ms")


if __name__ == "__main__":
    main()
