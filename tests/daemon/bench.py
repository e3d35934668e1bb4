"""Bench: a feed and a desk on a loop of their own thread, as in the daemon, for tests with real sockets."""

import asyncio
import concurrent.futures
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeVar

import zmq

from otherseat.daemon.bus import Allowance, Desk, Feed
from otherseat.daemon.gate import Gate
from otherseat.daemon.messages import HealthMessage

Result = TypeVar("Result")
HEALTH = HealthMessage(seat="bench", version="0", uptime_s=0.0)


class Bench:
    """What stands on the bench; `call` runs something on the loop's thread and returns its result."""

    def __init__(self, *, feed: str, desk: str, **options: Any) -> None:
        self._feed = feed
        self._desk = desk
        self._seat = options.pop("seat", HEALTH.seat)
        self._options = options
        self._loop: asyncio.AbstractEventLoop
        self._stop: asyncio.Event
        self._thread = threading.Thread(target=lambda: asyncio.run(self._stand()), daemon=True)
        self._ready: concurrent.futures.Future[None] = concurrent.futures.Future()
        self.feed: Feed
        self.desk: Desk

    def call(self, work: Callable[..., Result], *arguments: Any) -> Result:
        """Run work on the loop's thread."""
        done: concurrent.futures.Future[Result] = concurrent.futures.Future()

        def do() -> None:
            try:
                done.set_result(work(*arguments))
            except BaseException as error:  # noqa: BLE001 - handed over to the test
                done.set_exception(error)

        self._loop.call_soon_threadsafe(do)
        return done.result(timeout=20)

    @property
    def stopped(self) -> bool:
        """Whether it is about to be taken down."""
        return self._stop.is_set()

    def after(self, delay_s: float, work: Callable[[], Any]) -> None:
        """Run work later; to be called on the loop's thread."""
        self._loop.call_later(delay_s, work)

    def later(self, work: Callable[..., Any], *arguments: Any) -> None:
        """Run work on the loop's thread, without waiting for it."""
        self._loop.call_soon_threadsafe(work, *arguments)

    def publish(self, kind: str, aircraft: str | None, time_s: float, body: Any) -> None:
        """Publish one message from the loop's thread."""
        self.call(self.feed.publish, kind, aircraft, time_s, body)

    def start(self) -> None:
        """Stand up, or raise what was in the way."""
        self._thread.start()
        self._ready.result(timeout=10)

    def stop(self) -> None:
        """Take everything down; both addresses are free afterwards."""
        if self._thread.is_alive():
            self._loop.call_soon_threadsafe(self._stop.set)
            self._thread.join(timeout=10)
        assert not self._thread.is_alive()

    async def _stand(self) -> None:
        self._loop, self._stop = asyncio.get_running_loop(), asyncio.Event()
        context: zmq.Context[Any] = zmq.Context()
        folder = self._options.pop("keys", None)
        gate: Gate | None = None
        try:
            gate = None if folder is None else Gate(context, folder)
            self.feed = Feed(context, self._feed, gate=gate)
            handlers: Mapping[str, Callable[[Any], Any]] = self._options.pop("handlers", {})
            self.desk = Desk(
                context,
                self._desk,
                handlers={"snapshot": self.feed.snapshot, "status": lambda _: HEALTH, **handlers},
                gate=gate,
                **self._options,
            )
            self.desk.start()
            self._beat()
            self._ready.set_result(None)
            await self._stop.wait()
            self.desk.close()
            self.feed.close()
        except Exception as error:  # noqa: BLE001 - handed over to the test
            self._ready.set_exception(error)
        finally:
            if gate is not None:
                gate.close()
            context.destroy(linger=0)

    def _beat(self) -> None:
        if not self._stop.is_set():
            self.feed.publish("health", None, 0.0, HEALTH.model_copy(update={"seat": self._seat}))
            self._loop.call_later(0.05, self._beat)


@contextmanager
def bench(*, feed: str = "tcp://127.0.0.1:*", desk: str = "tcp://127.0.0.1:*", **options: Any) -> Iterator[Bench]:
    """Stand up a bench, and take it down."""
    standing = Bench(feed=feed, desk=desk, **options)
    standing.start()
    try:
        yield standing
    finally:
        standing.stop()


def unlimited() -> Allowance:
    """Return an allowance that is never used up."""
    return Allowance(burst=float("inf"), per_s=0.0)
