"""Server: binds the address, listens to the bus, serves the pages until it is told to stop."""

import asyncio
import contextlib
import os
import socket
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path

import structlog
import uvicorn
from starlette.types import ASGIApp

from otherseat.daemon.client import AsyncClient
from otherseat.daemon.panel.app import Panel, PanelSettings
from otherseat.daemon.panel.guard import Names, is_loopback
from otherseat.daemon.panel.hub import Hub
from otherseat.daemon.panel.nearby import Nearby
from otherseat.daemon.panel.orders import ORDER_BYTES, Orders
from otherseat.daemon.panel.pairing import Pairing
from otherseat.daemon.scene import KINDS
from otherseat.daemon.sockets import DESK, FEED

LOOK_AROUND_S = 0.25
WILDCARDS = frozenset({"", "0.0.0.0", "::", "*"})  # noqa: S104 - refused, not bound

log = structlog.get_logger(__name__)


class AddressError(RuntimeError):
    """An address that can't be served on; the message says why."""


@dataclass(frozen=True, slots=True)
class ServerSettings:
    """Where the panel stands, and which bus it listens to."""

    address: str = "127.0.0.1"
    port: int = 47810
    feed: str = FEED
    desk: str = DESK
    aircraft: str | None = None
    more_names: tuple[str, ...] = ()
    """Further host names by which browsers may call this panel."""
    own_pages: Path | None = None
    pair_all: bool = False
    """Browsers on this machine have to be paired too."""
    frames_per_s: float = 20.0


class PanelServer:
    """One panel, from bound socket to last page."""

    def __init__(self, settings: ServerSettings, *, pairing: Pairing | None = None) -> None:
        self._settings = settings
        self._socket = bind(settings.address, settings.port)
        self.port: int = self._socket.getsockname()[1]
        self.pairing = pairing or Pairing()
        self.hub = Hub()
        self._server: uvicorn.Server | None = None
        self._stopping = False

    @property
    def names(self) -> Names:
        """The names by which browsers may call this panel."""
        return Names.of(address=self._settings.address, port=self.port, more=self._settings.more_names)

    async def serve(self) -> None:
        """Serve until `stop` or a signal to end."""
        try:
            async with AsyncClient(feed=self._settings.feed, desk=self._settings.desk) as client:
                self._server = uvicorn.Server(self._config(client))
                self._server.should_exit = self._stopping
                async with self._work(client):
                    await self._server.serve(sockets=[self._socket])
        finally:
            self._socket.close()

    def _config(self, client: AsyncClient) -> uvicorn.Config:
        return uvicorn.Config(
            self._app(client),
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            ws_max_size=ORDER_BYTES,
            ws_per_message_deflate=False,
            timeout_graceful_shutdown=1,
            lifespan="off",
        )

    def _app(self, client: AsyncClient) -> ASGIApp:
        settings = self._settings
        panel = Panel(
            settings=PanelSettings(
                names=self.names,
                open_to_all=is_loopback(settings.address) and not settings.pair_all,
                frames_per_s=settings.frames_per_s,
                own_pages=settings.own_pages,
            ),
            hub=self.hub,
            orders=Orders(hub=self.hub, client=client),
            pairing=self.pairing,
        )

        return panel.app()

    @contextlib.asynccontextmanager
    async def _work(self, client: AsyncClient) -> AsyncIterator[None]:
        """Listen and look around; end before the client does, also when Ctrl-C comes while the server starts."""
        tasks = [asyncio.create_task(self._listen(client)), asyncio.create_task(self._look_around(client))]
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)

    def stop(self) -> None:
        """Have `serve` return soon, also when it has not begun."""
        self._stopping = True
        if self._server is not None:
            self._server.should_exit = True

    async def _listen(self, client: AsyncClient) -> None:
        """Take in what is new as often as a page is sent a frame; a picture has all that a page shows of a state."""
        async with client.subscribe(*KINDS, aircraft=self._settings.aircraft, newest=True, past=True) as subscription:
            while True:
                for message in await subscription.receive():
                    self.hub.take(message)
                await asyncio.sleep(1.0 / self._settings.frames_per_s)

    async def _look_around(self, client: AsyncClient) -> None:
        nearby = Nearby(hub=self.hub, client=client)
        while True:
            await nearby.look()
            await asyncio.sleep(LOOK_AROUND_S)


def bind(address: str, port: int) -> socket.socket:
    """Return a listening socket, or raise AddressError."""
    if address in WILDCARDS:
        known = ", ".join(own_addresses()) or "see your network settings"
        raise AddressError(f"name the one address that the page is for, not every one: {known}")
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # elsewhere this would let two programs share the port
            bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind((address, port))
        bound.listen()
    except OSError as error:
        bound.close()
        raise AddressError(f"{address} port {port} can't be bound: {error.strerror or error}") from error
    return bound


def own_addresses() -> list[str]:
    """Return this machine's addresses as far as its own name tells them."""
    with contextlib.suppress(OSError):
        found = socket.getaddrinfo(socket.gethostname(), None, type=socket.SOCK_STREAM)
        return sorted({str(entry[4][0]) for entry in found} - {"127.0.0.1", "::1"})
    return []
