"""`otherseat relay`: joins the feeds of many daemons, or of other relays, into one.

ZeroMQ's own proxy does the work: an XSUB socket connects to every feed, an XPUB socket serves the boards, and only
what some board has subscribed to crosses the wire. Both sides may be locked with keys. Frames pass unchanged, so the
session in each tells the daemons apart. A relay has no desk: standing messages put a board right within a second.
"""

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click
import zmq

from otherseat.daemon.gate import Gate, bind, unlock
from otherseat.daemon.keys import Pair, read_pair, read_public
from otherseat.daemon.sockets import EndpointError, connect, notice_dead_peers, reconnect_soon
from otherseat.daemon.unusable import usable

FEED = "tcp://127.0.0.1:47811"
HIGH_WATER = 10_000
"""Messages kept for one slow board before it loses some."""
SUBSCRIPTION_BYTES = 1_024


@dataclass(frozen=True, slots=True)
class Upstream:
    """One feed to join: its address, and the public key of whoever serves it where that is locked."""

    address: str
    server: bytes | None = None

    @classmethod
    def parse(cls, text: str) -> "Upstream":
        """Read ADDRESS or ADDRESS@FILE, FILE holding the public key; raises KeysError."""
        address, at, file = text.partition("@")
        return cls(address=address, server=read_public(file) if at else None)


class Relay:
    """The two sockets and the proxy between them."""

    def __init__(
        self, *, upstreams: Sequence[Upstream], feed: str = FEED, keys: Path | None = None, own: Pair | None = None
    ) -> None:
        self._context: zmq.Context[zmq.Socket[bytes]] = zmq.Context()
        self._gate: Gate | None = None
        try:
            self._gate = None if keys is None else Gate(self._context, keys)
            self._boards, self.endpoint = self._open_boards(feed)
            self._feeds = self._open_feeds(upstreams, own)
        except Exception:
            self.close()
            raise

    def run(self) -> None:
        """Pass on until interrupted, or until another thread stops it; then close both sockets."""
        try:
            with contextlib.suppress(zmq.ContextTerminated):
                zmq.proxy(self._feeds, self._boards)
        finally:
            self._feeds.close(linger=0)
            self._boards.close(linger=0)

    def stop(self) -> None:
        """End `run`, which goes on in another thread, and wait for it."""
        self._close_gate()
        self._context.term()

    def close(self) -> None:
        """Close everything, once `run` has ended or where it never began."""
        self._close_gate()
        self._context.destroy(linger=0)

    def _close_gate(self) -> None:
        if self._gate is not None:
            self._gate.close()
            self._gate = None

    def _open_boards(self, feed: str) -> tuple["zmq.Socket[bytes]", str]:
        socket = self._context.socket(zmq.XPUB)
        socket.setsockopt(zmq.SNDHWM, HIGH_WATER)
        socket.setsockopt(zmq.MAXMSGSIZE, SUBSCRIPTION_BYTES)
        notice_dead_peers(socket)
        return socket, bind(socket, feed, gate=self._gate)

    def _open_feeds(self, upstreams: Sequence[Upstream], own: Pair | None) -> "zmq.Socket[bytes]":
        socket = self._context.socket(zmq.XSUB)
        socket.setsockopt(zmq.RCVHWM, HIGH_WATER)
        notice_dead_peers(socket)
        reconnect_soon(socket)
        for upstream in upstreams:
            if upstream.server is not None:
                if own is None:
                    raise EndpointError(f"{upstream.address} is locked: --key names this relay's own secret key")
                unlock(socket, pair=own, server=upstream.server)
            connect(socket, upstream.address)
        return socket


@click.command(
    epilog="Example: otherseat relay --from tcp://127.0.0.1:47801 --from tcp://127.0.0.1:47901, and then "
    "otherseat watch --all --relay tcp://127.0.0.1:47811"
)
@click.option(
    "--from", "sources", multiple=True, required=True, help="A feed to join, as ADDRESS, or ADDRESS@FILE with its key."
)
@click.option("--feed", default=FEED, show_default=True, help="Where boards find this relay.")
@click.option("--keys", type=click.Path(path_type=Path), help="The folder of keys that locks this relay.")
@click.option("--key", type=click.Path(path_type=Path), help="This relay's own secret key, for feeds that are locked.")
def relay(*, sources: Sequence[str], feed: str, keys: Path | None, key: Path | None) -> None:
    """Join the feeds of many daemons into one, for an instructor's board. Ctrl-C ends it."""
    with usable():
        own = None if key is None else read_pair(key)
        joined = Relay(upstreams=[Upstream.parse(source) for source in sources], feed=feed, keys=keys, own=own)
    try:
        click.echo(f"relay feed={joined.endpoint} feeds={len(sources)}")
        joined.run()
    finally:
        joined.close()
