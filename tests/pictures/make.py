"""Make the README's picture of the terminal view anew, from a real run of the demo.

python -m tests.pictures.make
"""

import socket
import subprocess
import sys
import time
from pathlib import Path

from otherseat.daemon.client import Client
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import PICTURE_LINES, PICTURE_WIDTH, Watcher, write_svg

FILE = Path(__file__).parent / "watch.svg"
WANTED = "glidepath-high"
PATIENCE_S = 600.0


def free_endpoint() -> str:
    """Return an address of this machine that is free now."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        return f"tcp://127.0.0.1:{server.getsockname()[1]}"


def stands(watcher: Watcher) -> bool:
    """Say whether the alert of the picture stands, with something said and the health known."""
    return bool(watcher.scene.daemons) and any(
        seat.calls and alert.alert == WANTED for seat in watcher.scene.seats.values() for alert in seat.alerts.values()
    )


def main() -> None:
    """Run the demo, wait for the moment, draw it."""
    feed, desk = free_endpoint(), free_endpoint()
    command = [sys.executable, "-m", "otherseat.daemon", "demo", "--scene", "3", "--voice", "none"]
    with subprocess.Popen([*command, "--feed", feed, "--desk", desk], stdout=subprocess.DEVNULL) as demo:
        try:
            with Client(feed=feed, desk=desk) as client, client.subscribe(*KINDS, newest=True) as subscription:
                watcher, until_s = Watcher(subscription, where=feed), time.monotonic() + PATIENCE_S
                while not stands(watcher) and time.monotonic() < until_s:
                    watcher.step(timeout_s=0.1)
                watcher.run_for(seconds=4.0)
                write_svg(watcher.screen(lines=PICTURE_LINES, width=PICTURE_WIDTH), FILE)
        finally:
            demo.terminate()


if __name__ == "__main__":
    main()
