"""How soon a classroom is whole again: daemons, a relay and boards, of which one is killed and begun anew.

Nineteen buses stand in this process; the twentieth seat is a real daemon with a simulator that never stops sending.
Both it and the relay are ended with kill -9.
"""

import contextlib
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence

from otherseat.daemon.terminal import Watcher
from tests.benchmarks.outside import layout
from tests.benchmarks.rows import Row
from tests.daemon.classroom import BOARDS, SEATS, alerts, boards_of, gone, names, relay_process, seats, until
from tests.daemon.crowd import datagram
from tests.running import Daemon, running

RATE_HZ = 10.0
AIRCRAFT = "c0"


@contextlib.contextmanager
def flying(daemon: Daemon) -> Iterator[None]:
    """Send one aircraft to where the daemon listens, whether it does or not."""
    stop, start_s = threading.Event(), time.time()

    def send() -> None:
        while not stop.wait(1.0 / RATE_HZ):
            with contextlib.suppress(OSError):
                daemon.send([datagram(0, time.time(), start_s)])

    thread = threading.Thread(target=send)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


def seen(board: Watcher) -> bool:
    """Say whether a board shows a picture of the real daemon's aircraft, of a session that is heard."""
    now_s = board._clock()
    return any(
        seat.aircraft == AIRCRAFT and seat.picture is not None and not board.scene.is_missing(seat.session, now_s=now_s)
        for seat in board.scene.seats.values()
    )


def whole(board: Watcher) -> bool:
    """Say whether a board shows everybody."""
    return not gone(board) and len(names(board)) == SEATS and alerts(board) >= SEATS - 1 and seen(board)


def since(began_s: float, boards: Sequence[Watcher], shows: Callable[[Watcher], object]) -> float:
    """Return the seconds from then until every board shows it."""
    until(boards, lambda board: bool(shows(board)))
    return time.monotonic() - began_s


def recovery() -> Iterator[Row]:
    """Measure from a kill until it is shown as missing, and from the new one's ready line until all is shown again."""
    with contextlib.ExitStack() as stack:
        options = layout(stack.enter_context(tempfile.TemporaryDirectory()))
        feeds = [one.feed.endpoint for one in stack.enter_context(seats(SEATS - 1))]
        daemon = stack.enter_context(running(*options, "--no-world", "--no-recording"))
        stack.enter_context(flying(daemon))
        process, feed = stack.enter_context(relay_process([*feeds, daemon.feed]))
        boards = stack.enter_context(boards_of(feed, BOARDS))
        until(boards, whole)

        daemon.process.kill()
        began_s = time.monotonic()
        yield Row("killed daemon shown as missing on three boards after", since(began_s, boards, gone), "s")
        began_s = time.monotonic()
        again = ("--port", str(daemon.udp[1]), "--feed", daemon.feed)
        stack.enter_context(running(*options, "--no-world", "--no-recording", *again))
        ready_s = time.monotonic() - began_s
        back_s = since(began_s, boards, whole)
        yield Row("its aircraft back on them, from the command that starts it", back_s, "s")
        yield Row("the same, from its ready line", back_s - ready_s, "s", most=3.0)

        process.kill()
        began_s = time.monotonic()
        missed_s = since(began_s, boards, lambda board: len(gone(board)) == SEATS)
        yield Row("killed relay: all twenty daemons shown as missing after", missed_s, "s")
        began_s = time.monotonic()
        stack.enter_context(relay_process([*feeds, daemon.feed], feed=feed))
        ready_s = time.monotonic() - began_s
        back_s = since(began_s, boards, whole)
        yield Row("all of them back, from the command that starts it", back_s, "s")
        yield Row("the same, from its ready line", back_s - ready_s, "s", most=3.0)
