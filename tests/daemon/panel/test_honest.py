"""The page in a real browser when something is lost: old numbers, a daemon and a panel that go and come back."""

import threading
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from otherseat.daemon.panel.server import ServerSettings
from tests.daemon.panel.pilot import flying, high
from tests.daemon.panel.rig import Served, daemon, served

Open = Callable[..., Any]
OPACITY = "() => Number(getComputedStyle(document.querySelector('.numbers')).opacity)"


def test_old_numbers_fade_and_tell_their_age(open_page: Open) -> None:
    """A second after the last picture figures and numbers fade and the page tells their age; then it mends."""
    with daemon() as source, served(source) as panel:
        page = open_page(panel.home)
        with flying(source, high(source.table)):
            page.wait_for_selector("body[data-fresh=fresh]")
            fresh = page.evaluate(OPACITY)
            hidden = page.is_hidden("#age")
        page.wait_for_selector("body[data-fresh=old]")
        page.wait_for_function(
            "() => /^These numbers are [2-9] s old/.test(document.getElementById('age').textContent)"
        )
        old = page.evaluate(OPACITY)
        with flying(source, high(source.table)):
            page.wait_for_selector("body[data-fresh=fresh]")

    assert 1.0 == fresh
    assert hidden
    assert old < 0.5


def test_a_page_that_opens_late_knows_that_the_numbers_are_old(open_page: Open) -> None:
    """A panel that starts long after the simulator fell silent does not take its last picture for news."""
    with daemon() as source:
        source.fly(high(source.table))
        with served(source) as first:
            late = open_page(first.home)
            late.wait_for_selector("body[data-fresh=old]")


def test_a_page_that_opens_late_knows_what_was_said(open_page: Open) -> None:
    """The log of a panel that was started after the flight has what was said on it."""
    with daemon() as source:
        source.fly(high(source.table))
        with served(source) as late:
            open_page(late.home).wait_for_function(
                "() => document.getElementById('log').textContent.includes('Simulation and training only')"
            )


def test_a_daemon_that_restarts_is_heard_again(open_page: Open) -> None:
    """The page goes on by itself with another daemon at the same address, and shows nothing of the old one's alerts."""
    with daemon() as source:
        feed, desk = source.feed, source.desk
        running = Served(ServerSettings(port=0, feed=feed, desk=desk))
        page = open_page(running.home)
        with flying(source, high(source.table)):
            page.wait_for_selector("#alerts li")
    page.wait_for_selector("body[data-fresh=old]")
    page.wait_for_function("() => document.getElementById('age').textContent.endsWith('The daemon is not heard.')")
    with daemon(feed=feed, desk=desk) as another:
        states = list(high(another.table))[:20]
        with flying(another, states):
            page.wait_for_selector("body[data-fresh=fresh]")
            page.wait_for_selector("#quiet:visible")
            alerts = page.query_selector_all("#alerts li")
    running.close()

    assert [] == alerts


def test_a_panel_that_restarts_is_found_again(open_page: Open) -> None:
    """A page whose panel is gone says so, and reconnects by itself when it is back."""
    with daemon() as source, flying(source, high(source.table)):
        with served(source) as first:
            port = first.port
            page = open_page(first.home)
            page.wait_for_selector("body[data-fresh=fresh]")
        page.wait_for_selector("body[data-fresh=lost]")
        said = page.inner_text("#age")
        second = Served(ServerSettings(port=port, feed=source.feed, desk=source.desk))
        page.wait_for_selector("body[data-fresh=fresh]")
        second.close()

    assert "The panel can't be reached; trying again." in said


class Evil(BaseHTTPRequestHandler):
    """Somebody else's page, which tries to listen in and to give orders."""

    def do_GET(self) -> None:
        """Serve an empty page."""
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>evil</title>")

    def log_message(self, *_: object) -> None:
        """Say nothing."""


TRY_TO_LISTEN = """(home) => new Promise((done) => {
  const socket = new WebSocket(home.replace("http", "ws") + "/feed");
  socket.onopen = () => done("open");
  socket.onerror = () => done("refused");
})"""
TRY_TO_READ = "(home) => fetch(home + '/main.js').then(() => 'read', () => 'refused')"
TRY_TO_FRAME = """(home) => new Promise((done) => {
  const frame = document.createElement("iframe");
  frame.src = home + "/";
  frame.onload = () => { try { done(frame.contentDocument === null ? "sealed" : "open"); } catch { done("sealed"); } };
  document.body.append(frame);
  setTimeout(() => done("sealed"), 3000);
})"""


def test_another_page_in_the_same_browser_gets_nothing(browser: Any) -> None:
    """A page of another origin can't listen, read a file or frame the page: the browser and the panel both refuse."""
    evil = ThreadingHTTPServer(("127.0.0.1", 0), Evil)
    threading.Thread(target=evil.serve_forever, daemon=True).start()
    with daemon() as source, served(source) as panel:
        context = browser.new_context()
        page = context.new_page()
        page.goto(f"http://127.0.0.1:{evil.server_address[1]}/")
        got = [page.evaluate(attempt, panel.home) for attempt in (TRY_TO_LISTEN, TRY_TO_READ, TRY_TO_FRAME)]
        context.close()
    evil.shutdown()
    evil.server_close()

    assert ["refused", "refused", "sealed"] == got
