"""Recorder: every flight on disk, from a thread of its own that can never delay the loop.

Loop side    each method appends to a queue and returns; nothing is packed, written or waited for there
Thread       wakes up every period_s, packs what has gathered, finishes the chunk and sees to it that it is on the disk
Kill         loses what came in the last period and the time of one write
Trouble      disk full, no permission, a folder gone, a disk too slow: recording ends or items are dropped, `trouble`
             says why, once, on the log; the loop never sees an exception
Long runs    every CHUNKS_A_FILE chunks another file is begun, so that memory stays bounded for days
Disk use     the folder is kept under keep_bytes (recordings_folder); an item too many for the queue is dropped, counted
"""

import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import structlog

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.daemon.messages import AlertMessage, CallMessage, PlanMessage
from otherseat.daemon.recording import Channel
from otherseat.daemon.recording_bodies import PACK, AirfieldsNearby
from otherseat.daemon.recording_writer import RecordingWriter
from otherseat.daemon.recordings_folder import next_part

PERIOD_S = 0.5
QUEUE_ITEMS = 100_000
"""Some minutes of states and datagrams at 60 Hz: what a disk may fall behind."""
YIELD_EVERY = 16
"""Items packed before the thread lets go of the interpreter: a tenth of a millisecond, nothing a loop would feel."""
CLOSE_WITHIN_S = 5.0
CHUNKS_A_FILE = 40_000
"""Five and a half hours: the index of a file in progress is in memory, half a kilobyte a chunk."""

log = structlog.get_logger(__name__)

Item = tuple[int, Channel, Any]


class Recorder:
    """One flight's recorder. Made and called by the loop; never raises there."""

    def __init__(
        self,
        path: Path,
        *,
        session: Mapping[str, str] | None = None,
        runways: RunwayTable | None = None,
        room: Callable[[Path, int], str | None] | None = None,
        period_s: float = PERIOD_S,
        chunks_a_file: int = CHUNKS_A_FILE,
        queue_items: int = QUEUE_ITEMS,
    ) -> None:
        """Start recording to a new file.

        session goes into the file as it is (settings as JSON, the seat's name). Airfields of `runways` are recorded
        as the flight comes near them. room is asked every period with the file and its size, and returns why there
        is no room left, or None.
        """
        self.path = path
        """The file in progress: another one after some hours."""
        self.files: list[Path] = []
        """Every file that was begun, the oldest first."""
        self.trouble: str | None = None
        """Why nothing, or not everything, is recorded."""
        self.dropped = 0
        self._session = session
        self._room = room
        self._runways = runways
        self._near = None if runways is None else AirfieldsNearby(runways)
        self._plans: dict[str, PlanMessage] = {}
        self._chunks_a_file = chunks_a_file
        self._period_s = period_s
        self._queue: deque[Item] = deque()
        self._queue_items = queue_items
        self._closing = threading.Event()
        self._given_up = False
        self._thread = threading.Thread(target=self._run, name="recorder", daemon=True)
        self._thread.start()

    @property
    def recording(self) -> bool:
        """Say whether the flight is being recorded."""
        return not self._given_up and not self._closing.is_set()

    def datagram(self, *, source: str, received_s: float, data: bytes) -> None:
        """Record one datagram as it came in."""
        self._put(Channel.DATAGRAM, {"source": source, "received_s": received_s, "data": data})

    def state(self, state: State) -> None:
        """Record a state as it goes into the engine."""
        self._put(Channel.STATE, state)

    def alert(self, alert: AlertMessage) -> None:
        """Record a change of an alert."""
        self._put(Channel.ALERT, alert)

    def call(self, call: CallMessage) -> None:
        """Record what is said."""
        self._put(Channel.CALL, call)

    def plan(self, plan: PlanMessage) -> None:
        """Record the plan that is in force from now on."""
        self._put(Channel.PLAN, plan)

    def order(self, verb: str, **values: float | str | bool | None) -> None:
        """Record what else reaches the engine: an acknowledgement, a mute, silence from the simulator."""
        self._put(Channel.ORDER, {"verb": verb, **values})

    def note(self, **values: float | str | bool | None) -> None:
        """Record something for people."""
        self._put(Channel.NOTE, values)

    def close(self) -> None:
        """Write what is left and finish the file; a disk that hangs is left behind."""
        self._closing.set()
        self._thread.join(timeout=CLOSE_WITHIN_S)

    def _put(self, channel: Channel, thing: Any) -> None:
        if self._given_up or self._closing.is_set():
            return
        if len(self._queue) >= self._queue_items:
            self.dropped += 1
            return
        self._queue.append((time.time_ns(), channel, thing))

    def _run(self) -> None:
        writer = None
        try:
            writer = self._begin_file()
            while not self._closing.wait(self._period_s):
                self._catch_up(writer)
                if writer.chunks >= self._chunks_a_file:
                    writer.close()
                    writer = self._next_file()
            self._catch_up(writer)
            writer.close()
        except Exception as error:  # noqa: BLE001 - whatever happens to the recording, the flight goes on
            self._give_up(_in_words(error))
            if writer is not None:
                writer.abandon()

    def _catch_up(self, writer: RecordingWriter) -> None:
        """Write everything that has gathered, and see it onto the disk."""
        for count in range(len(self._queue)):
            logged_ns, channel, thing = self._queue.popleft()
            if channel is Channel.PLAN:
                self._plans[thing.aircraft] = thing
            if channel is Channel.STATE and self._near is not None:
                for airfield in self._near.step(thing):
                    writer.write(Channel.AIRFIELD, PACK[Channel.AIRFIELD](airfield), logged_ns=logged_ns)
            writer.write(channel, PACK[channel](thing), logged_ns=logged_ns)
            if count % YIELD_EVERY == 0:
                time.sleep(0)
        writer.finish_chunk()
        if self.dropped and self.trouble is None:
            self._say(f"the disk is too slow: {self.dropped} messages were not recorded")
        reason = None if self._room is None else self._room(self.path, writer.size_bytes())
        if reason is not None:
            raise NoRoomError(reason)

    def _next_file(self) -> RecordingWriter:
        """Begin another file, which stands alone: with the plans in force, and airfields told again."""
        self.path = next_part(self.path)
        self._near = None if self._runways is None else AirfieldsNearby(self._runways)
        writer = self._begin_file()
        for plan in self._plans.values():
            writer.write(Channel.PLAN, PACK[Channel.PLAN](plan), logged_ns=time.time_ns())
        return writer

    def _begin_file(self) -> RecordingWriter:
        """Begin a file of the name that it should have, or of the next when another daemon has just taken that."""
        while True:
            try:
                writer = RecordingWriter(self.path, session=self._session)
            except FileExistsError:
                if not self.path.exists():  # it is the folder whose name is that of a file
                    raise
                self.path = next_part(self.path)
            else:
                self.files.append(self.path)
                return writer

    def _give_up(self, reason: str) -> None:
        self._given_up = True
        self._queue.clear()
        self._say(reason)

    def _say(self, reason: str) -> None:
        self.trouble = reason
        log.warning("recorder", trouble=reason, path=str(self.path))


class NoRoomError(OSError):
    """No room is left for this recording."""


def _in_words(error: Exception) -> str:
    if isinstance(error, OSError) and error.strerror:
        return f"not recording: {error.strerror.lower()}"
    return f"not recording: {error}"
