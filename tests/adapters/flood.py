"""A flood: far more datagrams than any simulator sends, through listener, adapter and assembler.

Run it with  python -m tests.adapters.flood [datagrams a second] [seconds]
A process of its own sends; its clock is the simulator's time in the text, so that the age of every State is known.
"""

import asyncio
import json
import subprocess
import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from otherseat.adapters.intake import Intake
from otherseat.adapters.layout import make
from otherseat.adapters.listener import Listener
from tests.adapters.streams import LABELS

SENDER = """
import socket, sys, time
port, rate, seconds, label, tail = int(sys.argv[1]), float(sys.argv[2]), float(sys.argv[3]), sys.argv[4], sys.argv[5]
out = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
out.sendto(label.encode() + b"\\n", ("127.0.0.1", port))
time.sleep(0.3)
start, sent = time.monotonic(), 0
while (now := time.monotonic()) < start + seconds:
    due = min(int((now - start) * rate) - sent, 2000)
    for _ in range(due):
        stamp = f"{time.monotonic():.6f}"
        out.sendto(f"{stamp},{stamp},{tail}\\n".encode(), ("127.0.0.1", port))
    sent += due
    time.sleep(0.0005)
print(sent)
"""


@dataclass
class Outcome:
    """What came of a flood."""

    offered: int
    received: int
    dropped_as_old: int
    lost_in_the_system: int
    states: int
    age_p50_ms: float
    age_p99_ms: float
    age_most_ms: float
    memory_before_kb: int
    memory_after_kb: int


def memory_kb() -> int:
    """Return the process's memory in use, 0 where the system does not tell it this way."""
    try:
        with Path("/proc/self/status").open(encoding="ascii") as status:
            return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))
    except OSError:
        return 0


async def flood(rate: float, seconds: float) -> Outcome:
    """Run one and return what came of it."""
    intake, ages = Intake(make({"layout": "jsbsim"})), []
    loop = asyncio.get_running_loop()
    with Listener(port=0) as listener:

        def drain() -> None:
            for received in listener.drain():
                states = intake.take(received.datagram, received_s=received.received_s)
                ages.extend((time.monotonic() - state.time_s) * 1e3 for state in states)

        loop.add_reader(listener.fileno(), drain)
        before = memory_kb()
        label = "<LABELS> ," + ",".join(["Time", *LABELS])
        tail = ",".join(["10.5"] * (len(LABELS) - 1))
        sender = await asyncio.create_subprocess_exec(
            sys.executable,
            *("-c", SENDER, str(listener.port), str(rate), str(seconds), label, tail),
            stdout=subprocess.PIPE,
        )
        out, _ = await sender.communicate()
        await asyncio.sleep(0.5)
        loop.remove_reader(listener.fileno())
        offered = int(out) + 1
        return Outcome(
            offered=offered,
            received=listener.received,
            dropped_as_old=listener.dropped,
            lost_in_the_system=offered - listener.received,
            states=intake.states,
            age_p50_ms=percentile(ages, 0.5),
            age_p99_ms=percentile(ages, 0.99),
            age_most_ms=max(ages),
            memory_before_kb=before,
            memory_after_kb=memory_kb(),
        )


def percentile(values: list[float], share: float) -> float:
    """Return the value below which a share of them lies."""
    return sorted(values)[int(share * (len(values) - 1))]


def run(rate: float, seconds: float) -> Outcome:
    """Run a flood in a loop of its own."""
    with asyncio.Runner(loop_factory=asyncio.SelectorEventLoop) as runner:
        return runner.run(flood(rate, seconds))


if __name__ == "__main__":
    arguments = [float(text) for text in sys.argv[1:]]
    print(json.dumps(asdict(run(*(arguments or [20_000.0, 10.0]))), indent=1))  # noqa: T201 - a bench prints
