"""Connection: what a client does on its sockets, written once for blocking and for asyncio programs.

A step that has to wait yields a Wait and is sent back whether the socket became ready; `run` waits by blocking,
`run_async` by letting the loop go on.
"""

import asyncio
import contextlib
import itertools
import math
import secrets
import time
from collections.abc import Generator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

import msgpack
import zmq
from pydantic import ValidationError
from pydantic_core import to_jsonable_python

from otherseat.daemon.follow import Follower, newest_of
from otherseat.daemon.gate import unlock
from otherseat.daemon.keys import Pair, read_pair, read_public
from otherseat.daemon.messages import Message, MessageError, summary, unpack
from otherseat.daemon.sockets import EndpointError, connect, notice_dead_peers, reconnect_soon
from otherseat.daemon.verbs import VERBS, SnapshotReply

RECEIVE_HIGH_WATER = 20_000
"""Messages kept for a display that is busy."""
AT_ONCE = 1_000
"""Frames taken from the socket before the display is told."""
JOIN_S = 0.5
"""How long to try for a snapshot before going on without one."""
JOIN_AGAIN_S = (1.0, 10.0)
"""How long to go on before trying again: at first, and at most."""
MARK_S = 0.1
"""How long to wait for the mark before asking for another snapshot."""
GONE_S = 3.0
"""After so long without anything the daemon counts as gone: it sends something every second."""

Result = TypeVar("Result")
Frame = tuple[bytes, bytes]


class Wait(NamedTuple):
    """Wait until a socket is ready, or the time (by the monotonic clock) is over."""

    socket: "zmq.Socket[bytes]"
    flag: int
    until_s: float | None


Steps = Generator[Wait, bool, Result]


def run(steps: Steps[Result]) -> Result:
    """Go through the steps, blocking where they wait."""
    ready: bool | None = None
    try:
        while True:
            wait = next(steps) if ready is None else steps.send(ready)
            ready = bool(wait.socket.poll(_milliseconds(wait), wait.flag))
    except StopIteration as done:
        return done.value  # type: ignore[no-any-return]  # StopIteration carries the Result, untyped
    finally:
        steps.close()


async def run_async(steps: Steps[Result]) -> Result:
    """Go through the steps, awaiting where they wait."""
    ready: bool | None = None
    try:
        while True:
            wait = next(steps) if ready is None else steps.send(ready)
            ready = await _until_ready(wait)
    except StopIteration as done:
        return done.value  # type: ignore[no-any-return]  # StopIteration carries the Result, untyped
    finally:
        steps.close()


async def _until_ready(wait: Wait) -> bool:
    """Wait on the loop. libzmq signals changes only, so the state is asked for before each wait."""
    loop, signal = asyncio.get_running_loop(), asyncio.Event()
    descriptor = _option(wait.socket, zmq.FD)
    loop.add_reader(descriptor, signal.set)
    try:
        async with asyncio.timeout_at(None if wait.until_s is None else _on_loop(loop, wait.until_s)):
            while not _option(wait.socket, zmq.EVENTS) & wait.flag:
                await signal.wait()
                signal.clear()
    except TimeoutError:
        pass
    finally:
        loop.remove_reader(descriptor)
    return bool(_option(wait.socket, zmq.EVENTS) & wait.flag)


def _on_loop(loop: asyncio.AbstractEventLoop, until_s: float) -> float:
    return loop.time() + until_s - time.monotonic()


def _option(socket: "zmq.Socket[bytes]", option: int) -> int:
    value: Any = socket.getsockopt(option)
    return int(value)


def _milliseconds(wait: Wait) -> int | None:
    return None if wait.until_s is None else max(0, math.ceil((wait.until_s - time.monotonic()) * 1_000))


def _earliest(*times_s: float | None) -> float | None:
    return min((time_s for time_s in times_s if time_s is not None), default=None)


class AskError(Exception):
    """The desk said no; the text says why."""


class NoAnswerError(AskError):
    """No answer came in time: the daemon may not be running."""


@dataclass(frozen=True, slots=True)
class Keys:
    """What a client needs where the bus is locked: its own pair, and the public key of the daemon or relay."""

    own: Pair
    server: bytes

    @classmethod
    def read(cls, *, key: str | Path, server: str) -> "Keys":
        """Read the own pair from its secret file; the server's key is given as it is or as a file. Or KeysError."""
        return cls(own=read_pair(Path(key)), server=read_public(server))


class Connection:
    """The two ends of one daemon, or the feed alone."""

    def __init__(self, *, feed: str, desk: str | None, keys: Keys | None = None) -> None:
        """Connect nothing yet, but try the addresses: EndpointError says at once which of them is none."""
        self.feed = feed
        self.desk = desk
        self._keys = keys
        self._context: zmq.Context[zmq.Socket[bytes]] = zmq.Context()
        try:
            for endpoint in filter(None, (feed, desk)):
                self.open(zmq.SUB, endpoint).close(linger=0)
        except EndpointError:
            self.close()
            raise

    def close(self) -> None:
        """Close every socket."""
        self._context.destroy(linger=0)

    def open(self, kind: int, endpoint: str) -> "zmq.Socket[bytes]":
        """Connect a socket, which reconnects by itself; EndpointError for what is no address."""
        socket: zmq.Socket[bytes] = self._context.socket(kind)
        socket.setsockopt(zmq.LINGER, 0)
        socket.setsockopt(zmq.RCVHWM, RECEIVE_HIGH_WATER)
        # Nothing is queued for a daemon that is not there, so no order is carried out later than it was meant.
        socket.setsockopt(zmq.IMMEDIATE, 1)
        notice_dead_peers(socket)
        reconnect_soon(socket)
        if self._keys is not None:
            unlock(socket, pair=self._keys.own, server=self._keys.server)
        connect(socket, endpoint)
        return socket

    @property
    def hint(self) -> str:
        """What may be the matter when nobody answers."""
        return "" if self._keys is None else "; does the daemon let this key in, and is it the daemon's own key?"


class Asker:
    """Asks the desk one thing at a time."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._numbers = itertools.count(1)
        self._socket: zmq.Socket[bytes] | None = None

    def ask(self, verb: str, fields: dict[str, Any], *, timeout_s: float) -> Steps[Any]:
        """Ask the desk and return its reply, or raise AskError."""
        desk = self._connection.desk
        if desk is None:
            raise AskError("this client has no desk")
        number, until_s = next(self._numbers), time.monotonic() + timeout_s
        if self._socket is None:
            self._socket = self._connection.open(zmq.DEALER, desk)
        try:
            if (yield Wait(self._socket, zmq.POLLOUT, until_s)):
                self._socket.send(pack_request(number, verb, fields), zmq.NOBLOCK)
                while (yield Wait(self._socket, zmq.POLLIN, until_s)):
                    mine, reply = read_reply(number, verb, self._socket.recv(zmq.NOBLOCK))
                    if mine:
                        return reply
        except (zmq.ZMQError, GeneratorExit):
            self.drop()
            raise
        self.drop()
        raise NoAnswerError(f"{verb}: no answer from {desk} within {timeout_s:g} s{self._connection.hint}")

    def drop(self) -> None:
        """Close the socket, so that an order that was not answered can't be carried out later."""
        if self._socket is not None:
            self._socket.close(linger=0)
            self._socket = None


def pack_request(number: int, verb: str, fields: dict[str, Any]) -> bytes:
    """Pack one request; fields that are None are left out."""
    body = to_jsonable_python({name: value for name, value in fields.items() if value is not None}, exclude_none=True)
    packed: bytes = msgpack.packb({"verb": verb, "id": number, "body": body})
    return packed


def read_reply(number: int, verb: str, packed: bytes) -> tuple[bool, Any]:
    """Return whether the frame answers this request, and the reply; or raise AskError."""
    try:
        reply = unpack(packed)
    except MessageError as error:
        raise AskError(f"{verb}: the answer can't be read") from error
    if not isinstance(reply, dict) or reply.get("id") not in {number, None}:
        return False, None
    if reply.get("ok") is not True:
        raise AskError(str(reply.get("error", "refused")))
    body, known = reply.get("body"), VERBS.get(verb)
    try:
        return True, body if known is None else known.reply.model_validate(body, extra="ignore")
    except ValidationError as error:
        raise AskError(f"{verb}: the answer can't be read: {summary(error)}") from error


class Following:
    """One subscription: the snapshot first, then the feed."""

    def __init__(self, connection: Connection, follower: Follower, *, newest: bool) -> None:
        self._follower = follower
        self._newest = newest
        self._asker = Asker(connection)
        self._has_desk = connection.desk is not None
        self._socket = connection.open(zmq.SUB, connection.feed)
        for topic in follower.topics:
            self._socket.subscribe(topic)
        self._join: Steps[list[Message]] | None = None
        self._join_wait: Wait
        self._join_at_s = 0.0
        self._join_again_s = JOIN_AGAIN_S[0]
        self.heard_s: float | None = None
        """When anything came last, by the monotonic clock."""

    @property
    def lost(self) -> int:
        """Messages that never came."""
        return self._follower.lost

    def close(self) -> None:
        """Close the subscription."""
        if self._join is not None:
            self._join.close()
        self._asker.drop()
        self._socket.close(linger=0)

    def receive(self, *, timeout_s: float | None) -> Steps[list[Message]]:
        """Return what is new: at once if there is something, an empty list when the time is over."""
        until_s = None if timeout_s is None else time.monotonic() + timeout_s
        while True:
            self._begin_join_when_due()
            if self._join is None:
                yield Wait(self._socket, zmq.POLLIN, _earliest(until_s, self._join_due_s()))
                messages = self._take(self._drain())
            else:
                messages = yield from self._go_on_joining(self._join, until_s)
            if messages or (until_s is not None and time.monotonic() >= until_s):
                return newest_of(messages) if self._newest else messages

    def _join_due_s(self) -> float | None:
        return self._join_at_s if self._has_desk and self._follower.behind else None

    def _begin_join_when_due(self) -> None:
        if self.heard_s is not None and time.monotonic() - self.heard_s > GONE_S:
            self._follower.behind = True
        due_s = self._join_due_s()
        if self._join is None and due_s is not None and time.monotonic() >= due_s:
            self._join = self._joining()
            self._join_wait = next(self._join)

    def _go_on_joining(self, join: Steps[list[Message]], until_s: float | None) -> Steps[list[Message]]:
        """Do the next step of joining, unless the time is over first: the next call goes on with it."""
        wait = self._join_wait
        ready = yield wait._replace(until_s=_earliest(wait.until_s, until_s))
        if not ready and wait.until_s is not None and time.monotonic() < wait.until_s:
            return []
        try:
            self._join_wait = join.send(ready)
        except StopIteration as done:
            self._join = None
            return done.value  # type: ignore[no-any-return]  # StopIteration carries the list, untyped
        return []

    def _joining(self) -> Steps[list[Message]]:
        """Get a snapshot that was made while this subscription was already in force, so that nothing is missing.

        A subscription takes effect some time after it was made. The mark, which the daemon sends on the feed just
        before it makes the snapshot, arrives only if it had.
        """
        mark, until_s = secrets.token_hex(8), time.monotonic() + JOIN_S
        topic, early = b"mark." + mark.encode(), list[Frame]()
        self._socket.subscribe(topic)
        try:
            while (left_s := until_s - time.monotonic()) > 0:
                fields = {"mark": mark, "aircraft": self._follower.aircraft}
                snapshot = yield from self._asker.ask("snapshot", fields, timeout_s=left_s)
                if (yield from self._marked(topic, early)):
                    return self._joined(snapshot, early)
        except AskError:
            pass
        finally:
            self._socket.unsubscribe(topic)
        self._join_at_s = time.monotonic() + self._join_again_s
        self._join_again_s = min(2.0 * self._join_again_s, JOIN_AGAIN_S[1])
        return self._take(early)

    def _marked(self, mark: bytes, early: list[Frame]) -> Steps[bool]:
        """Collect frames until the mark is among them, and say whether it was."""
        until_s = time.monotonic() + MARK_S
        while (yield Wait(self._socket, zmq.POLLIN, until_s)):
            frames = self._drain()
            early += [frame for frame in frames if frame[0] != mark]
            if any(frame[0] == mark for frame in frames):
                return True
            if time.monotonic() >= until_s:
                return False
        return False

    def _joined(self, snapshot: SnapshotReply, early: list[Frame]) -> list[Message]:
        self._join_again_s = JOIN_AGAIN_S[0]
        self._join_at_s = time.monotonic() + self._join_again_s
        messages = self._follower.take_snapshot(session=snapshot.session, frames=snapshot.frames, said=snapshot.said)
        return messages + self._take(early)

    def _take(self, frames: list[Frame]) -> list[Message]:
        if frames:
            now_s = time.monotonic()
            if self.heard_s is None or now_s - self.heard_s > GONE_S:
                self._join_at_s = now_s
            self.heard_s = now_s
        return [message for topic, packed in frames for message in self._follower.take(topic, packed)]

    def _drain(self) -> list[Frame]:
        frames: list[Frame] = []
        with contextlib.suppress(zmq.Again):
            while len(frames) < AT_ONCE:
                parts = self._socket.recv_multipart(zmq.NOBLOCK)
                if len(parts) == 2:  # noqa: PLR2004 - topic and map
                    frames.append((parts[0], parts[1]))
        return frames
