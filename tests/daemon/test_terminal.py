"""`otherseat watch` over a real bus."""

import dataclasses
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner

from otherseat.advisories.levels import Change
from otherseat.daemon.client import Client
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.messages import Kind, StandingMessage
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import Watcher, watch
from tests.daemon.bench import Bench, bench
from tests.daemon.samples import BODIES, alert
from tests.daemon.test_page import text_of
from tests.daemon.test_scene import message


@contextmanager
def watcher_of(standing: Bench, *, everybody: bool = False) -> Iterator[Watcher]:
    """Watch the bench."""
    with (
        Client(feed=standing.feed.endpoint, desk=standing.desk.endpoint) as client,
        client.subscribe(*KINDS, newest=True) as subscription,
    ):
        yield Watcher(subscription, where=standing.feed.endpoint, everybody=everybody)


def publish_all(standing: Bench) -> None:
    """Publish one message of each kind."""
    for kind, body in BODIES.items():
        if kind is not Kind.STANDING:
            standing.publish(kind, None if kind is Kind.HEALTH else "own", 640.5, body)
    body = BODIES[Kind.STANDING].model_copy(update={"alerts": (BODIES[Kind.ALERT],)})
    standing.call(lambda: standing.feed.stand(640.5, body))


def seen(watcher: Watcher, wanted: str) -> str:
    """Return the screen as soon as it shows what is wanted."""
    for _ in range(200):
        watcher.step(timeout_s=0.05)
        screen = text_of(watcher.screen(lines=40, width=100))
        if wanted in screen:
            return screen
    raise AssertionError(f"{wanted} is not in {screen}")


def picture_words(standing: Bench, file: Path) -> str:
    """Have the command draw its picture, and return the words in it."""
    options = ["--feed", standing.feed.endpoint, "--desk", standing.desk.endpoint, "--picture", str(file)]
    result = CliRunner().invoke(watch, options)
    assert 0 == result.exit_code, result.output
    return " ".join(" ".join(ET.fromstring(file.read_text(encoding="utf-8")).itertext()).split())  # noqa: S314 - ours


def test_the_page_comes_from_the_bus() -> None:
    """Alerts, path, runway, destination and what is live are on the page, and came over the sockets."""
    with bench() as standing, watcher_of(standing) as watcher:
        publish_all(standing)
        screen = seen(watcher, "caution High, 200 ft. Sink 650.")

    assert "200 ft above the path" in screen
    assert "ZZPS/07 by plan" in screen
    assert "blind weather: for want of altimeter_hpa" in screen


def test_the_board_comes_from_the_bus() -> None:
    """With all, there is a line for each aircraft."""
    with bench() as standing, watcher_of(standing, everybody=True) as watcher:
        for aircraft in ("a1", "a2"):
            standing.publish("alert", aircraft, 1.0, alert(1, aircraft=aircraft))
        screen = seen(watcher, "a2 caution")

    assert "bench a1 caution" in screen


def test_before_anything_is_heard() -> None:
    """While nothing comes, the screen says where it listens."""
    with bench() as standing, watcher_of(standing) as watcher:
        screen = text_of(watcher.screen(lines=40, width=100))

    assert f"Nothing heard yet at {standing.feed.endpoint}." in screen


def test_a_gone_daemon_is_marked() -> None:
    """When the daemon ends the page stays, and says that it is old."""
    with bench() as standing, watcher_of(standing) as watcher:
        publish_all(standing)
        seen(watcher, "200 ft above the path")
        standing.stop()
        screen = seen(watcher, "The daemon is not heard any more")

    assert "s old" in screen


def test_lines_and_a_picture_are_two_things(tmp_path: Path) -> None:
    """Whoever asks for lines and a picture at once is told to choose."""
    result = CliRunner().invoke(watch, ["--plain", "--picture", str(tmp_path / "x.svg")])

    assert 2 == result.exit_code
    assert "give one of the two" in result.output


def test_a_stopped_stream_is_as_old_as_it_is() -> None:
    """A screen that comes long after the stream ended says how long ago that was."""
    with bench() as standing:
        standing.publish("picture", "own", 640.5, BODIES[Kind.PICTURE])
        standing.call(standing.feed.stand, 640.5, StandingMessage(aircraft="own", age_s=71.0, silent=True))
        with watcher_of(standing) as watcher:
            assert "1 min old" in seen(watcher, "200 ft above the path")
        with watcher_of(standing, everybody=True) as watcher:
            assert "1 min old" in seen(watcher, "bench own blind")


def test_what_was_said_before_is_seen(tmp_path: Path) -> None:
    """A screen that is opened late shows what was said before."""
    with bench() as standing:
        publish_all(standing)
        words = picture_words(standing, tmp_path / "page.svg")

    assert re.search("Said last 0:10:40 caution High, 200 ft[.] 7 What is watched", words)


def test_behind_a_relay_nobody_knows_what_was_said_before() -> None:
    """Where there is no desk to ask, an empty list is said to be no older than the screen."""
    with Client(relay="tcp://127.0.0.1:9") as client, client.subscribe(*KINDS) as subscription:
        for past, told in ((True, "Said last nothing 7"), (False, "Said last nothing since this screen was opened")):
            watcher = Watcher(subscription, where="there", past=past)
            watcher.scene.take(message(Kind.PICTURE, BODIES[Kind.PICTURE]), now_s=watcher.now_s)
            assert told in text_of(watcher.screen(lines=60, width=100))


def test_an_acknowledged_alert_is_marked() -> None:
    """What an order of another program acknowledged is marked, and stays so as its numbers go on."""
    done = dataclasses.replace(alert(1), change=Change.ACKNOWLEDGED, acknowledged=True)
    with bench() as standing, watcher_of(standing) as watcher:
        standing.publish("alert", "own", 640.5, alert(1))
        seen(watcher, "caution High, 200 ft. Sink 650.")
        standing.publish("alert", "own", 641.0, done)
        seen(watcher, "Sink 650. acknowledged")
        body = StandingMessage(aircraft="own", alerts=(dataclasses.replace(done, text="High, 300 ft."),), age_s=0.0)
        standing.call(standing.feed.stand, 642.0, body)
        watcher.step(timeout_s=0.5)
        screen = text_of(watcher.screen(lines=40, width=100))

    assert "acknowledged" in screen


def test_a_picture_of_the_page(tmp_path: Path) -> None:
    """The picture is SVG that asks nobody for fonts, and shows the words of the page."""
    file = tmp_path / "page.svg"
    with bench() as standing:
        publish_all(standing)
        words = picture_words(standing, file)

    svg = file.read_text(encoding="utf-8")
    assert "High, 200" in words
    assert "url(" not in svg.replace("url(#", "")
    assert "http" not in svg.replace('xmlns="http://www.w3.org/2000/svg"', "")


@pytest.mark.skipif(sys.platform == "win32", reason="a console interrupt would reach the tests as well")
@pytest.mark.parametrize("options", [["--plain"], []], ids=["asked", "into a pipe"])
def test_plain_lines_from_the_command(options: list[str]) -> None:
    """The command prints the caution, then a line for each thing that happens, and ends on interrupt."""
    with bench() as standing:
        command = [sys.executable, "-m", "otherseat.daemon", "watch", *options, "--feed", standing.feed.endpoint]
        with subprocess.Popen(
            [*command, "--desk", standing.desk.endpoint], stdout=subprocess.PIPE, text=True, encoding="utf-8"
        ) as process:
            assert process.stdout is not None
            standing.publish("alert", "own", 640.5, alert(1))
            lines = [process.stdout.readline().strip() for _ in range(4)]
            process.send_signal(2)
            assert 0 == process.wait(timeout=10)

    waiting = f"waiting for a daemon at {standing.feed.endpoint}"
    assert [CAUTION_LINE, waiting] == lines[:2]
    assert {"daemon bench found, aircraft own", "0:10:40 own caution raised: High, 200 ft. Sink 650."} == set(lines[2:])
