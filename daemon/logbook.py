"""Logbook: opens a recording when a flight begins, and hands it whatever happens.

Trouble is said once and ends nothing.

A recording begins with the first state that arrives and ends with the daemon, or when nothing has come for so long that
the aircraft is let go. Datagrams of which no state is made begin none: the last EARLY of them wait, and go into the
recording that the next state begins, so that a header line is in it; what nobody can read is what `capture` keeps.
Without the recorder switched on it takes everything and keeps nothing.
"""

from collections import deque
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import structlog

from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.settings import Settings
from otherseat.daemon.messages import AlertMessage, CallMessage, PlanMessage
from otherseat.daemon.recorder import Recorder
from otherseat.daemon.recordings_folder import default_folder, keeper, new_path

log = structlog.get_logger(__name__)

MIB = 2**20
EARLY = 300
"""Some seconds of most simulators; more than are ever read at once before the first state of them is handed over."""


class Early(NamedTuple):
    """A datagram from before the flight."""

    source: str
    received_s: float
    data: bytes


class Logbook:
    """The recorder of the flight in progress, if there is one."""

    def __init__(self, *, settings: Settings, runways: RunwayTable) -> None:
        self._settings = settings
        self._runways = runways
        self._recorder: Recorder | None = None
        self._no_folder: str | None = None
        self._begun: list[Recorder] = []
        self._early: deque[Early] = deque(maxlen=EARLY if settings.recorder.on else 0)

    @property
    def folder(self) -> Path | None:
        """Where flights are recorded; None with the recorder switched off."""
        wanted = self._settings.recorder
        return (wanted.folder or default_folder()) if wanted.on else None

    @property
    def trouble(self) -> str | None:
        """Why nothing, or not everything, is recorded."""
        return self._no_folder if self._recorder is None else self._recorder.trouble

    def datagram(self, *, source: str, received_s: float, data: bytes) -> None:
        """Keep a datagram as it came, or have it wait for a flight."""
        if self._recorder is None:
            self._early.append(Early(source, received_s, data))
        else:
            self._recorder.datagram(source=source, received_s=received_s, data=data)

    def begin(self) -> None:
        """Begin a recording, if none is going on: a state has come, and what is said to it belongs in there."""
        self._open()

    def state(self, state: State) -> None:
        """Keep a state."""
        if recorder := self._open():
            recorder.state(state)

    def alert(self, alert: AlertMessage) -> None:
        """Keep an alert's change."""
        if self._recorder is not None:
            self._recorder.alert(alert)

    def call(self, call: CallMessage) -> None:
        """Keep what was said."""
        if self._recorder is not None:
            self._recorder.call(call)

    def plan(self, plan: PlanMessage) -> None:
        """Keep a plan that was taken over."""
        if self._recorder is not None:
            self._recorder.plan(plan)

    def order(self, verb: str, **values: float | str | bool | None) -> None:
        """Keep what somebody ordered."""
        if self._recorder is not None:
            self._recorder.order(verb, **values)

    def recorded(self) -> list[Path]:
        """Return the files that were written, the oldest first; a long flight has several."""
        return [file for recorder in self._begun for file in recorder.files if file.exists()]

    def close(self) -> None:
        """End the recording; the next state begins another."""
        if self._recorder is not None:
            self._recorder.close()
            self._recorder = None
        self._no_folder = None

    def _open(self) -> Recorder | None:
        if self._recorder is None and self._settings.recorder.on and self._no_folder is None:
            try:
                self._recorder = self._begin()
            except OSError as error:  # such as a folder that may not even be looked into
                self._no_folder = f"not recording: {(error.strerror or str(error)).lower()}"
                log.warning("recorder", trouble=self._no_folder)
        return self._recorder

    def _begin(self) -> Recorder:
        wanted = self._settings.recorder
        path = new_path(wanted.folder or default_folder(), started=datetime.now(tz=UTC))
        recorder = Recorder(
            path,
            session={"settings": self._settings.model_dump_json(), "seat": self._settings.bus.name},
            runways=self._runways,
            room=keeper(path, keep_bytes=wanted.keep_mib * MIB),
        )
        self._begun.append(recorder)
        for early in self._early:
            recorder.datagram(source=early.source, received_s=early.received_s, data=early.data)
        self._early.clear()
        log.info("recording", file=path.name)
        return recorder
