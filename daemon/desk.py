"""Desk: the ROUTER socket that is asked. `daemon/bus.md` is the contract.

It runs on the loop's own thread and never waits: a batch of requests, then the loop's other work; a reply that
nobody fetches is dropped. Whatever arrives gets a reply, an error reply or silence, and never a fault.
"""

import asyncio
import contextlib
import inspect
import time
from collections import OrderedDict
from collections.abc import Awaitable, Callable, Mapping
from typing import Any

import msgpack
import structlog
import zmq
from pydantic import BaseModel, ValidationError

from otherseat.daemon.gate import Gate, bind
from otherseat.daemon.messages import MessageError, summary, unpack
from otherseat.daemon.sockets import DESK, notice_dead_peers
from otherseat.daemon.verbs import VERBS, Asked, Done, Verb

REQUEST_BYTES = 65_536
"""A longer frame ends the connection before it is read; a plan of 100 fixes has about 10,000 bytes."""
BATCH = 32
"""Requests answered before the loop may do something else."""

log = structlog.get_logger(__name__)

Handler = Callable[[Any], Any]
"""Takes the verb's request; returns its reply, None for Done, or an awaitable of either. May raise RefusedError."""


class RefusedError(Exception):
    """The answer is no: the text goes back to who asked."""


class Allowance:
    """How much each peer may ask: so many at once, then so many a second. Remembers the latest peers only."""

    def __init__(
        self, *, burst: float, per_s: float, peers: int = 1_024, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._burst = burst
        self._per_s = per_s
        self._peers = peers
        self._clock = clock
        self._left: OrderedDict[bytes, tuple[float, float]] = OrderedDict()

    def take(self, peer: bytes) -> bool:
        """Take one from the peer's allowance, and say whether there was one."""
        now = self._clock()
        left, at_s = self._left.pop(peer, (self._burst, now))
        left = min(self._burst, left + (now - at_s) * self._per_s)
        granted = left >= 1.0
        self._left[peer] = (left - 1.0 if granted else left, now)
        if len(self._left) > self._peers:
            self._left.popitem(last=False)
        return granted


class Desk:
    """Reads requests on the loop's thread, asks the handlers, replies."""

    def __init__(
        self,
        context: "zmq.Context[Any]",
        endpoint: str = DESK,
        *,
        handlers: Mapping[str, Handler],
        allowance: Allowance | None = None,
        gate: Gate | None = None,
    ) -> None:
        self._gate = gate
        self._verbs: dict[str, tuple[Verb, Handler]] = {}
        for name, handler in handlers.items():
            self.register(VERBS[name], handler)
        self._allowance = allowance or Allowance(burst=100, per_s=50)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._tasks: set[asyncio.Task[None]] = set()
        self.counters = {"answered": 0, "refused": 0, "failed": 0, "flooded": 0}
        """How many requests ended how."""
        self._socket: zmq.Socket[bytes] = context.socket(zmq.ROUTER)
        self._socket.setsockopt(zmq.LINGER, 0)
        self._socket.setsockopt(zmq.MAXMSGSIZE, REQUEST_BYTES)
        notice_dead_peers(self._socket)
        self.endpoint = bind(self._socket, endpoint, gate=gate)

    def register(self, verb: Verb, handler: Handler) -> None:
        """Answer one more verb."""
        self._verbs[verb.name] = (verb, handler)

    def start(self) -> None:
        """Answer from the running loop from now on; on Windows that is a selector loop."""
        self._loop = asyncio.get_running_loop()
        self._loop.add_reader(self._signal(), self._serve)
        self._loop.call_soon(self._serve)

    def close(self) -> None:
        """Stop answering and close the socket."""
        if self._loop is not None:
            self._loop.remove_reader(self._signal())
            self._loop = None
        for task in self._tasks:
            task.cancel()
        self._socket.close(linger=0)

    def _signal(self) -> int:
        descriptor: Any = self._socket.getsockopt(zmq.FD)
        return int(descriptor)

    def _serve(self) -> None:
        """Answer what has arrived until nothing is left: libzmq signals only the first of many."""
        if self._loop is None:
            return
        for _ in range(BATCH):
            try:
                frames = self._socket.recv_multipart(zmq.NOBLOCK, copy=False)
            except zmq.Again:
                return
            user = "" if self._gate is None else str(frames[-1].get("User-Id"))
            self._answer([frame.bytes for frame in frames], user)
        self._loop.call_soon(self._serve)

    def _answer(self, frames: list[bytes], user: str) -> None:
        """Answer one request; silence for frames that no socket of a client sends."""
        *route, packed = frames
        if not route or route[1:] not in ([], [b""]):
            self.counters["refused"] += 1
        elif not self._allowance.take(user.encode() or route[0]):
            self.counters["flooded"] += 1
        else:
            self._take(route, packed, user)

    def _take(self, route: list[bytes], packed: bytes, user: str) -> None:
        asked: Asked | None = None
        try:
            asked = read_request(packed)
            verb, handler = self._find(asked)
            self._check(verb, user)
            result = self._try(asked, handler, read_body(verb, asked))
        except RefusedError as error:
            self._refuse(route, asked, error)
            return
        if inspect.isawaitable(result):
            task = asyncio.ensure_future(self._finish(route, asked, result))
            self._tasks.add(task)
            task.add_done_callback(self._tasks.discard)
        else:
            self._accept(route, asked, result)

    def _find(self, asked: Asked) -> tuple[Verb, Handler]:
        found = self._verbs.get(asked.verb)
        if found is None:
            raise RefusedError(f"no such verb: {asked.verb}; there are {', '.join(sorted(self._verbs))}")
        return found

    def _check(self, verb: Verb, user: str) -> None:
        """Raise RefusedError where this key may not do this; without keys, everybody on this machine may."""
        if self._gate is None:
            return
        if not self._gate.may_ask(user):
            raise RefusedError("this key is not let in any more")
        if verb.order and not self._gate.may_order(user):
            raise RefusedError(f"{verb.name} is an order, and this key is a reader's")

    def _try(self, asked: Asked, handler: Handler, request: BaseModel) -> Any:
        try:
            return handler(request)
        except RefusedError:
            raise
        except Exception as error:  # a verb may be a plug-in's: its faults must not end the desk
            raise self._failed(asked, error) from error

    async def _finish(self, route: list[bytes], asked: Asked, result: Awaitable[Any]) -> None:
        try:
            self._accept(route, asked, await result)
        except RefusedError as error:
            self._refuse(route, asked, error)
        except Exception as error:  # noqa: BLE001 - as in _try; it is logged with its traceback
            self._refuse(route, asked, self._failed(asked, error))
        # Sending may swallow the signal of a request that came meanwhile.
        self._serve()

    def _failed(self, asked: Asked, error: Exception) -> RefusedError:
        self.counters["failed"] += 1
        log.error("desk_failed", verb=asked.verb, exc_info=error)
        return RefusedError(f"{asked.verb} failed; the daemon's log says why")

    def _accept(self, route: list[bytes], asked: Asked, result: BaseModel | None) -> None:
        body = (Done() if result is None else result).model_dump(exclude_none=True)
        self._send(route, {"ok": True, "verb": asked.verb, "id": asked.id, "body": body})
        self.counters["answered"] += 1

    def _refuse(self, route: list[bytes], asked: Asked | None, error: RefusedError) -> None:
        self._send(route, {"ok": False, "id": None if asked is None else asked.id, "error": str(error)})
        self.counters["refused"] += 1

    def _send(self, route: list[bytes], reply: dict[str, Any]) -> None:
        with contextlib.suppress(zmq.Again):
            self._socket.send_multipart([*route, msgpack.packb(reply)], zmq.NOBLOCK)


def read_request(packed: bytes) -> Asked:
    """Return what stands around a request, or raise RefusedError."""
    try:
        return Asked.model_validate(unpack(packed))
    except MessageError as error:
        raise RefusedError(str(error)) from error
    except ValidationError as error:
        raise RefusedError(f"not a request: {summary(error)}") from error


def read_body(verb: Verb, asked: Asked) -> BaseModel:
    """Return the verb's request, or raise RefusedError that names the first field that is wrong."""
    try:
        return verb.request.model_validate(asked.body)
    except ValidationError as error:
        raise RefusedError(f"{verb.name}: {summary(error)}") from error
