"""A classroom: buses of many seats, a relay as a process of its own, and boards that watch through it."""

import contextlib
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence

from otherseat.advisories.levels import Level
from otherseat.daemon.board import missing
from otherseat.daemon.client import Client
from otherseat.daemon.messages import StandingMessage
from otherseat.daemon.scene import KINDS
from otherseat.daemon.terminal import Watcher
from tests.daemon.bench import Bench, bench
from tests.daemon.samples import alert

PATIENCE_S = 20.0
SEATS = 20
BOARDS = 3


@contextlib.contextmanager
def relay_process(
    feeds: Sequence[str], *, feed: str = "tcp://127.0.0.1:*"
) -> Iterator[tuple["subprocess.Popen[str]", str]]:
    """Run `otherseat relay` as a process of its own; give the process and where boards find it."""
    options = [part for one in feeds for part in ("--from", one)]
    command = [sys.executable, "-m", "otherseat.daemon", "relay", "--feed", feed, *options]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8")
    try:
        assert process.stdout is not None
        ready = dict(part.split("=", 1) for part in process.stdout.readline().split()[1:])
        yield process, ready["feed"]
    finally:
        process.kill()
        process.communicate()


@contextlib.contextmanager
def boards_of(feed: str, count: int) -> Iterator[list[Watcher]]:
    """Watch a relay from so many boards."""
    with contextlib.ExitStack() as stack:
        boards = []
        for _ in range(count):
            client = stack.enter_context(Client(relay=feed))
            subscription = stack.enter_context(client.subscribe(*KINDS))
            boards.append(Watcher(subscription, where=feed, everybody=True))
        yield boards


def until(boards: Sequence[Watcher], seen: Callable[[Watcher], bool]) -> None:
    """Let every board go on until each has seen it."""
    until_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < until_s:
        for board in boards:
            board.step(timeout_s=0.02)
        if all(seen(board) for board in boards):
            return
    raise AssertionError([(sorted(names(board)), gone(board)) for board in boards])


def names(board: Watcher) -> set[str]:
    """Return the daemons that a board has heard."""
    return {daemon.health.seat for daemon in board.scene.daemons.values()}


def gone(board: Watcher) -> list[str]:
    """Return the daemons that a board misses."""
    return missing(board.scene, now_s=board._clock())


def stand(standing: Bench, number: int) -> None:
    """Raise an alert on the seat, and have it stand every now and then."""
    aircraft = f"a{number}"
    raised = alert(1, aircraft=aircraft, level=Level(1 + number % 3))

    def again() -> None:
        if not standing.stopped:
            standing.feed.stand(2.0, StandingMessage(aircraft=aircraft, alerts=(raised,), age_s=0.1))
            standing.after(0.2, again)

    standing.publish("alert", aircraft, 1.0, raised)
    standing.later(again)


@contextlib.contextmanager
def seats(count: int) -> Iterator[list[Bench]]:
    """Stand up so many daemons' buses, each with an alert of its own."""
    with contextlib.ExitStack() as stack:
        standing = [stack.enter_context(bench(seat=f"seat-{number:02}")) for number in range(count)]
        for number, one in enumerate(standing):
            stand(one, number)
        yield standing


def alerts(board: Watcher) -> int:
    """Return how many alerts a board shows."""
    return sum(len(seat.alerts) for seat in board.scene.seats.values())
