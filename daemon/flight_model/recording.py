"""A recorded flight: the datagrams exactly as they left the flight model's socket, one line each, gzipped.

Each line is comma-separated text that begins with the simulated time; a line of labels begins with <LABELS>. Made with

    python -m otherseat.daemon.flight_model.recording FILE --rate 4
"""

import gzip
import socket
from collections.abc import Iterator
from pathlib import Path

import click

from otherseat.daemon.flight_model.flight import fly
from otherseat.daemon.flight_model.model import FlightModel
from otherseat.daemon.flight_model.scenes import HANDLING, WEATHER, demo_scenes
from otherseat.daemon.flight_model.world import World

LARGEST = 65_535


def demo_datagrams(*, rate_hz: int, first: int = 1) -> Iterator[tuple[int, bytes]]:
    """Fly the demo and yield scene number and datagram, through a real socket of this process."""
    world = World.make()
    with (
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ear,
        FlightModel(aircraft=HANDLING.aircraft, weather=WEATHER) as model,
    ):
        ear.bind(("127.0.0.1", 0))
        ear.setblocking(False)
        model.export(host="127.0.0.1", port=ear.getsockname()[1], rate_hz=rate_hz)
        moments = fly(model=model, handling=HANDLING, scenes=demo_scenes(world), terrain=world.terrain_ft, first=first)
        for moment in moments:
            for datagram in drain(ear):
                yield moment.scene, datagram


def drain(ear: socket.socket) -> Iterator[bytes]:
    """Yield every datagram that waits."""
    while True:
        try:
            yield ear.recv(LARGEST)
        except BlockingIOError:
            return


def read_recording(path: Path) -> list[bytes]:
    """Return the datagrams of a recording in order."""
    return gzip.decompress(path.read_bytes()).splitlines(keepends=True)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--rate", default=4, show_default=True, help="Datagrams a second of simulated time.")
def record(*, file: Path, rate: int) -> None:
    """Fly the demo and write what its socket sent."""
    content = b"".join(datagram for _, datagram in demo_datagrams(rate_hz=rate))
    file.write_bytes(gzip.compress(content, mtime=0))


if __name__ == "__main__":
    record()
