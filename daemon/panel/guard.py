"""Guard: whose requests are answered at all, and the headers that every answer carries.

Host      must be one of this panel's own names: a page elsewhere that points its name here is refused
Origin    must be this panel's own on a WebSocket and on a POST: another page's script can't listen or give orders
Headers   nothing but this panel's own files may be loaded, run or framed. With a stricter Referrer-Policy browsers
          would send the Origin `null` with a form, which could not be told from a stranger's
"""

import ipaddress
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-cache",
}
LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")
SAFE_METHODS = frozenset({"GET", "HEAD"})


@dataclass(frozen=True, slots=True)
class Names:
    """The names by which this panel may be called, each with its port."""

    hosts: frozenset[str]

    @classmethod
    def of(cls, *, address: str, port: int, more: Iterable[str] = ()) -> "Names":
        """Return the names of a panel that is bound to an address."""
        plain = LOOPBACK_NAMES if is_loopback(address) else (bracketed(address),)
        names = [name.lower() for name in (*plain, *more)]
        without_port = names if port == 80 else []  # noqa: PLR2004 - the port that browsers leave out
        return cls(hosts=frozenset([*(f"{name}:{port}" for name in names), *without_port]))

    def is_host(self, host: str | None) -> bool:
        """Say whether a Host header names this panel."""
        return host is not None and host.lower() in self.hosts

    def is_origin(self, origin: str | None) -> bool:
        """Say whether an Origin header names this panel."""
        return origin is not None and origin.lower() in {f"http://{host}" for host in self.hosts}


def is_loopback(address: str) -> bool:
    """Say whether only this machine can reach an address."""
    if address == "localhost":
        return True
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def bracketed(address: str) -> str:
    """Return an address as it stands in a URL."""
    return f"[{address}]" if ":" in address else address


class Guard:
    """The outermost layer of the application."""

    def __init__(self, app: ASGIApp, *, names: Names) -> None:
        self._app = app
        self._names = names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse with 400 for a foreign Host and 403 for a foreign Origin."""
        if scope["type"] not in {"http", "websocket"}:
            await self._app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is None:
            await self._app(scope, receive, with_headers(send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008, "reason": refusal[1]})
        else:
            await PlainTextResponse(refusal[1], status_code=refusal[0])(scope, receive, with_headers(send))

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        if not self._names.is_host(headers.get("host")):
            return 400, "This panel is not called that."
        needs_origin = scope["type"] == "websocket" or scope["method"] not in SAFE_METHODS
        if needs_origin and not self._names.is_origin(headers.get("origin")):
            return 403, "This page belongs to somebody else."
        return None


def with_headers(send: Send) -> Send:
    """Return a send that adds HEADERS to the start of every answer."""

    async def send_with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
        await send(message)

    return send_with_headers
