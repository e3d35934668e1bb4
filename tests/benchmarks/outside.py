"""What the daemon costs and how soon it answers, seen from outside: a real process on real sockets."""

import contextlib
import multiprocessing
import socket
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import zmq

from tests.benchmarks.everything import panel, viewed
from tests.benchmarks.rows import Row, percentile
from tests.daemon.crowd import LAYOUT, datagram, send, used
from tests.daemon.latency import copy, measure, subscribed
from tests.faults.rig import Ear, health_when, options
from tests.running import Daemon, running

FRAME_BYTES = 230


def layout(folder: str) -> list[str]:
    """Write the crowd's layout; return the options of `fly` that name it."""
    path = Path(folder) / "crowd.toml"
    path.write_text(LAYOUT, encoding="utf-8")
    return ["--layout", str(path)]


def chain(rates: tuple[float, ...], *, starts: int, rounds: int) -> Iterator[Row]:
    """Measure from a datagram sent to its frame received in another process, beside a bare relay, in turn.

    Where its memory happens to lie makes one process a tenth slower than the next of the same program: both are
    started several times.
    """
    took: dict[float, dict[str, list[float]]] = {rate: {"daemon": [], "relay": []} for rate in rates}
    for _ in range(starts):
        _measure_both(took, rounds=rounds)
    for rate in rates:
        yield from _compared(rate, took[rate])


def _measure_both(took: dict[float, dict[str, list[float]]], *, rounds: int) -> None:
    here, there = multiprocessing.Pipe()
    copier = multiprocessing.Process(target=copy, args=(there, FRAME_BYTES), daemon=True)
    copier.start()
    bare_udp, bare_feed = here.recv()
    with (
        tempfile.TemporaryDirectory() as folder,
        running(*layout(folder), "--no-recording") as daemon,
        zmq.Context() as context,
        subscribed(context, daemon.feed) as ours,
        subscribed(context, bare_feed) as bare,
    ):
        measure(daemon.udp, ours, rate=60.0, number=30)
        measure(bare_udp, bare, rate=60.0, number=30)
        for rate, both in took.items():
            for _ in range(rounds):
                both["daemon"] += measure(daemon.udp, ours, rate=rate, number=int(rate))
                both["relay"] += measure(bare_udp, bare, rate=rate, number=int(rate))
    copier.terminate()
    copier.join()


def _compared(rate: float, took: dict[str, list[float]]) -> Iterator[Row]:
    p50 = {name: statistics.median(values) for name, values in took.items()}
    p99 = {name: percentile(values, 0.99) for name, values in took.items()}
    at_60 = rate == 60.0
    yield Row(f"chain at {rate:g} Hz, p50", p50["daemon"], "us")
    yield Row(f"chain at {rate:g} Hz, p99", p99["daemon"], "us")
    yield Row(f"chain / bare relay at {rate:g} Hz, p50", p50["daemon"] / p50["relay"], "x", most=1.5 if at_60 else None)
    yield Row(f"chain / bare relay at {rate:g} Hz, p99", p99["daemon"] / p99["relay"], "x", most=3.0 if at_60 else None)


def shares(seconds: float) -> Iterator[Row]:
    """Measure the share of a core at 60 Hz, with nothing and with everything switched on; and memory.

    Beside a bare relay's, for what a system call and a wake cost at that hour.
    """
    yield relay_share(seconds)
    yield from share(seconds, "bare", "--no-recording", most=3.0)
    yield from share(seconds, "recorder and idle voice", "--voice", "espeak", most=6.0)
    yield from share(seconds, "recorder, idle voice, a panel's process with a page", "--voice", "espeak", shown=True)


def relay_share(seconds: float) -> Row:
    """Measure the share of what receives, packs and publishes, and nothing else."""
    here, there = multiprocessing.Pipe()
    copier = multiprocessing.Process(target=copy, args=(there, FRAME_BYTES), daemon=True)
    copier.start()
    udp, feed = here.recv()
    with zmq.Context() as context, subscribed(context, feed) as heard:
        measure(udp, heard, rate=60.0, number=120)
        before_s, wall_s = used(copier.pid or 0)[0], time.time()
        measure(udp, heard, rate=60.0, number=int(60 * seconds))
        percent = 100 * (used(copier.pid or 0)[0] - before_s) / (time.time() - wall_s)
    copier.terminate()
    copier.join()
    return Row("share of a core at 60 Hz, a bare relay", percent, "%")


def share(seconds: float, name: str, *options: str, most: float = 6.0, shown: bool = False) -> Iterator[Row]:
    """Measure one way of running; shown: with a panel and a page, whose share is told apart as well."""
    with contextlib.ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory())
        settings = Path(folder) / "settings.toml"
        settings.write_text(f'[recorder]\nfolder = "{Path(folder).as_posix()}"\n', encoding="utf-8")
        daemon = stack.enter_context(running(*layout(folder), "--settings", str(settings), *options))
        processes = [daemon.process.pid]
        send(daemon, aircraft=1, rate=60.0, seconds=2.0)
        if shown:
            process, page = stack.enter_context(panel(daemon))
            stack.enter_context(viewed(page))
            processes.append(process)
        send(daemon, aircraft=1, rate=60.0, seconds=5.0)
        before_s, wall_s = [used(pid)[0] for pid in processes], time.time()
        send(daemon, aircraft=1, rate=60.0, seconds=seconds)
        wall_s = time.time() - wall_s
        percents = [100 * (used(pid)[0] - before) / wall_s for pid, before in zip(processes, before_s, strict=True)]
        yield Row(f"share of a core at 60 Hz, {name}", sum(percents), "%", most=most)
        if shown:
            yield Row("of which the panel's", percents[-1], "%")
        else:
            yield Row(f"resident memory, {name}, the world's runways", used(daemon.process.pid)[1], "MB", most=100.0)


def memory(minutes: int) -> Iterator[Row]:
    """Measure memory at the first states and after so long a flight at 20 Hz, flown as fast as it is taken in."""
    with (
        tempfile.TemporaryDirectory() as folder,
        running(*options(Path(folder)), "--voice", "espeak") as daemon,
        Ear(daemon) as ear,
    ):
        for minute in range(minutes):
            ear.fly(datagram(0, 60.0 * minute + tick / 20.0, 0.0) for tick in range(1_200))
            if minute == 0:
                began_mb = used(daemon.process.pid)[1]
        ended_mb = used(daemon.process.pid)[1]
    yield Row("resident memory with recorder and voice, after a minute's flight", began_mb, "MB", most=100.0)
    yield Row(f"the same, after {minutes} minutes'", ended_mb, "MB", most=100.0)


def flood(rates: tuple[int, ...], seconds: float) -> Iterator[Row]:
    """Measure how many of so many datagrams a second are lost or dropped."""
    for rate in rates:
        with tempfile.TemporaryDirectory() as folder, running(*layout(folder), "--no-recording") as daemon:
            sent = send(daemon, aircraft=1, rate=float(rate), seconds=seconds)
            with daemon.client() as client:
                time.sleep(1.0)
                (source,) = health_when(client, lambda health: bool(health.sources)).sources
            lost = sent - source.datagrams + source.refused.get("dropped, too far behind", 0)
            yield Row(f"lost or dropped at {rate:,} datagrams a second", 100 * lost / sent, "%", most=0.0)


def crowds(counts: tuple[int, ...], seconds: float) -> Iterator[Row]:
    """Measure many aircraft at 10 Hz, once they are known: the share of a core, what came too late, and memory."""
    for count in counts:
        with tempfile.TemporaryDirectory() as folder, running(*layout(folder), "--no-recording") as daemon:
            send(daemon, aircraft=count, rate=10.0, seconds=2.0)
            before, before_s, wall_s = too_late(daemon), used(daemon.process.pid)[0], time.time()
            sent = send(daemon, aircraft=count, rate=10.0, seconds=seconds)
            wall_s = time.time() - wall_s
            late = too_late(daemon) - before
            after_s, memory_mb = used(daemon.process.pid)
            yield Row(f"{count:,} aircraft at 10 Hz", 100 * (after_s - before_s) / wall_s, "% of a core", most=100.0)
            yield Row(f"{count:,} aircraft at 10 Hz, too late to be looked at", 100 * late / sent, "%", most=0.0)
            if late < sent:
                yield Row(f"{count:,} aircraft, each looked at", 1e6 * (after_s - before_s) / (sent - late), "us")
            yield Row(f"{count:,} aircraft, resident memory", memory_mb, "MB")


def too_late(daemon: Daemon) -> int:
    """Return how many datagrams were dropped or passed over; the daemon answers when it has caught up."""
    with daemon.client() as client:
        (source,) = client.ask("status", timeout_s=20.0).sources
    return sum(number for reason, number in source.refused.items() if "too far behind" in reason)


def start(rounds: int) -> Iterator[Row]:
    """Measure from the command to the sockets that listen, and to a client that has the first accepted state.

    The client takes a tenth of a second for itself: it joins the feed. The first round is not counted: as after an
    installation from sources, python may have to compile.
    """
    listening, told, processors = [], [], []
    for _ in range(1 + rounds):
        with tempfile.TemporaryDirectory() as folder, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            began_s = time.time()
            with running(*layout(folder), "--no-recording") as daemon, daemon.client() as client:
                listening.append(time.time() - began_s)
                processors.append(used(daemon.process.pid)[0])
                out.sendto(datagram(0, time.time(), began_s), daemon.udp)
                with client.subscribe("state") as states:
                    assert states.receive(timeout_s=10.0)
                told.append(time.time() - began_s)
    yield Row("start to listening, the world's runways", statistics.median(listening[1:]), "s", most=0.7)
    yield Row("the same, processor time", statistics.median(processors[1:]), "s")
    yield Row("start to first accepted state at a client", statistics.median(told[1:]), "s")
