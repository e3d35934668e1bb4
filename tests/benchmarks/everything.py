"""Everything on at once: recorder, voice that waits, and a panel of its own with one page that is looked at."""

import asyncio
import contextlib
import subprocess
import sys
import threading
import time
from collections.abc import Iterator

import websockets
from websockets.asyncio.client import connect

from tests.running import Daemon


@contextlib.contextmanager
def panel(daemon: Daemon) -> Iterator[tuple[int, str]]:
    """Run `otherseat panel` on a daemon; give its process id and the page's address."""
    command = [sys.executable, "-m", "otherseat.daemon", "panel", "--port", "0", "--feed", daemon.feed]
    process = subprocess.Popen(
        [*command, "--desk", daemon.desk], stdout=subprocess.PIPE, text=True, encoding="utf-8", bufsize=1
    )
    try:
        assert process.stdout is not None
        while not (line := process.stdout.readline()).startswith("The page"):
            assert line, "the panel ended"
        yield process.pid, line.split()[-1]
    finally:
        process.kill()
        process.communicate()


@contextlib.contextmanager
def viewed(page: str) -> Iterator[list[int]]:
    """Look at a page as a browser does; give the list in which the size of every frame is noted."""
    sizes: list[int] = []
    stop = threading.Event()

    async def look() -> None:
        origin = page.rstrip("/")
        async with connect(f"ws{origin.removeprefix('http')}/feed", origin=websockets.Origin(origin)) as socket:
            while not stop.is_set():
                sizes.append(len(await asyncio.wait_for(socket.recv(), 5.0)))

    thread = threading.Thread(target=lambda: asyncio.run(look()))
    thread.start()
    try:
        while not sizes:
            time.sleep(0.05)
            assert thread.is_alive()
        yield sizes
    finally:
        stop.set()
        thread.join()
