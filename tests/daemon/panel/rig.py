"""A whole daemon and a whole panel on loopback sockets, for tests that look at the page as a browser does."""

import asyncio
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path

from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.panel.pairing import Pairing
from otherseat.daemon.panel.server import PanelServer, ServerSettings
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.service import Knowledge, Service
from otherseat.daemon.voice.speaker import SilentSpeaker
from tests.scripted import make_plan, make_table

ANY = "tcp://127.0.0.1:*"
PATIENCE_S = 20.0


class Daemon:
    """The real service, fed by a test; on a thread of its own."""

    def __init__(
        self,
        *,
        table: RunwayTable | None = None,
        plan: ResolvedPlan | None = None,
        feed: str = ANY,
        desk: str = ANY,
        pictures_per_s: float = 20.0,
    ) -> None:
        self.table = table or make_table()
        self._plan = plan or make_plan(self.table)
        over = {"bus": {"feed": feed, "desk": desk, "pictures_per_s": pictures_per_s}}
        self._settings = read_settings(None, over=over)
        self._ready: Future[Service] = Future()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        service = self._ready.result(PATIENCE_S)
        self.feed, self.desk = service.feed.endpoint, service.desk.endpoint

    def fly(self, states: Iterable[State]) -> State:
        """Have the daemon take states, and return the last one."""
        listed = list(states)
        self._call(lambda service: service.take(listed, time.monotonic()))
        return listed[-1]

    def close(self) -> None:
        """End the daemon."""
        self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join(PATIENCE_S)

    def _call(self, action: Callable[[Service], None]) -> None:
        done: Future[None] = Future()

        def act() -> None:
            try:
                action(self._ready.result())
            except Exception as error:  # noqa: BLE001 - handed to the test's own thread
                done.set_exception(error)
            else:
                done.set_result(None)

        self._loop.call_soon_threadsafe(act)
        done.result(PATIENCE_S)

    def _run(self) -> None:
        with asyncio.Runner(loop_factory=asyncio.SelectorEventLoop) as runner:
            runner.run(self._serve())

    async def _serve(self) -> None:
        self._loop, self._stop = asyncio.get_running_loop(), asyncio.Event()
        knowledge = Knowledge(
            settings=self._settings,
            runways=self.table,
            plan=self._plan,
            advisories=plugins.advisories(),
            phrasebook=Phrasebook.load(),
        )
        service = Service(knowledge=knowledge, sources=[], speaker=SilentSpeaker, clock=time.monotonic)
        self._ready.set_result(service)
        await service.run(self._stop)


class Served:
    """The real panel server; on a thread of its own."""

    def __init__(self, settings: ServerSettings) -> None:
        self.server = PanelServer(settings)
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    @property
    def pairing(self) -> Pairing:
        """The panel's pairing."""
        return self.server.pairing

    @property
    def port(self) -> int:
        """The panel's port."""
        return self.server.port

    @property
    def home(self) -> str:
        """The address of the page."""
        return f"http://127.0.0.1:{self.port}"

    def close(self) -> None:
        """End the panel."""
        self.server.stop()
        self.thread.join(PATIENCE_S)

    def _run(self) -> None:
        with asyncio.Runner(loop_factory=asyncio.SelectorEventLoop) as runner:
            runner.run(self.server.serve())


@contextmanager
def daemon(**values: object) -> Iterator[Daemon]:
    """Run a daemon for as long as the block lasts."""
    running = Daemon(**values)  # type: ignore[arg-type]  # names checked by use
    try:
        yield running
    finally:
        running.close()


@contextmanager
def served(source: Daemon, *, own_pages: Path | None = None, pair_all: bool = False) -> Iterator[Served]:
    """Run a panel on a daemon for as long as the block lasts."""
    running = Served(ServerSettings(port=0, feed=source.feed, desk=source.desk, own_pages=own_pages, pair_all=pair_all))
    try:
        yield running
    finally:
        running.close()
