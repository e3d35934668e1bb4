"""Every display in the README, run exactly as it stands there, against a real bus."""

import contextlib
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.messages import Kind, StandingMessage
from tests.daemon.bench import Bench, bench
from tests.daemon.samples import BODIES, alert
from tests.examples.readme import block

PATIENCE_S = 20.0
NODE_PACKAGES = ("zeromq@6", "@msgpack/msgpack@3")


def environment(standing: Bench) -> dict[str, str]:
    """Return an environment that says where the bench is."""
    return {**os.environ, "OTHERSEAT_FEED": standing.feed.endpoint, "OTHERSEAT_DESK": standing.desk.endpoint}


@contextlib.contextmanager
def process(command: list[str], standing: Bench, folder: Path) -> Iterator["subprocess.Popen[str]"]:
    """Run a display as a process of its own; end it by its own id."""
    display = subprocess.Popen(
        command, cwd=folder, env=environment(standing), stdout=subprocess.PIPE, text=True, encoding="utf-8"
    )
    try:
        yield display
    finally:
        display.kill()
        display.communicate()


@contextlib.contextmanager
def python(marker: str, standing: Bench, folder: Path) -> Iterator["subprocess.Popen[str]"]:
    """Run a block of the README with python."""
    file = folder / "display.py"
    file.write_text(block(marker), encoding="utf-8")
    with process([sys.executable, str(file)], standing, folder) as display:
        yield display


def line(display: "subprocess.Popen[str]") -> list[str]:
    """Return the words of the next line that a display prints."""
    assert display.stdout is not None
    return display.stdout.readline().split()


def until(seen: Callable[[], bool]) -> None:
    """Wait until it is seen."""
    until_s = time.monotonic() + PATIENCE_S
    while not seen():
        assert time.monotonic() < until_s
        time.sleep(0.02)


def test_ten_lines() -> None:
    """A display that prints alerts is ten lines at most."""
    assert len(block("display").splitlines()) <= 10


def test_alert_printer(tmp_path: Path) -> None:
    """The first display prints what stands, and then what happens."""
    with bench() as standing:
        standing.publish("alert", "own", 640.5, alert(1))
        with python("display", standing, tmp_path) as display:
            first = line(display)
            standing.publish("alert", "own", 641.5, alert(1, change=Change.CLEARED))
            second = line(display)

    assert ["caution", "raised", "High,"] == first[:3]
    assert "cleared" == second[1]


def test_overlay(tmp_path: Path) -> None:
    """The overlay file holds what stands, and is emptied when it is cleared."""
    overlay = tmp_path / "overlay.txt"

    def holds(text: str) -> Callable[[], bool]:
        return lambda: overlay.is_file() and overlay.read_text(encoding="utf-8") == text

    with bench() as standing:
        standing.publish("alert", "own", 640.5, alert(1))
        with python("display: overlay", standing, tmp_path):
            until(holds("High, 200 ft. Sink 650."))
            standing.publish("alert", "own", 641.5, alert(1, change=Change.CLEARED))
            until(holds(""))


def test_light(tmp_path: Path) -> None:
    """The light goes on with a warning and off when it is acknowledged."""
    with bench() as standing:
        standing.publish("alert", "own", 640.5, alert(1, level=Level.CAUTION))
        with python("display: light", standing, tmp_path) as display:
            told = [line(display)]
            standing.publish("alert", "own", 641.0, alert(2, level=Level.WARNING))
            told.append(line(display))
            standing.publish("alert", "own", 642.0, alert(2, level=Level.WARNING, change=Change.CLEARED))
            told.append(line(display))

    assert [["light", "off"], ["light", "on"], ["light", "off"]] == told


@pytest.fixture
def display(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Have a screen to open windows on: a real one, or one that is only in memory."""
    if sys.platform in {"win32", "darwin"} or os.environ.get("DISPLAY"):
        yield
        return
    server = shutil.which("Xvfb")
    if server is None:
        pytest.skip("no screen to open a window on, and no Xvfb to make one")
    reading, writing = os.pipe()
    command = [server, "-displayfd", str(writing), "-screen", "0", "640x480x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL) as screen:
        os.close(writing)
        with os.fdopen(reading) as told:
            monkeypatch.setenv("DISPLAY", f":{told.readline().strip()}")
        yield
        screen.terminate()


TELL = """
import runpy, tkinter

def tell(window):
    label, told = window.winfo_children()[0], None
    while True:
        window.update()
        if label["text"] != told:
            told = label["text"]
            print("shows", told, flush=True)

tkinter.Tk.mainloop = tell
runpy.run_path("display.py")
"""
"""Runs the display as it stands, and tells what its window shows."""


@pytest.mark.usefixtures("display")
def test_big_number(tmp_path: Path) -> None:
    """The window shows how high the aircraft is; it is blank when simulator or daemon are not heard."""
    pytest.importorskip("tkinter", reason="this Python has no tkinter")
    (tmp_path / "display.py").write_text(block("display: window"), encoding="utf-8")
    with bench() as standing:

        def heard(age_s: float) -> None:
            standing.call(standing.feed.stand, 640.5, StandingMessage(aircraft="own", age_s=age_s))

        standing.publish("picture", "own", 640.5, BODIES[Kind.PICTURE])
        heard(23.0)
        with process([sys.executable, "-c", TELL], standing, tmp_path) as window:
            told = [line(window)]
            for happens in (lambda: heard(0.1), lambda: heard(3.0), lambda: heard(0.1), standing.stop):
                happens()
                told.append(line(window))

    blank, shown = ["shows"], ["shows", "+200"]
    assert [blank, shown, blank, shown, blank] == told


@pytest.fixture(scope="session")
def node_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder in which the npm packages of the example are installed."""
    npm = shutil.which("npm")
    if npm is None or shutil.which("node") is None:
        pytest.skip("node and npm are not installed")
    folder = tmp_path_factory.mktemp("node")
    command = [npm, "install", "--no-audit", "--no-fund", "--prefer-offline", "--silent", *NODE_PACKAGES]
    installed = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=100, check=False)
    if installed.returncode:
        pytest.skip(f"npm can't install {' and '.join(NODE_PACKAGES)}: {installed.stderr.strip()[-200:]}")
    return folder


def test_node(node_folder: Path) -> None:
    """The display for Node.js prints alerts with nothing of ours but the bus."""
    (node_folder / "alerts.mjs").write_text(block("display: node"), encoding="utf-8")
    with bench() as standing, process(["node", "alerts.mjs"], standing, node_folder) as display:

        def again() -> None:
            if not standing.stopped:
                standing.feed.publish("alert", "own", 640.5, alert(1))
                standing.after(0.05, again)

        standing.later(again)
        words = line(display)

    assert ["640.5", "caution", "raised", "High,", "200", "ft.", "Sink", "650."] == words
