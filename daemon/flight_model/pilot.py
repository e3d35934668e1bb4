"""The pilot process: flies the demo and exports it, with no more knowledge of the daemon than any simulator has.

    python -m otherseat.daemon.flight_model.pilot --port 47800

In real time it needs nothing else. With --fast it runs as fast as the daemon takes its datagrams, which it learns from
the daemon's own count at the desk; the desk is also where it acknowledges, as a pilot would at a display.

What happens is told on standard output, one JSON map a line:
    {"event": "scene", "scene": 1, "scenes": 3, "name": "...", "told": "...", "time_s": 0.0}
    {"event": "leg", "scene": 1, "leg": 0, "doing": "Stand", "time_s": 0.0}
    {"event": "acknowledged", "alerts": ["destination-passed.2"], "time_s": 400.1}
    {"event": "end", "time_s": 830.0, "datagrams": 16600, "lost": 0}
"""

import json
import signal
import sys
from types import FrameType
from typing import Any, NoReturn

import click

from otherseat.daemon.client import Client
from otherseat.daemon.flight_model.flight import CONTROL_HZ, Moment, fly
from otherseat.daemon.flight_model.legs import Along
from otherseat.daemon.flight_model.model import MODEL_HZ, FlightModel
from otherseat.daemon.flight_model.pacing import Pace, RealTime, Window
from otherseat.daemon.flight_model.scenes import HANDLING, WEATHER, demo_scenes
from otherseat.daemon.flight_model.world import World

DESK_PATIENCE_S = 10.0


class Teller:
    """Flies the demo and tells what happens."""

    def __init__(self, *, pace: Pace, rate_hz: int, desk: Client | None) -> None:
        self._pace = pace
        self._desk = desk
        self._steps_per_datagram = max(round(MODEL_HZ / rate_hz), 1)
        self._steps = 0
        self.sent = 0

    def fly(self, *, model: FlightModel, first: int) -> float:
        """Fly from a scene to the end; return the simulated time at which it ended."""
        world = World.make()
        scenes = demo_scenes(world)
        moments = fly(model=model, handling=HANDLING, scenes=scenes, terrain=world.terrain_ft, first=first)
        last: tuple[int, int] | None = None
        time_s = 0.0
        for moment in moments:
            time_s = moment.view.time_s
            self._count(moment)
            self._pace.wait(time_s=time_s, sent=self.sent)
            if moment.began:
                scene = scenes[moment.scene - 1]
                tell(
                    event="scene",
                    scene=moment.scene,
                    scenes=len(scenes),
                    name=scene.name,
                    told=scene.told,
                    time_s=time_s,
                )
            if (moment.scene, moment.leg) != last:
                last = (moment.scene, moment.leg)
                leg = scenes[moment.scene - 1].legs[moment.leg]
                tell(event="leg", scene=moment.scene, leg=moment.leg, doing=type(leg).__name__, time_s=time_s)
                if isinstance(leg, Along) and leg.acknowledges:
                    self._acknowledge(time_s=time_s)
        return time_s

    def _count(self, moment: Moment) -> None:
        """Keep count of what the flight model's socket has sent: two when put down, then at its rate."""
        if moment.began:
            self._steps = 0
            self.sent += 2
            return
        before = self._steps // self._steps_per_datagram
        self._steps += MODEL_HZ // CONTROL_HZ
        self.sent += self._steps // self._steps_per_datagram - before

    def _acknowledge(self, *, time_s: float) -> None:
        if self._desk is None:
            return
        self._pace.settle(sent=self.sent)
        reply = self._desk.ask("acknowledge")
        tell(event="acknowledged", alerts=list(reply.acknowledged), time_s=time_s)


def tell(**event: Any) -> None:
    """Print one event."""
    sys.stdout.write(json.dumps(event) + "\n")
    sys.stdout.flush()


def datagrams_taken(desk: Client) -> int:
    """Return how many datagrams the daemon has counted."""
    return sum(source.datagrams for source in desk.ask("status", timeout_s=DESK_PATIENCE_S).sources)


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Where the datagrams go.")
@click.option("--port", required=True, type=click.IntRange(1, 65535), help="Where the datagrams go.")
@click.option("--rate", default=20, show_default=True, type=click.IntRange(1, CONTROL_HZ), help="Datagrams a second.")
@click.option("--fast", is_flag=True, help="As fast as the daemon takes it; needs --desk.")
@click.option("--speed", default=1.0, show_default=True, help="Simulated seconds a second, without --fast.")
@click.option("--desk", "endpoint", help="The daemon's desk, such as tcp://127.0.0.1:47802.")
@click.option("--scene", default=1, show_default=True, type=click.IntRange(1, 3), help="Begin with this scene.")
def pilot(  # noqa: PLR0917 - click passes options by name
    host: str,
    port: int,
    rate: int,
    fast: bool,  # noqa: FBT001 - likewise
    speed: float,
    endpoint: str | None,
    scene: int,
) -> None:
    """Fly the demo over the Farrow Isles and export it over UDP."""
    if fast and endpoint is None:
        raise click.UsageError("--fast needs --desk: without it nobody knows how fast the daemon takes it")
    signal.signal(signal.SIGTERM, _leave)
    desk = Client(desk=endpoint) if endpoint else None
    try:
        pace: Pace = Window(count=lambda: datagrams_taken(desk)) if fast and desk else RealTime(rate=speed)
        with FlightModel(aircraft=HANDLING.aircraft, weather=WEATHER) as model:
            model.export(host=host, port=port, rate_hz=rate)
            teller = Teller(pace=pace, rate_hz=rate, desk=desk)
            time_s = teller.fly(model=model, first=scene)
            pace.settle(sent=teller.sent)
        tell(event="end", time_s=time_s, datagrams=teller.sent, lost=pace.lost)
    except KeyboardInterrupt:
        sys.exit(130)
    finally:
        if desk is not None:
            desk.close()


def _leave(_number: int, _frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt


if __name__ == "__main__":
    pilot()
