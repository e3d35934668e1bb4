"""Connection: what a client does on its sockets, written once for blocking and for asyncio programs.

A step that has to wait yields a Wait and is sent back whether the socket became ready; `run` waits by blocking,
`run_async` by letting the loop go on.
"""

import contextlib
import itertools
import secrets
import time
from collections.abc import Generator
from typing import Any, NamedTuple, TypeVar

import msgpack
import zmq
import zmq.asyncio
from pydantic import ValidationError
from pydantic_core import to_jsonable_python

from otherseat.daemon.follow import Follower, newest_of
from otherseat.daemon.messages import Message, MessageError, summary, unpack
from otherseat.daemon.sockets import notice_dead_peers
from otherseat.daemon.verbs import VERBS, SnapshotReply

RECEIVE_HIGH_WATER = 20_000
"""Messages kept for a display that is busy."""
AT_ONCE = 1_000
"""Frames taken from the socket before the display is told."""
JOIN_S = 2.0
"""How long to try for a snapshot before listening without one."""
JOIN_AGAIN_S = 1.0
MARK_S = 0.1
"""How long to wait for the mark before asking for another snapshot."""

Result = TypeVar("Result")
Frame = tuple[bytes, bytes]


class Wait(NamedTuple):
    """Wait until a socket is ready, or the time is over."""

    socket: "zmq.Socket[bytes]"
    flag: int
    timeout_s: float | None


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
            waiting: zmq.asyncio.Socket = zmq.asyncio.Socket.from_socket(wait.socket)
            ready = bool(await waiting.poll(_milliseconds(wait), wait.flag))  # type: ignore[call-arg]  # stub lacks it
    except StopIteration as done:
        return done.value  # type: ignore[no-any-return]  # StopIteration carries the Result, untyped
    finally:
        steps.close()


def _milliseconds(wait: Wait) -> int | None:
    return None if wait.timeout_s is None else max(0, round(wait.timeout_s * 1_000))


class AskError(Exception):
    """The desk said no; the text says why."""


class NoAnswerError(AskError):
    """No answer came in time: the daemon may not be running."""


class Connection:
    """The two ends of one daemon, or the feed alone."""

    def __init__(self, *, feed: str, desk: str | None) -> None:
        self.feed = feed
        self.desk = desk
        self.context: zmq.Context[zmq.Socket[bytes]] = zmq.Context()
        self._numbers = itertools.count(1)
        self._asking: zmq.Socket[bytes] | None = None

    def close(self) -> None:
        """Close every socket."""
        self._drop()
        self.context.destroy(linger=0)

    def open(self, kind: int, endpoint: str) -> "zmq.Socket[bytes]":
        """Connect a socket; it reconnects by itself."""
        socket: zmq.Socket[bytes] = self.context.socket(kind)
        socket.setsockopt(zmq.LINGER, 0)
        socket.setsockopt(zmq.RECONNECT_IVL, 100)
        socket.setsockopt(zmq.RECONNECT_IVL_MAX, 1_000)
        socket.setsockopt(zmq.RCVHWM, RECEIVE_HIGH_WATER)
        # Nothing is queued for a daemon that is not there, so no order is carried out later than it was meant.
        socket.setsockopt(zmq.IMMEDIATE, 1)
        notice_dead_peers(socket)
        socket.connect(endpoint)
        return socket

    def ask(self, verb: str, fields: dict[str, Any], *, timeout_s: float) -> Steps[Any]:
        """Ask the desk and return its reply, or raise AskError."""
        if self.desk is None:
            raise AskError("this client has no desk")
        if self._asking is None:
            self._asking = self.open(zmq.DEALER, self.desk)
        number, deadline_s = next(self._numbers), time.monotonic() + timeout_s
        try:
            if (yield Wait(self._asking, zmq.POLLOUT, timeout_s)):
                self._asking.send(pack_request(number, verb, fields), zmq.NOBLOCK)
                while (yield Wait(self._asking, zmq.POLLIN, deadline_s - time.monotonic())):
                    mine, reply = read_reply(number, verb, self._asking.recv(zmq.NOBLOCK))
                    if mine:
                        return reply
        except (zmq.ZMQError, GeneratorExit):
            self._drop()
            raise
        self._drop()
        raise NoAnswerError(f"{verb}: no answer from {self.desk} within {timeout_s:g} s")

    def _drop(self) -> None:
        if self._asking is not None:
            self._asking.close(linger=0)
            self._asking = None


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
        self._connection = connection
        self._follower = follower
        self._newest = newest
        self._socket = connection.open(zmq.SUB, connection.feed)
        for topic in follower.topics:
            self._socket.subscribe(topic)
        self._join_at_s = 0.0
        self.heard_s: float | None = None
        """When anything came last, by the monotonic clock."""

    @property
    def lost(self) -> int:
        """Messages that never came."""
        return self._follower.lost

    def close(self) -> None:
        """Close the subscription."""
        self._socket.close(linger=0)

    def receive(self, *, timeout_s: float | None) -> Steps[list[Message]]:
        """Return what is new: at once if there is something, an empty list when the time is over."""
        deadline_s = None if timeout_s is None else time.monotonic() + timeout_s
        while True:
            messages: list[Message] = []
            if self._join_is_due():
                messages = yield from self._join(timeout_s=JOIN_S if timeout_s is None else min(JOIN_S, timeout_s))
            if messages:
                return newest_of(messages) if self._newest else messages
            wait_s = JOIN_AGAIN_S if deadline_s is None else min(JOIN_AGAIN_S, deadline_s - time.monotonic())
            ready = yield Wait(self._socket, zmq.POLLIN, wait_s)
            messages = self._take(self._drain())
            if messages:
                return newest_of(messages) if self._newest else messages
            if not ready and deadline_s is not None and time.monotonic() >= deadline_s:
                return []

    def _join_is_due(self) -> bool:
        now_s = time.monotonic()
        if self._connection.desk is None or not self._follower.behind or now_s < self._join_at_s:
            return False
        self._join_at_s = now_s + JOIN_AGAIN_S
        return True

    def _join(self, *, timeout_s: float) -> Steps[list[Message]]:
        """Get a snapshot that was made while this subscription was already in force, so that nothing is missing.

        A subscription takes effect some time after it was made. The mark, which the daemon sends on the feed just
        before it makes the snapshot, arrives only if it had.
        """
        mark, deadline_s = secrets.token_hex(8), time.monotonic() + timeout_s
        topic, early = b"mark." + mark.encode(), list[Frame]()
        self._socket.subscribe(topic)
        try:
            while (left_s := deadline_s - time.monotonic()) > 0:
                fields = {"mark": mark, "aircraft": self._follower.aircraft}
                snapshot = yield from self._connection.ask("snapshot", fields, timeout_s=left_s)
                if (yield from self._marked(topic, early)):
                    return self._begin(snapshot, early)
        except AskError:
            pass
        finally:
            self._socket.unsubscribe(topic)
        return self._take(early)

    def _marked(self, mark: bytes, early: list[Frame]) -> Steps[bool]:
        """Collect frames until the mark is among them, and say whether it was."""
        deadline_s = time.monotonic() + MARK_S
        while (left_s := deadline_s - time.monotonic()) > 0:
            yield Wait(self._socket, zmq.POLLIN, left_s)
            frames = self._drain()
            early += [frame for frame in frames if frame[0] != mark]
            if len(frames) and any(frame[0] == mark for frame in frames):
                return True
        return False

    def _begin(self, snapshot: SnapshotReply, early: list[Frame]) -> list[Message]:
        messages = self._follower.take_snapshot(session=snapshot.session, frames=snapshot.frames)
        return messages + self._take(early)

    def _take(self, frames: list[Frame]) -> list[Message]:
        if frames:
            self.heard_s = time.monotonic()
        return [message for topic, packed in frames for message in self._follower.take(topic, packed)]

    def _drain(self) -> list[Frame]:
        frames: list[Frame] = []
        with contextlib.suppress(zmq.Again):
            while len(frames) < AT_ONCE:
                parts = self._socket.recv_multipart(zmq.NOBLOCK)
                if len(parts) == 2:  # noqa: PLR2004 - topic and map
                    frames.append((parts[0], parts[1]))
        return frames
