"""What recording and debriefing cost: an hour at 60 Hz, and five hundred flights on one process and on two.

    python -m tests.daemon.debrief.measure

The hour is the demo's flight in the flight model, over and over, datagrams and states at 60 Hz, a chunk each half
second as the recorder makes them. Wall times mean something on a quiet machine only; the table says how busy it was.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import cycle, islice
from pathlib import Path

import click
from mcap.reader import make_reader

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.airfields import demo_airfields
from otherseat.config.plans import read_plan, resolve_plan
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.flight_model.recording import demo_datagrams
from otherseat.daemon.flight_model.states import demo_states
from otherseat.daemon.flight_model.world import demo_plan
from otherseat.daemon.messages import PlanMessage, alert_message
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.recording import Channel
from otherseat.daemon.recording_bodies import PACK
from otherseat.daemon.recording_writer import RecordingWriter
from otherseat.daemon.refly import Crew
from tests.daemon.debrief.made import STARTED_NS, school

RATE_HZ = 60
CHUNK = 30
"""States in half a second."""
DEBRIEF = (sys.executable, "-m", "otherseat.daemon", "debrief")


def moments(count: int) -> Iterator[tuple[bytes, State]]:
    """Yield datagram and state `count` times, the flight model's demo again and again, without time going back."""
    pairs = [
        (line, state)
        for (_, line), (_, state) in zip(demo_datagrams(rate_hz=RATE_HZ), demo_states(rate_hz=RATE_HZ), strict=False)
    ]
    for number, (line, state) in enumerate(islice(cycle(pairs), count)):
        yield line, replace(state, time_s=number / RATE_HZ)


def record(path: Path, *, hours: float) -> float:
    """Write so many hours, with what the engine says to them, and return the processor seconds that writing took."""
    runways, phrasebook = RunwayTable(demo_airfields()), Phrasebook.load()
    plan = resolve_plan(plan=read_plan(Path(str(demo_plan()))), runways=runways)
    crew = Crew(runways=runways, settings=read_settings(), advisories=plugins.advisories())
    message = PlanMessage.of(aircraft="own", resolved=plan)
    crew.set_plan(message)
    flown = [(line, state, crew.step(state).alerts) for line, state in moments(int(hours * 3_600 * RATE_HZ))]
    step_ns = 10**9 // RATE_HZ
    with RecordingWriter(path) as writer:
        for airfield in demo_airfields():
            writer.write(Channel.AIRFIELD, PACK[Channel.AIRFIELD](airfield), logged_ns=STARTED_NS)
        writer.write(Channel.PLAN, PACK[Channel.PLAN](message), logged_ns=STARTED_NS)
        began_s = time.process_time()
        for number, (line, state, alerts) in enumerate(flown):
            now_ns = STARTED_NS + number * step_ns
            datagram = {"source": "measure", "received_s": number / RATE_HZ, "data": line}
            writer.write(Channel.DATAGRAM, datagram, logged_ns=now_ns)
            writer.write(Channel.STATE, PACK[Channel.STATE](state), logged_ns=now_ns)
            for alert in alerts:
                said = phrasebook.compose(phrase=alert.phrase, values=alert.values)
                body = alert_message(alert, text=said.text, speech=said.speech)
                writer.write(Channel.ALERT, PACK[Channel.ALERT](body), logged_ns=now_ns)
            if number % CHUNK == 0:
                writer.finish_chunk()
        return time.process_time() - began_s


def opened_s(path: Path) -> float:
    """Return how long it takes to open a recording and know what is in it."""
    began_s = time.perf_counter()
    with path.open("rb") as stream:
        summary = make_reader(stream).get_summary()
    assert summary is not None
    return time.perf_counter() - began_s


def run(*command: str) -> tuple[float, float, float]:
    """Run a command; return wall seconds, processor seconds, and the largest resident set of one process in MiB."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    began_s = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    wall_s = time.perf_counter() - began_s
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall_s, used_s, after.ru_maxrss / 1_024


@click.command()
@click.option("--hours", default=1.0, show_default=True, help="Hours of flight to record.")
@click.option("--flights", default=500, show_default=True, help="Flights of the school.")
def measure(*, hours: float, flights: int) -> None:
    """Print what recording and debriefing cost here."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "school").mkdir()
        school(folder / "school", flights=flights)
        click.echo(f"load before: {os.getloadavg()[0]:.1f}")
        for workers in ("1", "2"):
            wall_s, used_s, largest_mib = run(
                *DEBRIEF, str(folder / "school"), "--html", str(folder / "school.html"), "--workers", workers
            )
            click.echo(
                f"{flights} flights, {workers} processes: {wall_s:.1f} s, processor {used_s:.1f} s, "
                f"largest process {largest_mib:.0f} MiB"
            )
        hour = folder / "hour.mcap"
        used_s = record(hour, hours=hours)
        click.echo(
            f"{hours:g} h at {RATE_HZ} Hz: {hour.stat().st_size / 1e6:.1f} MB, "
            f"writing {used_s / hours / 36.0:.2f} % of a core, opened in {opened_s(hour) * 1e3:.0f} ms"
        )
        wall_s, used_s, largest_mib = run(*DEBRIEF, str(hour), "--html", str(folder / "hour.html"))
        click.echo(f"debriefed in {wall_s:.1f} s, processor {used_s:.1f} s, {largest_mib:.0f} MiB")


if __name__ == "__main__":
    measure()
