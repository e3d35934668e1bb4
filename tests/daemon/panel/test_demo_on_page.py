"""The page over the fast demo: the real flight model, daemon, panel and browser, each a process of its own."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.running import PATIENCE_S

Open = Callable[..., Any]
SCREENS = Path(os.environ.get("OTHERSEAT_SCREENS", "build/screens"))
SENTENCES = ("High, ", "Tracking 27R; plan, 27L.")
DEMO_MS = 90_000.0

COLLECT = """() => {
  window.seen = [];
  const alerts = document.getElementById("alerts");
  const look = () => {
    for (const text of alerts.querySelectorAll(".sentence")) {
      if (text.textContent && !seen.includes(text.textContent)) seen.push(text.textContent);
    }
  };
  new MutationObserver(look).observe(alerts, { childList: true, subtree: true, characterData: true });
}"""


def free_port() -> int:
    """Return a port that nobody has."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def command(*arguments: str) -> Iterator["subprocess.Popen[str]"]:
    """Run a command of otherseat for as long as the block lasts."""
    process = subprocess.Popen(
        [sys.executable, "-m", "otherseat.daemon", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        creationflags=subprocess.CREATE_NEW_PROCESS_GROUP if sys.platform == "win32" else 0,
    )
    try:
        yield process
    finally:
        process.send_signal(signal.SIGINT if sys.platform != "win32" else signal.CTRL_BREAK_EVENT)
        process.communicate(timeout=PATIENCE_S)  # politely, so that the demo ends its own children


def test_the_arrival_of_the_demo(open_page: Open) -> None:
    """High on final and the wrong parallel appear as sentences and are gone when mended; the log keeps them."""
    feed, desk, port = (str(free_port()) for _ in range(3))
    bus = ("--feed", f"tcp://127.0.0.1:{feed}", "--desk", f"tcp://127.0.0.1:{desk}")
    SCREENS.mkdir(parents=True, exist_ok=True)
    with command("panel", "--port", port, *bus) as panel:
        assert panel.stdout is not None
        while "To operate" not in panel.stdout.readline():
            pass
        page = open_page(f"http://127.0.0.1:{port}/")
        page.evaluate(COLLECT)
        with command("demo", "--fast", "--scene", "3", *bus):
            page.wait_for_function("() => seen.some((text) => text.startsWith('High, '))", timeout=DEMO_MS)
            page.screenshot(path=SCREENS / "demo-high.png")
            page.wait_for_function("() => seen.some((text) => text.startsWith('Tracking 27R'))", timeout=DEMO_MS)
            page.screenshot(path=SCREENS / "demo-parallel.png")
            page.wait_for_selector("#quiet:visible", timeout=DEMO_MS)
            seen, log = page.evaluate("seen"), page.inner_text("#log")

    for sentence in SENTENCES:
        assert any(text.startswith(sentence) for text in seen), sentence
        assert sentence in log
