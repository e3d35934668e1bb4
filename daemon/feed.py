"""Feed: the PUB socket that tells. `daemon/bus.md` is the contract.

It runs on the loop's own thread and never waits: it drops for a subscriber that is too slow, and that subscriber
sees the gap in seq. The newest frame of each topic is kept for those who come late.
"""

import secrets
import time
from collections import deque
from typing import Any

import structlog
import zmq

from otherseat.daemon.gate import Gate, bind
from otherseat.daemon.messages import AlertMessage, Kind, StandingMessage, topic_of
from otherseat.daemon.packing import encode
from otherseat.daemon.sockets import FEED, EndpointError, notice_dead_peers
from otherseat.daemon.verbs import SnapshotReply, SnapshotRequest

FEED_HIGH_WATER = 2_000
"""Messages kept for one slow subscriber before it loses some: half a minute at 60 Hz."""
SUBSCRIPTION_BYTES = 1_024
SAID_KEPT = 10
"""Calls of each aircraft that a snapshot brings: more than a screen has lines for, some 3 kB."""
OPEN_AGAIN_TRIES = 100
OPEN_AGAIN_S = 0.005
TOPIC, BODY = int(zmq.SNDMORE | zmq.NOBLOCK), int(zmq.NOBLOCK)
"""How the two frames are sent. Put together once: for every message that took half as long as sending it."""

log = structlog.get_logger(__name__)


class Feed:
    """Sends, numbers each topic, and keeps the newest frame of each."""

    def __init__(
        self,
        context: "zmq.Context[Any]",
        endpoint: str = FEED,
        *,
        session: str | None = None,
        gate: Gate | None = None,
    ) -> None:
        self.session = session or secrets.token_hex(4)
        self._context = context
        self._gate = gate
        self._socket, self.endpoint = self._open(endpoint)
        self._topics: dict[tuple[Kind, str | None], bytes] = {}
        self._seqs: dict[bytes, int] = {}
        self._floor = 0
        """Where a new topic's sequence begins: above every sequence of an aircraft that was let go."""
        self._newest: dict[bytes, bytes] = {}
        self._said: dict[bytes, deque[bytes]] = {}
        self._standing: dict[str, StandingMessage] = {}
        """How things stood with each aircraft when it was last told."""
        self.refused = 0
        """Messages that could not be encoded; they were not sent."""

    def publish(self, kind: Kind | str, aircraft: str | None, time_s: float, body: Any) -> None:
        """Send one message now. A body that can't be encoded is counted, the first is logged; nothing is raised."""
        if type(kind) is not Kind:
            kind = Kind(kind)
        topic = self._topics.get((kind, aircraft)) or self._topic(kind, aircraft)
        seq = self._seqs.get(topic, self._floor) + 1
        try:
            packed = encode(kind, body, session=self.session, seq=seq, time_s=time_s)
        except (TypeError, ValueError, AttributeError, OverflowError) as error:
            self._refuse(topic, error)
            return
        self._seqs[topic] = seq
        self._newest[topic] = packed
        if kind is Kind.HEALTH and self._gate is not None and self._gate.allowed.withdrawn():
            self._open_again()
        self._send(topic, packed)
        if kind is Kind.ALERT:
            time.sleep(0.0)  # the thread that sends begins now, and not when all that follows is done
            self._note(body, time_s)
        elif kind is Kind.CALL:
            self._said.setdefault(topic, deque(maxlen=SAID_KEPT)).append(packed)

    def stand(self, time_s: float, standing: StandingMessage) -> None:
        """Send how things stand with one aircraft, once a second; when an alert changes the feed does by itself."""
        self._standing[standing.aircraft] = standing
        self.publish(Kind.STANDING, standing.aircraft, time_s, standing)

    def retire(self, aircraft: str, time_s: float) -> None:
        """Say that an aircraft is gone, and forget it. Should it come back, its sequences go on higher up."""
        self.publish(Kind.STANDING, aircraft, time_s, StandingMessage(aircraft=aircraft, retired=True))
        self._standing.pop(aircraft, None)
        for kind in Kind:
            topic = self._topics.pop((kind, aircraft), None)
            if topic is not None:
                self._newest.pop(topic, None)
                self._said.pop(topic, None)
                self._floor = max(self._floor, self._seqs.pop(topic, 0))

    def snapshot(self, request: SnapshotRequest) -> SnapshotReply:
        """Return the newest frame of every topic; the mark, if asked for, leaves on the feed first."""
        if request.mark is not None:
            self._send(b"mark." + request.mark.encode(), b"")
        wanted = None if request.aircraft is None else {topic_of(kind, request.aircraft) for kind in Kind}
        return SnapshotReply(
            session=self.session,
            frames=tuple(
                (topic.decode(), packed)
                for topic, packed in self._newest.items()
                if wanted is None or topic in wanted or topic == b"health"
            ),
            said=tuple(
                (topic.decode(), packed)
                for topic, calls in self._said.items()
                for packed in calls
                if wanted is None or topic in wanted
            ),
        )

    def close(self) -> None:
        """Close the socket; what was not sent is dropped."""
        self._socket.close(linger=0)

    def _open(self, endpoint: str) -> tuple["zmq.Socket[bytes]", str]:
        socket: zmq.Socket[bytes] = self._context.socket(zmq.PUB)
        socket.setsockopt(zmq.LINGER, 0)
        socket.setsockopt(zmq.SNDHWM, FEED_HIGH_WATER)
        socket.setsockopt(zmq.MAXMSGSIZE, SUBSCRIPTION_BYTES)
        notice_dead_peers(socket)
        return socket, bind(socket, endpoint, gate=self._gate)

    def _open_again(self) -> None:
        """End every connection, so that each subscriber has to pass the gate anew: a key was withdrawn."""
        self._socket.close(linger=0)
        for attempt in range(OPEN_AGAIN_TRIES):
            try:
                self._socket, self.endpoint = self._open(self.endpoint)
            except EndpointError:
                # libzmq closes in a thread of its own: the address is free a moment later.
                if attempt == OPEN_AGAIN_TRIES - 1:
                    raise
                time.sleep(OPEN_AGAIN_S)
            else:
                log.info("feed_opened_again", reason="a key was withdrawn")
                return

    def _refuse(self, topic: bytes, error: Exception) -> None:
        if not self.refused:
            log.error("feed_refused", topic=topic.decode(), exc_info=error)
        self.refused += 1

    def _send(self, topic: bytes, packed: bytes) -> None:
        # A PUB socket never blocks: for a subscriber that is full it drops.
        self._socket.send(topic, TOPIC)
        self._socket.send(packed, BODY)

    def _topic(self, kind: Kind, aircraft: str | None) -> bytes:
        return self._topics.setdefault((kind, aircraft), topic_of(kind, aircraft))

    def _note(self, alert: AlertMessage, time_s: float) -> None:
        """Send how things stand with an alert that has just changed."""
        before = self._standing.get(alert.aircraft) or StandingMessage(aircraft=alert.aircraft)
        alerts = {one.id: one for one in before.alerts}
        if alert.change is alert.change.CLEARED:
            alerts.pop(alert.id, None)
        else:
            alerts[alert.id] = alert
        self.stand(time_s, before.model_copy(update={"alerts": tuple(alerts.values())}))
