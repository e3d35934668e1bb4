"""App: the panel's web application.

/               the page; to be paired first when it is reached over a network
/overlay        the current sentence and the path difference on nothing, to lie over something else
/pair           where a code is typed in
/NAME           the files of the page
/own/NAME       the user's own pages
/feed           WebSocket: frames out (see hub.py), orders in (see orders.py)
"""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs

from starlette.applications import Starlette
from starlette.requests import HTTPConnection, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Receive, Scope, Send
from starlette.websockets import WebSocket, WebSocketDisconnect

from otherseat.daemon.panel.files import page_files
from otherseat.daemon.panel.guard import Guard, Names
from otherseat.daemon.panel.hub import Hub, Viewer
from otherseat.daemon.panel.orders import Orders
from otherseat.daemon.panel.pairing import Pairing, Role, TooManyTriesError, WrongCodeError

COOKIE = "otherseat_seat"
ICON = "mark.svg"
"""What browsers get that ask for an icon by the old name, as for a page of the user's own."""
FORM_BYTES = 256
HEARTBEAT_S = 0.5
"""A page hears something at least this often, so that it can tell a quiet panel from a lost one."""
MOST_VIEWERS = 64


@dataclass(frozen=True, slots=True)
class PanelSettings:
    """How a panel is served."""

    names: Names
    open_to_all: bool
    """Whoever reaches the panel may look: only for a loopback address."""
    frames_per_s: float = 20.0
    own_pages: Path | None = None


class Panel:
    """The routes, and what stands behind them."""

    def __init__(self, *, settings: PanelSettings, hub: Hub, orders: Orders, pairing: Pairing) -> None:
        self._settings = settings
        self._hub = hub
        self._orders = orders
        self._pairing = pairing
        self._files = page_files()

    def app(self) -> ASGIApp:
        """Return the application with its guard."""
        routes: list[Route | WebSocketRoute | Mount] = [
            Route("/", self._page("index.html")),
            Route("/overlay", self._page("overlay.html")),
            Route("/pair", self._pair_page),
            Route("/pair", self._pair, methods=["POST"]),
            WebSocketRoute("/feed", self._feed),
        ]
        if self._settings.own_pages is not None:
            own = StaticFiles(directory=self._settings.own_pages, html=True)
            routes.append(Mount("/own", Paired(own, self)))
        routes.append(Route("/{name}", self._file))
        return Guard(Starlette(routes=routes), names=self._settings.names)

    def role(self, connection: HTTPConnection) -> Role | None:
        """Return what a browser may do, None when it may not even look."""
        role = self._pairing.role(connection.cookies.get(COOKIE))
        return Role.VIEWER if role is None and self._settings.open_to_all else role

    def _page(self, name: str) -> Callable[[Request], Response]:
        def answer(request: Request) -> Response:
            if self.role(request) is None:
                return RedirectResponse("/pair", status_code=303)
            return self._files[name].answer(request)

        return answer

    def _file(self, request: Request) -> Response:
        name = ICON if request.path_params["name"] == "favicon.ico" else request.path_params["name"]
        if name not in self._files or name.endswith(".html"):
            return PlainTextResponse("There is no such page.", status_code=404)
        return self._files[name].answer(request)

    def _pair_page(self, request: Request) -> Response:
        return self._files["pair.html"].answer(request)

    async def _pair(self, request: Request) -> Response:
        try:
            token, _ = self._pairing.pair(await form_value(request, "code"))
        except WrongCodeError:
            return self._refuse(request, "That code is not open. Read it again in the terminal; each is good once.")
        except TooManyTriesError:
            return self._refuse(request, "Too many wrong codes. Wait a minute.")
        answer = RedirectResponse("/", status_code=303)
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", path="/")
        return answer

    def _refuse(self, request: Request, message: str) -> Response:
        return self._files["pair.html"].with_message(message).answer(request, status_code=403)

    async def _feed(self, socket: WebSocket) -> None:
        role = self.role(socket)
        if role is None or len(self._hub.viewers) >= MOST_VIEWERS:
            await socket.close(code=1008, reason="Pair this browser first." if role is None else "Too many pages.")
            return
        await socket.accept()
        viewer = Viewer(role=role, aircraft=socket.query_params.get("aircraft"))
        self._hub.open(viewer)
        sending = asyncio.create_task(self._send(socket, viewer))
        try:
            async for text in texts(socket):
                await self._orders.take(viewer, text)
        finally:
            self._hub.close(viewer)
            sending.cancel()
            with contextlib.suppress(asyncio.CancelledError, WebSocketDisconnect, RuntimeError):
                await sending

    async def _send(self, socket: WebSocket, viewer: Viewer) -> None:
        while True:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(viewer.wake.wait(), HEARTBEAT_S)
            viewer.wake.clear()
            await socket.send_text(self._hub.frame(viewer))
            await asyncio.sleep(1.0 / self._settings.frames_per_s)


class Paired:
    """Lets only those in who may look."""

    def __init__(self, app: ASGIApp, panel: Panel) -> None:
        self._app = app
        self._panel = panel

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or send a stranger to the pairing page."""
        allowed = scope["type"] == "http" and self._panel.role(Request(scope)) is not None
        app = self._app if allowed else RedirectResponse("/pair", status_code=303)
        await app(scope, receive, send)


async def texts(socket: WebSocket) -> AsyncIterator[str]:
    """Yield what a page sends, until it goes."""
    with contextlib.suppress(WebSocketDisconnect, KeyError):
        while True:
            yield await socket.receive_text()


async def form_value(request: Request, name: str) -> str:
    """Return one field of a small form; what is too long or no text counts as empty."""
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > FORM_BYTES:
            return ""
    fields = parse_qs(body.decode("ascii", errors="replace"))
    return fields.get(name, [""])[0]
