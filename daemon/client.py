"""Client: the public way to listen to an otherseat and to ask it things, from blocking and from asyncio programs.

    from otherseat.daemon.client import Client

    with Client() as client:
        for message in client.listen("alert"):
            print(message.body.level.word, message.body.text)

A subscription begins with how things are and goes on with what happens: the snapshot and the feed are merged without
a gap or a double. It outlives restarts of the daemon. Use a client from one thread only. On Windows an asyncio
program needs the selector loop.
"""

import asyncio
import os
import time
from collections.abc import AsyncIterator, Iterator
from typing import Any, Self

from otherseat.daemon.connection import Asker, AskError, Connection, Following, Keys, NoAnswerError, run, run_async
from otherseat.daemon.follow import Follower
from otherseat.daemon.messages import Kind, Message
from otherseat.daemon.sockets import DESK, FEED, EndpointError

__all__ = [
    "AskError",
    "AsyncClient",
    "AsyncSubscription",
    "Client",
    "EndpointError",
    "Keys",
    "Message",
    "NoAnswerError",
    "Subscription",
]

ASK_S = 2.0


class _Subscription:
    """What both kinds of subscription can tell."""

    def __init__(self, following: Following) -> None:
        self._following = following

    @property
    def lost(self) -> int:
        """How many messages never came, seen by gaps in seq: this program was too slow, or the line was down."""
        return self._following.lost

    @property
    def age_s(self) -> float | None:
        """How long ago anything came; None before the first. More than three seconds: the daemon is gone."""
        heard_s = self._following.heard_s
        return None if heard_s is None else time.monotonic() - heard_s

    def close(self) -> None:
        """Close the subscription; closing the client does as well."""
        self._following.close()


class Subscription(_Subscription):
    """What `Client.subscribe` returns."""

    def receive(self, *, timeout_s: float | None = None) -> list[Message]:
        """Return what is new, waiting for it if need be; an empty list when the time is over."""
        return run(self._following.receive(timeout_s=timeout_s))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class AsyncSubscription(_Subscription):
    """What `AsyncClient.subscribe` returns."""

    async def receive(self, *, timeout_s: float | None = None) -> list[Message]:
        """Return what is new, waiting for it if need be; an empty list when the time is over."""
        return await run_async(self._following.receive(timeout_s=timeout_s))

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        self.close()


class _Client:
    """What both kinds of client are made of.

    What is left out is looked for in the environment: OTHERSEAT_FEED and OTHERSEAT_DESK say where the daemon is, and
    OTHERSEAT_KEY (a secret key's file) and OTHERSEAT_SERVER_KEY how to get in where the bus is locked; otherwise it is
    the daemon on this machine. With a relay there is no desk and no snapshot: its feed puts things right. What is no
    address raises EndpointError.
    """

    def __init__(
        self, *, feed: str | None = None, desk: str | None = None, relay: str | None = None, keys: Keys | None = None
    ) -> None:
        self._connection = Connection(
            feed=relay or feed or os.environ.get("OTHERSEAT_FEED", FEED),
            desk=None if relay else desk or os.environ.get("OTHERSEAT_DESK", DESK),
            keys=keys or _keys_of_environment(),
        )
        self._asker = Asker(self._connection)

    def close(self) -> None:
        """Close every socket."""
        self._connection.close()

    def _follow(self, kinds: tuple[Kind | str, ...], aircraft: str | None, *, newest: bool, past: bool) -> Following:
        return Following(self._connection, Follower(kinds, aircraft=aircraft, past=past), newest=newest)


def _keys_of_environment() -> Keys | None:
    key, server = os.environ.get("OTHERSEAT_KEY"), os.environ.get("OTHERSEAT_SERVER_KEY")
    return Keys.read(key=key, server=server) if key and server else None


class Client(_Client):
    """Listens and asks, blocking."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def ask(self, verb: str, *, timeout_s: float = ASK_S, **fields: Any) -> Any:
        """Return the desk's reply to a verb and its fields, or raise AskError."""
        return run(self._asker.ask(verb, fields, timeout_s=timeout_s))

    def subscribe(
        self, *kinds: Kind | str, aircraft: str | None = None, newest: bool = False, past: bool = False
    ) -> Subscription:
        """Subscribe to some kinds of message, or all; newest keeps only the newest state and picture of each.

        past: begin with the last calls from before, marked so in the messages; a relay has none.
        """
        return Subscription(self._follow(kinds, aircraft, newest=newest, past=past))

    def listen(self, *kinds: Kind | str, aircraft: str | None = None, newest: bool = False) -> Iterator[Message]:
        """Subscribe, and give one message after the other for ever."""
        with self.subscribe(*kinds, aircraft=aircraft, newest=newest) as subscription:
            while True:
                yield from subscription.receive()


class AsyncClient(_Client):
    """Listens and asks, from asyncio; what several tasks ask goes to the desk one after the other."""

    def __init__(
        self, *, feed: str | None = None, desk: str | None = None, relay: str | None = None, keys: Keys | None = None
    ) -> None:
        super().__init__(feed=feed, desk=desk, relay=relay, keys=keys)
        self._turn = asyncio.Lock()

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        self.close()

    async def ask(self, verb: str, *, timeout_s: float = ASK_S, **fields: Any) -> Any:
        """Return the desk's reply to a verb and its fields, or raise AskError; timeout_s runs from its own turn on."""
        async with self._turn:
            return await run_async(self._asker.ask(verb, fields, timeout_s=timeout_s))

    def subscribe(
        self, *kinds: Kind | str, aircraft: str | None = None, newest: bool = False, past: bool = False
    ) -> AsyncSubscription:
        """Subscribe to some kinds of message, or all; newest keeps only the newest state and picture of each.

        past: begin with the last calls from before, marked so in the messages; a relay has none.
        """
        return AsyncSubscription(self._follow(kinds, aircraft, newest=newest, past=past))

    async def listen(
        self, *kinds: Kind | str, aircraft: str | None = None, newest: bool = False
    ) -> AsyncIterator[Message]:
        """Subscribe, and give one message after the other for ever."""
        async with self.subscribe(*kinds, aircraft=aircraft, newest=newest) as subscription:
            while True:
                for message in await subscription.receive():
                    yield message
