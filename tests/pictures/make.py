"""Make the README's pictures anew, of the terminal and the page, from the demo, flown or flown again. Needs a browser.

python -m tests.pictures.make
"""

import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from playwright.sync_api import Browser, sync_playwright

from otherseat.daemon.client import Client
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import PICTURE_LINES, PICTURE_WIDTH, Watcher, write_svg
from tests.daemon.panel.conftest import FLAGS, PROGRAMS

HERE = Path(__file__).parent
DEMO = HERE.parent / "flights" / "demo.mcap"
WANTED = "glidepath-high"
PATIENCE_S = 600.0


class View(NamedTuple):
    """A picture of the page: which, at what size, and when."""

    name: str
    width: int
    height: int
    theme: str
    begin: str
    """How far into the demo's flight its replay begins."""
    when: str
    """It is taken when this is true on the page."""


VIEWS = (
    View("panel-ground-dark", 1024, 768, "dark", "0:00", """() => says("#alerts", "This is 13")"""),
    View("panel-tablet-day", 1024, 768, "day", "9:45", """() => says("#alerts", "High, ")"""),
    View(
        "panel-phone-night",
        360,
        740,
        "night",
        "11:30",
        """() => says("#alerts", "Tracking 27R") && says("#top", "leads to 27R")""",
    ),
)
SAYS = """() => {
  window.says = (part, words) => document.querySelector(part).textContent.includes(words);
}"""


def free_endpoint() -> str:
    """Return an address of this machine that is free now."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        return f"tcp://127.0.0.1:{server.getsockname()[1]}"


def stands(watcher: Watcher) -> bool:
    """Say whether the alert of the picture stands, with something said and the health known."""
    return bool(watcher.scene.daemons) and any(
        seat.calls and alert.alert == WANTED for seat in watcher.scene.seats.values() for alert in seat.alerts.values()
    )


@contextmanager
def running(*arguments: str) -> Iterator["subprocess.Popen[str]"]:
    """Run a command of otherseat for as long as the block lasts."""
    command = [sys.executable, "-m", "otherseat.daemon", *arguments]
    with subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8") as process:
        try:
            yield process
        finally:
            process.terminate()
            process.communicate()


def terminal() -> None:
    """Run the demo in real time, wait for the moment, draw the terminal."""
    feed, desk = free_endpoint(), free_endpoint()
    with (
        running("demo", "--scene", "3", "--voice", "none", "--feed", feed, "--desk", desk),
        Client(feed=feed, desk=desk) as client,
        client.subscribe(*KINDS, newest=True) as subscription,
    ):
        watcher, until_s = Watcher(subscription, where=feed), time.monotonic() + PATIENCE_S
        while not stands(watcher) and time.monotonic() < until_s:
            watcher.step(timeout_s=0.1)
        watcher.run_for(seconds=4.0)
        write_svg(watcher.screen(lines=PICTURE_LINES, width=PICTURE_WIDTH), HERE / "watch.svg")


def picture(browser: Browser, view: View) -> None:
    """Fly the recorded demo again, in real time, and take the page at its moment."""
    feed, desk = free_endpoint(), free_endpoint()
    port = free_endpoint().rpartition(":")[2]
    bus = ("--feed", feed, "--desk", desk)
    with running("panel", "--port", port, *bus) as panel:
        assert panel.stdout is not None
        while "To operate" not in panel.stdout.readline():
            pass
        page = browser.new_page(viewport={"width": view.width, "height": view.height})
        page.goto(f"http://127.0.0.1:{port}/?theme={view.theme}")
        page.evaluate(SAYS)
        with running("replay", str(DEMO), "--from", view.begin, *bus):
            page.wait_for_function(view.when, timeout=1_000.0 * PATIENCE_S)
            page.wait_for_timeout(4_000.0)
            page.screenshot(path=HERE / f"{view.name}.png")
        page.close()


def main() -> None:
    """Make all of them."""
    with sync_playwright() as playwright:
        program = next(path for name in PROGRAMS if (path := shutil.which(name)))
        browser = playwright.chromium.launch(executable_path=program, args=list(FLAGS))
        for view in VIEWS:
            picture(browser, view)
        browser.close()
    terminal()


if __name__ == "__main__":
    main()
