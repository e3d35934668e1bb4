"""A real browser for the page's tests. Without one they are skipped; OTHERSEAT_NEEDS_BROWSER=1 makes that a failure."""

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest

NEEDED = "OTHERSEAT_NEEDS_BROWSER"
PROGRAMS = ("chromium", "chromium-browser", "google-chrome")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PATIENCE_MS = 8_000.0
SIZE = {"width": 1024, "height": 768}


def do_without(reason: str) -> None:
    """Skip, or fail where a browser is required."""
    if os.environ.get(NEEDED) == "1":
        pytest.fail(f"{NEEDED}=1, but {reason}")
    pytest.skip(reason)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Start a headless browser with an empty profile.

    Once a module, for while it is there an asyncio loop runs in this thread, and other modules' tests run their own.
    """
    try:
        from playwright.sync_api import sync_playwright  # noqa: PLC0415 - an extra of the tests
    except ImportError:
        do_without('the extra is missing: pip install -e ".[browser]"')
    program = next((path for name in PROGRAMS if (path := shutil.which(name))), None)
    if program is None:
        do_without(f"none of these programs is there: {', '.join(PROGRAMS)}")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=program, args=list(FLAGS))
        yield running
        running.close()


@pytest.fixture(scope="module")
def tab(browser: Any) -> Any:
    """Return a page that the tests of a module take in turn: another one would start processes of its own."""
    return browser.new_context().new_page()


@pytest.fixture
def open_page(browser: Any, tab: Any) -> Iterator[Callable[..., Any]]:
    """Open pages that may load nothing but the panel's own files and may not complain; left or closed after the test.

    The first is the module's own, with nothing left of the test before; fresh: one with an empty cache instead.
    """
    contexts: list[Any] = []
    complaints: list[str] = []
    listeners: dict[str, Callable[[Any], None]] = {}

    def open_at(address: str, *, fresh: bool = False) -> Any:
        heard = _listeners(complaints, address)
        if fresh or listeners:
            contexts.append(browser.new_context())
            page = contexts[-1].new_page()
        else:
            listeners.update(heard)
            page = tab
        for event, listener in heard.items():
            page.on(event, listener)
        page.set_viewport_size(SIZE)
        page.set_default_timeout(PATIENCE_MS)
        page.goto(address)
        return page

    yield open_at
    for context in contexts:
        context.close()
    if listeners:
        _leave(tab, listeners)
    assert [] == complaints


def _listeners(complaints: list[str], address: str) -> dict[str, Callable[[Any], None]]:
    return {
        "pageerror": lambda error: complaints.append(f"{address}: {error}"),
        "console": lambda said: _note(complaints, said),
        "request": lambda asked: _check(complaints, asked.url, address),
    }


def _leave(page: Any, listeners: dict[str, Callable[[Any], None]]) -> None:
    page.evaluate("localStorage.clear()")  # the next panel may come to have the same port
    page.context.clear_cookies()
    for event, listener in listeners.items():
        page.remove_listener(event, listener)
    page.goto("about:blank")


def _note(complaints: list[str], said: Any) -> None:
    lost = "WebSocket connection to" in said.text  # a panel that was ended on purpose
    if said.type in {"error", "warning"} and not lost:
        complaints.append(said.text)


def _check(complaints: list[str], asked: str, address: str) -> None:
    home = "/".join(address.split("/")[:3])
    if not asked.startswith((home, home.replace("http", "ws", 1), "data:", "blob:")):
        complaints.append(f"asked elsewhere: {asked}")
