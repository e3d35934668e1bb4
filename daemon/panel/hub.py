"""Hub: one subscription to the bus, any number of pages.

A page is told which parts changed and takes their newest form when it is ready; one that is slow skips what lies
between and never holds up the others. Beside the parts of a Scene there are two of the whole panel: `health` and
`fleet`, the aircraft that are known.
"""

import asyncio
import json
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from otherseat.daemon.messages import HealthMessage, Kind, Message, StandingMessage
from otherseat.daemon.panel.pairing import Role
from otherseat.daemon.panel.scene import PARTS, Scene

REPLIES = 32
"""Replies kept for a page that does not read."""


@dataclass(slots=True, eq=False)
class Viewer:
    """One page that is open."""

    role: Role
    aircraft: str | None = None
    """None: whichever aircraft is known first."""
    changed: set[str] = field(default_factory=set)
    replies: deque[dict[str, Any]] = field(default_factory=lambda: deque(maxlen=REPLIES))
    wake: asyncio.Event = field(default_factory=asyncio.Event)

    def tell(self, parts: set[str]) -> None:
        """Note that parts have changed."""
        if parts:
            self.changed |= parts
            self.wake.set()

    def answer(self, reply: dict[str, Any]) -> None:
        """Hand over the reply to an order."""
        self.replies.append(reply)
        self.wake.set()


class Hub:
    """Everything that the pages show."""

    def __init__(self, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._health: HealthMessage | None = None
        self._heard_s: float | None = None
        self.scenes: dict[str, Scene] = {}
        self.viewers: set[Viewer] = set()

    def take(self, message: Message) -> None:
        """Take in one message of the bus, and tell the pages that show it."""
        self._heard_s = self._clock()
        if message.kind is Kind.HEALTH:
            self._health = message.body
            self._tell_all({"health"})
        elif message.aircraft is not None:
            self._take_for(message.aircraft, message)

    def scene_of(self, viewer: Viewer) -> Scene | None:
        """Return the scene that a page shows."""
        if viewer.aircraft is not None:
            return self.scenes.get(viewer.aircraft)
        return next(iter(self.scenes.values()), None)

    def open(self, viewer: Viewer) -> None:
        """Begin to keep a page up to date, from everything that is known."""
        self.viewers.add(viewer)
        self.choose(viewer, viewer.aircraft)

    def choose(self, viewer: Viewer, aircraft: str | None) -> None:
        """Show another aircraft on a page."""
        viewer.aircraft = aircraft
        viewer.tell({*PARTS, "health", "fleet", "role"})

    def close(self, viewer: Viewer) -> None:
        """Forget a page."""
        self.viewers.discard(viewer)

    def tell(self, aircraft: str, parts: set[str]) -> None:
        """Tell the pages that show an aircraft which parts changed."""
        scene = self.scenes.get(aircraft)
        for viewer in self.viewers:
            if scene is not None and self.scene_of(viewer) is scene:
                viewer.tell(parts)

    def frame(self, viewer: Viewer) -> str:
        """Return one frame for a page, with what changed since the last; its ages are of this moment."""
        parts, viewer.changed = viewer.changed, set()
        scene = self.scene_of(viewer)
        texts = {part: self._own_part(part, viewer) for part in parts - set(PARTS)}
        for part in PARTS:
            if part in parts:
                texts[part] = "null" if scene is None else scene.packed(part)
        texts["age_s"] = _age(None if scene is None else scene.age_s())
        texts["bus_age_s"] = _age(None if self._heard_s is None else self._clock() - self._heard_s)
        if viewer.replies:
            texts["replies"] = json.dumps(list(viewer.replies), separators=(",", ":"))
            viewer.replies.clear()
        return "{" + ",".join(f'"{name}":{text}' for name, text in texts.items()) + "}"

    def _take_for(self, aircraft: str, message: Message) -> None:
        scene = self.scenes.get(aircraft)
        if isinstance(message.body, StandingMessage) and message.body.retired:
            if self.scenes.pop(aircraft, None) is not None:
                self._tell_all({*PARTS, "fleet"})
            return
        if scene is None:
            scene = self.scenes[aircraft] = Scene(aircraft, clock=self._clock)
            self._tell_all({*PARTS, "fleet"})
        changed = scene.take(message)
        if changed:
            self.tell(aircraft, changed)

    def _tell_all(self, parts: set[str]) -> None:
        for viewer in self.viewers:
            viewer.tell(parts)

    def _own_part(self, part: str, viewer: Viewer) -> str:
        if part == "health":
            return "null" if self._health is None else self._health.model_dump_json(exclude_none=True)
        if part == "fleet":
            scene = self.scene_of(viewer)
            return json.dumps({"names": list(self.scenes), "shown": None if scene is None else scene.aircraft})
        return json.dumps(viewer.role.value)


def _age(age_s: float | None) -> str:
    return "null" if age_s is None else f"{age_s:.2f}"
