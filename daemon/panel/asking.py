"""Asking: one question to the desk at a time, however many pages ask."""

import asyncio
from typing import Any

from otherseat.daemon.client import AsyncClient


class Asking:
    """A client's questions, in turn: a client takes a frame that answers another question for none at all."""

    def __init__(self, client: AsyncClient) -> None:
        self._client = client
        self._turn = asyncio.Lock()

    async def ask(self, verb: str, **fields: Any) -> Any:
        """Return the desk's reply, or raise AskError."""
        async with self._turn:
            return await self._client.ask(verb, **fields)
